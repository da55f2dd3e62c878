"""How long a comparison takes: 20 invented days of 14 moves under 4 fleets, on 2 processes.

Run ``python benchmarks/comparing.py``; writes ``benchmarks/results/comparing.md``. Days come from
``generator.py``. The fleets: today's; a copy of the first rig's trailer behind the same truck with the same
driver; a copy of the second rig's trailer likewise; both. The target is 10 minutes on 2 cores.
"""

from __future__ import annotations

import os
import platform
import sys
import tempfile
import time
from dataclasses import replace
from datetime import date
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from dispatch.io.job_pool import in_processes, with_cache  # noqa: E402
from dispatch.io.job_progress import JobProgress  # noqa: E402
from dispatch.io.plan_cache import PlanCache  # noqa: E402

from benchmarks.generator import Size  # noqa: E402
from benchmarks.generator import day as generated  # noqa: E402
from dispatch.comparison.compare import Comparison, compare  # noqa: E402
from dispatch.comparison.history import DayVariant, History, Variant  # noqa: E402
from dispatch.comparison.jobs import Effort  # noqa: E402
from dispatch.fleet import Rig  # noqa: E402

RESULT = ROOT / "benchmarks" / "results" / "comparing.md"
DAYS, SIZE, PROCESSES, LIMIT_S = 20, Size(14, 3), 2, 20.0
FIRST, SECOND, BOTH = "first trailer twice", "second trailer twice", "both"
ADDED = {"today": (), FIRST: (0,), SECOND: (1,), BOTH: (0, 1)}


def with_copy(rigs: tuple[Rig, ...], number: int) -> Rig:
    """A rig of the same truck and driver with another trailer of the same kind."""
    rig = rigs[number]
    return replace(
        rig, name=f"{rig.name}, other trailer", trailer=replace(rig.trailer, name=f"{rig.trailer.name} II")
    )


def history() -> History:
    problems = {}
    for seed in range(DAYS):
        problem = generated(SIZE, seed)
        for name, numbers in ADDED.items():
            more = tuple(with_copy(problem.rigs, number) for number in numbers)
            problems[DayVariant(f"day {seed}", name)] = replace(problem, rigs=(*problem.rigs, *more))
    days = tuple(f"day {seed}" for seed in range(DAYS))
    return History(days, tuple(Variant(name) for name in ADDED), problems)


def timed(folder: Path) -> tuple[Comparison, float, float]:
    """The comparison, seconds for the first run and for a run that finds everything done."""
    seconds = []
    for _ in range(2):
        start = time.perf_counter()
        run = with_cache(in_processes(PROCESSES), PlanCache(folder), JobProgress(sys.stderr))
        found = compare(history(), Effort(LIMIT_S), run)
        seconds.append(time.perf_counter() - start)
    return found, seconds[0], seconds[1]


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        found, first, again = timed(Path(folder))
        jobs = len(list(Path(folder).iterdir()))
    plans = found.outcomes
    proved = sum(one.left_out.proved and one.trips.proved for one in plans)
    cut = sum(one.cut for one in plans)
    text = "\n".join(
        [
            "# Fleets compared, timed",
            "",
            f"Written by `python benchmarks/comparing.py` on {date.today()}.",
            "",
            f"- Machine: {platform.machine()}, {os.cpu_count()} cores, {PROCESSES} processes; "
            f"load average {os.getloadavg()[0]:.1f}",
            f"- Versions: Python {platform.python_version()}, haulday {version('haulday')}, "
            f"ortools {version('ortools')}, highspy {version('highspy')}",
            f"- {DAYS} days of {SIZE} (moves/rigs) under {len(ADDED)} fleets, {LIMIT_S:g} s a search at most",
            "",
            "| days and fleets | trips proved | cut short | unchanged | plans | s | s again, all kept |",
            "|---|---|---|---|---|---|---|",
            f"| {len(plans)} | {proved} | {cut} | {len(found.limits)} | {jobs} | {first:.0f} | {again:.0f} |",
            "",
        ]
    )
    RESULT.write_text(text, encoding="utf-8")
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
