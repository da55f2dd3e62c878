"""The two histories of ``scenarios/``: they read clean, hold what they promise, and give their known answers.

The figures that their READMEs quote are held here.
"""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from dispatch.io.job_pool import in_processes, with_cache
from dispatch.io.job_progress import JobProgress
from dispatch.io.plan_cache import PlanCache
from dispatch.io.read_workbook import Wanted, read_inputs

from dispatch.comparison.answer import answer
from dispatch.comparison.compare import Comparison, compare
from dispatch.comparison.history import History
from dispatch.comparison.jobs import Effort
from dispatch.comparison.relaxations import Resource

SCENARIOS = Path(__file__).parent.parent / "scenarios"
SECOND, THIRD = "second-gooseneck", "third-trailer"
FAR = {"Dam works", "Wind park", "Ridge road"}


@cache
def history(name: str) -> History:
    found = read_inputs([SCENARIOS / name], wanted=Wanted(all_days=True))
    assert [str(one) for one in (*found.problems, *found.warnings)] == []
    assert found.history is not None
    return found.history


@cache
def compared_history(name: str) -> Comparison:
    """A history, planned on two processes without a clock; once, whatever test asks for it."""
    with TemporaryDirectory() as kept:
        run = with_cache(in_processes(2), PlanCache(Path(kept)), JobProgress(None))
        return compare(history(name), Effort(), run)


def far_moves(name: str) -> dict[str, int]:
    """How many machines of each day go to or come from far away."""
    found = history(name)
    return {
        day: sum(bool({move.origin, move.destination} & FAR) for move in found.problem(day, "today").moves)
        for day in found.days
    }


@pytest.mark.parametrize(("name", "days", "rigs"), [(SECOND, 22, (2, 3)), (THIRD, 20, (2, 3))])
def test_the_histories_are_of_the_promised_size(name: str, days: int, rigs: tuple[int, int]) -> None:
    found = history(name)
    assert len(found.days) == days
    assert tuple(len(found.problem(found.days[0], one.name).rigs) for one in found.variants) == rigs
    assert len(found.outside) == 2


def test_the_days_are_as_busy_as_told() -> None:
    assert sum(count >= 3 for count in far_moves(SECOND).values()) == 7
    assert Counter(count == 5 for count in far_moves(THIRD).values()) == {True: 12, False: 8}


@pytest.mark.slow
def test_the_second_gooseneck_pays_on_the_days_that_are_told() -> None:
    found = compared_history(SECOND)
    busy = {day for day, count in far_moves(SECOND).items() if count >= 3} - {"2026-03-13"}
    changed = {one.day for one in found.differences if not one.same_work}
    assert changed == busy
    assert len(busy) == 6
    (whole,) = found.totals
    assert (whole.outside_hauls, whole.trips.found, whole.trips.exact) == (6, -6, True)
    assert (whole.own_cents, whole.outside_cents) == (-271_605, 425_188)
    (year,) = found.years
    assert (year.saving_cents, year.ownership_cents, year.net_cents) == (1_605_640, 557_063, 1_048_577)
    assert round(float(year.payback_years or 0), 1) == 2.6
    assert year.tornado[0].figure == "outside price"
    limits = {one.day: one.limits for one in found.limits}
    assert len(limits) == 16
    assert {day: limit for day, limit in limits.items() if limit} == {"2026-03-10": ((Resource.WEIGHTS,),)}
    assert answer(found).startswith("Yes: second gooseneck saves 6 outside hauls")


@pytest.mark.slow
def test_trucks_are_the_limit_of_the_third_trailer() -> None:
    found = compared_history(THIRD)
    busy = {day for day, count in far_moves(THIRD).items() if count == 5}
    assert all(one.same_work and one.trips.exact for one in found.differences)
    limits = {one.day: one.limits for one in found.limits}
    assert {day for day, limit in limits.items() if limit == ((Resource.TRUCKS,),)} == busy
    assert {day for day, limit in limits.items() if limit == ()} == set(found.history.days) - busy
    (year,) = found.years
    assert (year.saving_cents, year.net_cents, year.break_even_days) == (0, -590_000, None)
    assert answer(found).startswith(
        "No: third trailer hauls no more and saves no trip on any of 20 days: trucks on 12"
    )
