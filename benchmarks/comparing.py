"""How long a comparison takes: 20 invented days of 14 moves under 4 fleets, on 2 processes; target 10 minutes.

``python -m benchmarks.comparing`` from the repository's folder; with ``--days 2`` a trial. Days come from
``generator.py``. The fleets: today's; a copy of the first rig's trailer behind the same truck with the same
driver; a copy of the second rig's trailer likewise; both. Plans and the log of sittings are kept in ``--folder``:
a run that is stopped goes on when it is started again, and its seconds add up over the sittings (what was in hand
when it was stopped is done again and not counted). Afterwards everything is read back from the kept plans, and a
run over the first ``--kill-days`` days is killed half-way and started again: ``killed_half_way.py``. Writes
``results/comparing.md`` for the full size, else prints only, or writes where ``--output`` says.
"""

from __future__ import annotations

import argparse
import io
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from dispatch.io.job_pool import Work, in_processes, with_cache
from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache
from dispatch.io.summary_sheet import Used
from dispatch.io.write_comparison import comparison_workbook
from openpyxl import load_workbook

from benchmarks import records
from benchmarks.generator import Size
from benchmarks.generator import day as generated
from dispatch.comparison.compare import Comparison, compare
from dispatch.comparison.history import DayVariant, History, Variant
from dispatch.comparison.jobs import Effort, Job
from dispatch.fleet import Rig
from dispatch.plan import Plan

ROOT = Path(__file__).resolve().parent.parent
RESULT = ROOT / "benchmarks" / "results" / "comparing.md"
FOLDER = ROOT / "out" / "comparing"
DAYS, SIZE, PROCESSES, LIMIT_S, KILL_DAYS = 20, Size(14, 3), 2, 20.0, 4
FIRST, SECOND, BOTH = "first trailer twice", "second trailer twice", "both"
ADDED = {"today": (), FIRST: (0,), SECOND: (1,), BOTH: (0, 1)}


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be timed."""

    days: int
    limit_s: float
    processes: int
    folder: Path
    kill_days: int

    @property
    def log(self) -> Path:
        """A line of JSON for every sitting and every plan made."""
        return self.folder / "log.jsonl"


@dataclass
class Counted:
    """Work that notes which plans it makes, and when; ``log`` is told of each."""

    work: Work
    log: Path | None = None
    made: list[str] = field(default_factory=list)
    started: float = field(default_factory=time.perf_counter)

    def __call__(self, jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
        for key, plan in self.work(jobs):
            self.made.append(key)
            self.tell()
            yield key, plan

    def tell(self, **more: Any) -> None:
        """Writes how far the sitting is."""
        if self.log is not None:
            spent = round(time.perf_counter() - self.started, 2)
            records.append(self.log, {"spent_s": spent, "made": len(self.made)} | more)


def with_copy(rigs: tuple[Rig, ...], number: int) -> Rig:
    """A rig of the same truck and driver with another trailer of the same kind."""
    rig = rigs[number]
    return replace(
        rig, name=f"{rig.name}, other trailer", trailer=replace(rig.trailer, name=f"{rig.trailer.name} II")
    )


def history(count: int) -> History:
    """The first so many days under every fleet."""
    problems = {}
    for seed in range(count):
        problem = generated(SIZE, seed)
        for name, numbers in ADDED.items():
            more = tuple(with_copy(problem.rigs, number) for number in numbers)
            problems[DayVariant(f"day {seed}", name)] = replace(problem, rigs=(*problem.rigs, *more))
    days = tuple(f"day {seed}" for seed in range(count))
    return History(days, tuple(Variant(name) for name in ADDED), problems)


def compared(asked: Asked, work: Work, days: int | None = None) -> Comparison:
    """The comparison; what is kept in the folder is not planned again, but verified again."""
    progress = JobProgress(sys.stderr)
    run = with_cache(work, PlanCache(asked.folder / "plans"), progress)
    try:
        return compare(history(days or asked.days), Effort(asked.limit_s), run, progress.stage)
    finally:
        progress.close()


def nothing(jobs: Mapping[str, Job]) -> Iterator[tuple[str, Plan]]:
    """Work for a run that must find everything done. Raises RuntimeError when it does not."""
    if jobs:
        raise RuntimeError(f"{len(jobs)} plans are not kept")
    return iter(())


def data(comparison: Comparison) -> dict[str, list[tuple[Any, ...]]]:
    """All values of the workbook by sheet."""
    book = load_workbook(io.BytesIO(comparison_workbook(comparison, Used())))
    return {sheet.title: list(sheet.iter_rows(values_only=True)) for sheet in book.worksheets}


def circumstances(asked: Asked) -> records.Record:
    """What a sitting is noted with. Exits when the folder holds work of another commit, machine or size."""
    now = records.circumstances() | {"limit_s": asked.limit_s, "processes": asked.processes, "days": asked.days}
    same = ("commit", "versions", "machine", "limit_s", "processes", "days")
    for line in records.read(asked.log):
        if "commit" in line and any(line[key] != now[key] for key in same):
            sys.exit(f"{asked.folder} holds another run's work ({line['commit']}): delete it, or name a --folder")
    return now


def timed(asked: Asked) -> Comparison:
    """One sitting of the comparison, noted in the log; nothing is done where a sitting has ended it."""
    now = circumstances(asked)
    if any("ended" in line for line in records.read(asked.log)):
        return compared(asked, nothing)
    asked.folder.mkdir(parents=True, exist_ok=True)
    records.append(asked.log, now)
    work = Counted(in_processes(asked.processes), asked.log)
    found = compared(asked, work)
    work.tell(ended=True)
    return found


def arguments() -> tuple[Asked, argparse.Namespace]:
    """The command line."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--days", type=int, default=DAYS)
    parser.add_argument("--limit", type=float, default=LIMIT_S, help="seconds a search at most")
    parser.add_argument("--processes", type=int, default=PROCESSES)
    parser.add_argument("--folder", type=Path, default=FOLDER, help="where plans and the log are kept")
    parser.add_argument("--kill-days", type=int, default=KILL_DAYS, help="days of the run that is killed; 0: none")
    parser.add_argument("--output", type=Path, help="the report; default: results/comparing.md at full size")
    parser.add_argument("--only-plan", action="store_true", help="plan and stop; used by the run that is killed")
    said = parser.parse_args()
    return Asked(said.days, said.limit, said.processes, said.folder, min(said.kill_days, said.days)), said


def main() -> None:
    from benchmarks.comparing_report import report  # noqa: PLC0415 - it needs this module
    from benchmarks.killed_half_way import killed  # noqa: PLC0415

    asked, said = arguments()
    if said.only_plan:
        compared(asked, in_processes(asked.processes))
        return
    found = timed(asked)
    start = time.perf_counter()
    again = compared(asked, nothing)
    read_back_s = time.perf_counter() - start
    same = data(found) == data(again)
    check = killed(asked) if asked.kill_days else None
    text = report(asked, found, read_back_s, same=same, check=check)
    full = (asked.days, asked.limit_s, asked.processes) == (DAYS, LIMIT_S, PROCESSES)
    target = said.output or (RESULT if full else None)
    if target is not None:
        target.write_text(text, encoding="utf-8")
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
