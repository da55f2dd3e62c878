"""The stages of a goal: what is cheap and may be enough comes first."""

from __future__ import annotations

import pytest

from benchmarks.generator import Size, day
from dispatch import levels
from dispatch.master import Master
from dispatch.neighbourhoods import Neighbourhoods
from dispatch.plan import Outcome
from dispatch.solve import solve


def never(*_: object) -> None:
    raise AssertionError("this was not needed")


def test_where_few_days_could_be_better_they_are_listed_before_anything_dear(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(Neighbourhoods, "improve", never)
    monkeypatch.setattr(levels, "from_pool", never)
    assert solve(day(Size(12, 3), 0), time_limit_s=None).outcome is Outcome.PROVED


def test_cuts_are_spared_where_a_dive_meets_the_floor_without(monkeypatch: pytest.MonkeyPatch) -> None:
    """On this day the mix is below the plan in hand, and cuts would be found."""
    monkeypatch.setattr(Master, "cut", never)
    assert solve(day(Size(12, 3), 6), time_limit_s=None).outcome is Outcome.PROVED


def test_the_same_day_takes_cuts_without_that_dive(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Master, "cut", never)
    monkeypatch.setattr(levels, "dive", lambda shop, goal, settled, master, best: best)
    with pytest.raises(AssertionError, match="not needed"):
        solve(day(Size(12, 3), 6), time_limit_s=None)
