"""A comparison that is killed half-way and started again: is finished work kept, and does the same come out?

The run that is killed is a process group of its own with a folder of its own; it is killed (SIGKILL, with its
pool) as soon as half of the plans are in its folder. What it would have given otherwise is known from the plans of
the timed run: the same jobs have the same keys.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

from dispatch.io.job_pool import in_processes

from benchmarks.comparing import ROOT, Asked, Counted, compared, data, nothing
from dispatch.comparison.compare import Comparison

LOOK_EVERY_S = 0.1


@dataclass(frozen=True, slots=True)
class Killed:
    """``plans``: of the whole run. ``kept``: finished when it was killed; ``again``: of these made once more.

    ``made``: made after the kill. ``cut``: searches that the clock cut short, here or in the undisturbed run:
    where there are some, the data may differ for that reason.
    """

    days: int
    plans: int
    kept: int
    made: int
    again: int
    untouched: bool
    same: bool
    cut: int

    @property
    def holds(self) -> bool:
        """Whether nothing was done twice and, unless the clock cut something, the same came out."""
        return 0 < self.kept < self.plans and not self.again and self.untouched and (self.same or self.cut > 0)


def killed(asked: Asked) -> Killed:
    """Runs the first days anew, kills that run half-way, goes on and compares."""
    ours = replace(asked, days=asked.kill_days, folder=asked.folder / "killed")
    shutil.rmtree(ours.folder, ignore_errors=True)
    whole = compared(asked, nothing, ours.days)
    plans = _plans_of(whole)
    _kill_at(ours, plans // 2)
    before = _files(ours.folder)
    rest = Counted(in_processes(ours.processes))
    found = compared(ours, rest)
    after = _files(ours.folder)
    return Killed(
        days=ours.days,
        plans=len(after),
        kept=len(before),
        made=len(rest.made),
        again=len({f"{key}.json" for key in rest.made} & set(before)),
        untouched=all(after.get(name) == content for name, content in before.items()),
        same=data(found) == data(whole),
        cut=sum(one.cut for one in (*found.outcomes, *whole.outcomes)),
    )


def _plans_of(whole: Comparison) -> int:
    """How many plans the days take: one a day and fleet, and one each time that more of something was tried."""
    return len(whole.outcomes) + sum(len(limit.tried) for limit in whole.limits)


def _kill_at(ours: Asked, count: int) -> None:
    """Starts the run by itself and kills its process group when so many plans are kept, or it has ended."""
    words = ["--only-plan", "--days", ours.days, "--limit", ours.limit_s, "--processes", ours.processes]
    command = [sys.executable, "-m", "benchmarks.comparing", *map(str, words), "--folder", str(ours.folder)]
    run = subprocess.Popen(command, cwd=ROOT, start_new_session=True, stderr=subprocess.DEVNULL)
    try:
        while run.poll() is None and len(_files(ours.folder)) < count:
            time.sleep(LOOK_EVERY_S)
    finally:
        if run.poll() is None:
            os.killpg(run.pid, signal.SIGKILL)
        run.wait()


def _files(folder: Path) -> dict[str, bytes]:
    """The plans that are kept, by name; a plan that is just being written is none."""
    plans = folder / "plans"
    found = sorted(plans.glob("[!.]*.json")) if plans.exists() else []
    return {path.name: path.read_bytes() for path in found}
