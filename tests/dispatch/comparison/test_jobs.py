"""Jobs travel between processes, and their keys name all that a plan depends on."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from dispatch.comparison.jobs import Effort, Job, PlanRefused, check_plan, job_key, run_here, run_job
from dispatch.plan import Outcome, Plan
from dispatch.problem import Problem
from dispatch.solve import CUT_NOTE, solve
from tests import factories as make
from tests.dispatch.comparison.small_histories import big

KEY = """
from tests.dispatch.comparison.test_jobs import job
from dispatch.comparison.jobs import job_key
print(job_key(job()))
"""

COMPILED = """
from dispatch.compiled import compilations, outer
twice = outer(lambda number: 2 * number)
print(compilations(), twice(7), compilations())
"""


def job() -> Job:
    return Job("a day", make.problem([big("1"), make.move("2", make.lifted())]), Effort(None, 3))


def test_a_job_is_the_same_after_a_journey() -> None:
    again = pickle.loads(pickle.dumps(job()))
    assert again == job()
    assert job_key(again) == job_key(job())


def test_the_key_is_the_same_in_every_process() -> None:
    said = subprocess.run(
        [sys.executable, "-c", KEY],
        capture_output=True,
        text=True,
        check=True,
        env=os.environ | {"PYTHONHASHSEED": "1", "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert said.stdout.strip() == job_key(job())


def test_the_key_changes_with_everything_but_the_label() -> None:
    one = job()
    assert job_key(replace(one, label="another")) == job_key(one)
    changed = [
        replace(one, effort=Effort(None, 4)),
        replace(one, effort=Effort(60, 3)),
        replace(one, problem=make.problem([big("1")])),
        replace(one, problem=replace(one.problem, rigs=(make.rig(shift_end_min=1000),))),
    ]
    assert len({job_key(one), job_key(one, ("2.0",)), *map(job_key, changed)}) == 6


def test_a_job_that_comes_twice_is_done_once_and_plans_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    done = []
    monkeypatch.setattr("dispatch.comparison.jobs.run_job", lambda one: done.append(one) or run_job(one))
    first, second = run_here([job(), job()])
    assert first == second
    assert len(done) == 1


def test_a_plan_that_the_verifier_refuses_is_never_given_back() -> None:
    nothing = Plan((), (), (), Outcome.STOPPED_WITHOUT_PLAN)
    with pytest.raises(PlanRefused, match="a day: "):
        check_plan("a day", job().problem, nothing)


@pytest.mark.parametrize(("compiled", "searches"), [((0, 1, 1, 1), 2), ((0, 0), 1)], ids=["compiling", "not"])
def test_a_search_that_the_compiler_cut_short_is_made_again(
    compiled: tuple[int, ...], searches: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of two searches that the clock cuts short the one that had to compile is made again, once."""
    counts, done = iter(compiled), []

    def cut(problem: Problem, **limits: Any) -> Plan:
        done.append(limits)
        return replace(solve(problem, time_limit_s=None), notes=(CUT_NOTE,))

    monkeypatch.setattr("dispatch.comparison.jobs.compilations", lambda: next(counts))
    monkeypatch.setattr("dispatch.comparison.jobs.solve", cut)
    assert run_job(job()).notes == (CUT_NOTE,)
    assert len(done) == searches


def test_compiling_is_counted_and_loading_is_not(tmp_path: Path) -> None:
    """The same function compiled by a first process and loaded by a second one."""
    (tmp_path / "twice.py").write_text(COMPILED, encoding="utf-8")
    said = [
        subprocess.run(
            [sys.executable, "twice.py"],
            capture_output=True,
            text=True,
            check=True,
            cwd=tmp_path,
            env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path), "NUMBA_CACHE_DIR": str(tmp_path)},
        ).stdout.split()
        for _ in range(2)
    ]
    assert said == [["0", "14", "1"], ["0", "14", "0"]]
