"""Small histories built by hand for the tests of the comparison."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from dispatch.comparison.compare import Comparison, compare
from dispatch.comparison.history import DayVariant, History, Variant
from dispatch.comparison.jobs import Effort, run_here
from dispatch.fleet import Rig
from dispatch.money.outside_haul import OutsideRow
from dispatch.moves import Move
from dispatch.problem import Problem
from tests import factories as make

BASE, MORE = "today", "one more"
OUTSIDE = (OutsideRow(2, per_trip_usd=Decimal(650)),)


def two_fleets(days: Mapping[str, Problem], newcomers: Sequence[str], **money: Any) -> History:
    """Every day with all its rigs as the fleet ``one more``; without the newcomers as ``today``."""
    problems = {}
    for day, problem in days.items():
        fewer = tuple(rig for rig in problem.rigs if rig.name not in newcomers)
        problems[DayVariant(day, BASE)] = replace(problem, rigs=fewer)
        problems[DayVariant(day, MORE)] = problem
    more = Variant(MORE, **({"ownership_usd": Decimal(14_500), "days_per_year": Decimal(200)} | money))
    return History(tuple(days), (Variant(BASE, days_per_year=Decimal(200)), more), problems, OUTSIDE)


def big(name: str, **more: Any) -> Move:
    """A machine that fills a deck, over ten miles and twenty minutes."""
    return make.move(name, make.item(f"machine {name}", 9_000, 250), **more)


def day(moves: Sequence[Move], rigs: Sequence[Rig]) -> Problem:
    """A day without costs per trip: every two places are ten miles and twenty minutes apart."""
    return make.problem(moves, rigs)


def compared(history: History, seed: int = 0) -> Comparison:
    """The history compared in this process, without a clock."""
    return compare(history, Effort(None, seed), run_here)
