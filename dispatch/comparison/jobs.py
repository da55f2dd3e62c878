"""One day under one fleet as a piece of work that any process can do: what goes in, what comes out, its key.

A job is a pure function of its fields: the same job gives the same plan wherever it is run, unless the clock cut
it short. Plans come back verified.
"""

from __future__ import annotations

import copyreg
import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from dispatch.compiled import compilations
from dispatch.errors import HauldayError
from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.solve import CUT_NOTE, solve
from dispatch.verify import verify


class PlanRefused(HauldayError):
    """The verifier disagrees with a plan: a bug, and nothing may be claimed."""


@dataclass(frozen=True, slots=True)
class Effort:
    """What every job may spend, the same for all: seconds of clock at most (``None``: no limit) and the seed.

    One seed for all pairs the jobs of a day: what chance there is in the search is the same for every fleet.
    """

    time_limit_s: float | None = None
    seed: int = 0


@dataclass(frozen=True, slots=True)
class Job:
    """A day to plan. ``label`` is for people and takes no part in the result."""

    label: str
    problem: Problem
    effort: Effort


Runner = Callable[[Sequence[Job]], Sequence[Plan]]
"""Does jobs, in any order and place, and gives their plans in the order of the jobs."""


def run_job(job: Job) -> Plan:
    """The job's plan, verified. Raises PlanRefused when the verifier finds anything."""
    plan = _plan(job)
    check_plan(job.label, job.problem, plan)
    return plan


def _plan(job: Job) -> Plan:
    """The search's plan. Where the clock cut it short while the searches were being compiled it is made again.

    A new installation compiles for half a minute, which no day of a history is to pay for: its plan is kept.
    """
    while True:
        before = compilations()
        plan = solve(job.problem, time_limit_s=job.effort.time_limit_s, seed=job.effort.seed)
        if CUT_NOTE not in plan.notes or compilations() == before:
            return plan


def check_plan(label: str, problem: Problem, plan: Plan) -> None:
    """Raises PlanRefused when the verifier finds anything wrong with the plan."""
    violations = verify(problem, plan)
    if violations:
        raise PlanRefused(f"{label}: " + "; ".join(str(one) for one in violations))


def run_here(jobs: Sequence[Job]) -> tuple[Plan, ...]:
    """Does the jobs one after another in this process; a job that comes twice is done once."""
    plans: dict[str, Plan] = {}
    for job in jobs:
        key = job_key(job)
        if key not in plans:
            plans[key] = run_job(job)
    return tuple(plans[job_key(job)] for job in jobs)


def job_key(job: Job, versions: Iterable[str] = ()) -> str:
    """SHA-256 of all that the plan depends on: the problem, the effort, and what the caller adds to them."""
    parts = (*versions, repr(job.effort), repr(job.problem))
    return hashlib.sha256("\n".join(parts).encode("utf-8")).hexdigest()


def _read_only(mapping: dict[object, object]) -> MappingProxyType[object, object]:
    return MappingProxyType(mapping)


def _as_dict(mapping: MappingProxyType[object, object]) -> tuple[object, ...]:
    return _read_only, (dict(mapping),)


copyreg.pickle(MappingProxyType, _as_dict)  # type: ignore[arg-type]  # problems hold read-only mappings: they travel
