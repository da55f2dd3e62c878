"""Times the demo: ``python benchmarks/demo.py``. Writes ``results/demo.md`` beside this file.

Targets on two cores: the whole ``haulday plan`` under 60 s and 1 GB, ``--help`` in 0.2 s, 300 moves read in 3 s.
Needs a system that reports a child's peak memory (Linux, macOS).
"""

from __future__ import annotations

import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from about_machine import machine as machine
from reading import MOVES, measure

HERE = Path(__file__).parent
MORNING = HERE.parent / "scenarios" / "morning"
RESULT = HERE / "results" / "demo.md"
SOME_LEFT_OUT = 4
HELP_RUNS, READING_RUNS = 9, 5
LIBRARIES = ("haulday", "ortools", "highspy", "numpy", "openpyxl", "matplotlib", "typer")


@dataclass(frozen=True, slots=True)
class Run:
    """One run of the command: exit code, wall-clock and processor seconds, peak memory, what it printed."""

    code: int
    wall_s: float
    cpu_s: float
    peak_mb: float
    out: str


def run(arguments: Sequence[str]) -> Run:
    """Runs ``haulday`` in a process of its own, as installed beside this Python."""
    command = Path(sys.executable).with_name("haulday")
    with tempfile.TemporaryFile("w+", encoding="utf-8") as out:
        start = time.perf_counter()
        child = subprocess.Popen([str(command), *arguments], stdout=out, text=True)
        _, status, usage = os.wait4(child.pid, 0)
        wall = time.perf_counter() - start
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        per_mb = 1024 if sys.platform == "linux" else 1024 * 1024
        return Run(child.returncode, wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / per_mb, out.read())


def plan() -> Run:
    """The whole demo: read, plan, verify, write workbook and JSON."""
    with tempfile.TemporaryDirectory() as folder:
        outputs = ["-o", f"{folder}/plan.xlsx", "--json", f"{folder}/plan.json"]
        result = run(["plan", str(MORNING), *outputs])
    if result.code != SOME_LEFT_OUT:
        sys.exit(f"haulday plan ended with exit code {result.code}, expected {SOME_LEFT_OUT}")
    return result


def page(about: str, planned: Run, help_s: Sequence[float], reading_s: Sequence[float]) -> str:
    """The result as a page."""
    versions = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    headline = "\n".join(planned.out.splitlines()[-4:-2])
    return f"""# The demo, timed

Written by `python benchmarks/demo.py` on {datetime.now(UTC):%Y-%m-%d}.

- Machine: {about}
- Versions: Python {platform.python_version()}, {versions}

| what | measured | target |
|---|---|---|
| `haulday plan scenarios/morning` with workbook and JSON, wall clock | {planned.wall_s:.1f} s | 60 s |
| the same, processor time | {planned.cpu_s:.1f} s | |
| the same, peak memory | {planned.peak_mb:,.0f} MB | 1,024 MB |
| `haulday --help`, best of {HELP_RUNS} (median) | {best(help_s)} | 0.2 s |
| reading {MOVES} moves, best of {READING_RUNS} (median) | {best(reading_s)} | 3 s |

What the plan said of itself:

```
{headline}
```
"""


def best(seconds: Sequence[float]) -> str:
    """Best and median."""
    return f"{min(seconds):.2f} s ({statistics.median(seconds):.2f} s)"


def main() -> None:
    about = machine()
    planned = plan()
    help_s = [run(["--help"]).wall_s for _ in range(HELP_RUNS)]
    RESULT.parent.mkdir(exist_ok=True)
    RESULT.write_text(page(about, planned, help_s, measure(READING_RUNS)), encoding="utf-8")
    print(RESULT.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
