"""What the planner's guide shows of its example: the end of the run, and two pictures.

``python docs/planner_figures.py`` plans the history of ``scenarios/second-gooseneck`` and rewrites them, in some
minutes the first time; its plans are kept in ``out/planner``. ``tests/test_planner_guide.py`` holds the page to
what comes out.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from dispatch.io.fleet_days_drawing import fleet_days_picture, greatest
from dispatch.io.job_pool import in_processes, with_cache
from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache
from dispatch.io.read_workbook import Wanted, read_inputs
from dispatch.io.run_compare import told
from dispatch.io.tornado_drawing import tornado_picture

from dispatch.comparison.compare import Comparison, compare
from dispatch.comparison.glance import days_at_a_glance
from dispatch.comparison.jobs import Effort

ROOT = Path(__file__).parents[1]
GUIDE = ROOT / "docs" / "planner.md"
PICTURES = ROOT / "docs" / "pictures"
MARKS = "<!-- run -->", "<!-- end of run -->"


def rewritten(guide: str, comparison: Comparison) -> str:
    """The guide with the end of the run anew, between its marks."""
    lines = "\n".join(line.rstrip() for text in told(comparison) for line in text.splitlines())
    fresh = f"{MARKS[0]}\n```text\n{lines}\n```\n{MARKS[1]}"
    pattern = f"{re.escape(MARKS[0])}.*?{re.escape(MARKS[1])}"
    return re.sub(pattern, lambda _: fresh, guide, flags=re.S)


def pictures(comparison: Comparison) -> dict[str, bytes]:
    """The pictures of the guide by their file names."""
    days = days_at_a_glance(comparison)
    return {
        "compare-days.svg": fleet_days_picture(days, greatest(days), "svg"),
        "compare-year.svg": tornado_picture(comparison.years[0], "svg"),
    }


def main() -> None:
    """Plans, and rewrites the guide and its pictures."""
    found = read_inputs([ROOT / "scenarios" / "second-gooseneck"], wanted=Wanted(all_days=True))
    if found.history is None:
        sys.exit("\n".join(map(str, found.problems)))
    run = with_cache(in_processes(1), PlanCache(ROOT / "out" / "planner"), JobProgress(sys.stderr))
    comparison = compare(found.history, Effort(), run)
    GUIDE.write_text(rewritten(GUIDE.read_text(encoding="utf-8"), comparison), encoding="utf-8", newline="\n")
    for name, picture in pictures(comparison).items():
        (PICTURES / name).write_bytes(picture)


if __name__ == "__main__":
    main()
