"""Jobs travel between processes, and their keys name all that a plan depends on."""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from dataclasses import replace

import pytest

from dispatch.comparison.jobs import Effort, Job, PlanRefused, check_plan, job_key, run_here, run_job
from dispatch.plan import Outcome, Plan
from tests import factories as make
from tests.dispatch.comparison.small_histories import big

KEY = """
from tests.dispatch.comparison.test_jobs import job
from dispatch.comparison.jobs import job_key
print(job_key(job()))
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
