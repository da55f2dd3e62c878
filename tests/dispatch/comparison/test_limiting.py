"""Days built so that one resource is the limit: it is the one that is named.

Yard to a, load, to b, unload and home takes 20 + 20 + 20 + 15 + 20 = 95 minutes, another trip 75 more.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from dispatch.comparison.compare import outcomes_of, plans_of
from dispatch.comparison.jobs import Effort, run_here
from dispatch.comparison.limiting import DayLimit, limits_of, tally
from dispatch.comparison.relaxations import Resource
from dispatch.fleet import Rig
from dispatch.problem import Problem
from dispatch.solve import solve
from tests import factories as make
from tests.dispatch.comparison.small_histories import MORE, big, two_fleets

ONE_TRIP = {"shift_end_min": 360 + 95}


def rig(name: str, truck: str, trailer: str, driver: str, **more: Any) -> Rig:
    return make.rig(name, truck=make.truck(truck), trailer=make.trailer(trailer), driver=driver, **more)


def pair(truck: str, driver: str, **more: Any) -> list[Rig]:
    """Today's rig, and the newcomer that has this truck and this driver."""
    return [rig("R1", "T1", "G1", "Dana", **more), rig("R2", truck, "G2", driver, **more)]


def trailer_pair(truck: str, driver: str) -> list[Rig]:
    """Today's rig, and a newcomer with this truck and driver that has to take the same trailer."""
    return [rig("R1", "T1", "G1", "Dana", **ONE_TRIP), rig("R2", truck, "G1", driver, **ONE_TRIP)]


def limit_of(problem: Problem) -> DayLimit:
    history = two_fleets({"d": problem}, ["R2"])
    outcomes = outcomes_of(history, plans_of(history, Effort(), run_here))
    (found,) = limits_of(history, outcomes, Effort(), run_here)
    return found


TWO = [big("1"), big("2")]
AT_SITE = {"sites": [make.site("b", closes_min=420)]}
HEAVY = make.move("1", make.item("heavy", 16_000, 200))
CASES = {
    "trucks": (make.problem(TWO, pair("T1", "Lee", **ONE_TRIP)), ((Resource.TRUCKS,),)),
    "drivers": (make.problem(TWO, pair("T2", "Dana", **ONE_TRIP)), ((Resource.DRIVERS,),)),
    "a truck with its driver": (
        make.problem(TWO, pair("T1", "Dana", **ONE_TRIP)),
        ((Resource.TRUCKS, Resource.DRIVERS),),
    ),
    "trailers": (make.problem(TWO, trailer_pair("T2", "Lee")), ((Resource.TRAILERS,),)),
    "a trailer with its driver": (
        make.problem(TWO, trailer_pair("T2", "Dana")),
        ((Resource.DRIVERS, Resource.TRAILERS),),
    ),
    "a trailer with its truck": (
        make.problem(TWO, trailer_pair("T1", "Lee")),
        ((Resource.TRUCKS, Resource.TRAILERS),),
    ),
    "shift hours": (make.problem(TWO[:1], pair("T2", "Lee", shift_end_min=360 + 94)), ((Resource.SHIFTS,),)),
    "site hours": (make.problem(TWO[:1], pair("T2", "Lee"), **AT_SITE), ((Resource.SITE_HOURS,),)),
    "weights": (make.problem([HEAVY], pair("T2", "Lee")), ((Resource.WEIGHTS,),)),
    "nothing": (make.problem(TWO[:1], pair("T2", "Lee")), ()),
}


@pytest.mark.parametrize("name", CASES)
def test_the_limit_is_named_rightly(name: str) -> None:
    problem, expected = CASES[name]
    assert limit_of(problem).limits == expected


def test_a_day_that_the_newcomer_changes_is_not_asked_about() -> None:
    history = two_fleets({"d": make.problem(TWO, pair("T2", "Lee", **ONE_TRIP))}, ["R2"])
    outcomes = outcomes_of(history, plans_of(history, Effort(), run_here))
    assert limits_of(history, outcomes, Effort(), run_here) == ()


def test_limits_are_counted_by_day() -> None:
    days = [DayLimit(str(n), MORE, ((Resource.TRUCKS,),), ()) for n in range(3)]
    days += [DayLimit("3", MORE, (), ()), DayLimit("4", "another", (), ())]
    assert tally(days, MORE) == {(Resource.TRUCKS,): 3, (): 1}


@pytest.mark.slow
@pytest.mark.parametrize("resource", Resource)
@pytest.mark.parametrize("seed", range(3))
def test_more_of_anything_never_makes_a_day_worse(resource: Resource, seed: int) -> None:
    """The plan of the day itself is legal on the relaxed day: the verifier says so of its trips and times."""
    from dispatch.comparison.relaxations import relaxed  # noqa: PLC0415
    from dispatch.verify import verify  # noqa: PLC0415
    from tests.external.random_days import random_day  # noqa: PLC0415

    problem = random_day(seed)
    more = relaxed(problem, {problem.rigs[-1].name}, [resource])
    plan = solve(problem, time_limit_s=None)
    unclaimed = replace(plan, levels=())
    assert [str(one) for one in verify(more, replace(unclaimed, outcome=plan.outcome))] == []
    better = solve(more, time_limit_s=None)
    assert [one.value for one in better.levels][:2] <= [one.value for one in plan.levels][:2]
