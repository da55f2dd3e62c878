"""Trailers on offer built by hand for the tests of the search."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from dispatch.comparison.candidates import Build, Candidate
from dispatch.comparison.history import DayVariant, History, Variant
from dispatch.comparison.option_sets import legal_sets
from dispatch.problem import Problem
from tests import factories as make
from tests.dispatch.comparison.small_histories import OUTSIDE

TODAY = "today"
Option = tuple[float, int, Mapping[str, Any]]
"""Pounds that it adds, dollars that it adds, what it changes of the trailer."""


def candidate(
    options: Mapping[str, Option] | None = None,
    excluded: Sequence[tuple[str, str]] = (),
    *,
    trailer: Mapping[str, Any] | None = None,
    price: int = 40_000,
    **more: Any,
) -> Candidate:
    """A trailer ``C`` behind rig R1, a third of every option's weight on the coupler; 10 years, nothing left."""
    options = options or {}
    builds = []
    for chosen in legal_sets(list(options), {frozenset(pair) for pair in excluded}):
        adds = sum(options[name][0] for name in chosen)
        changes = dict(trailer or {})
        for name in chosen:
            changes |= options[name][2]
        made = make.trailer(more.get("name", "C"), 1_600 + adds / 3, 6_400 + adds * 2 / 3, **changes)
        builds.append(Build(chosen, made, Decimal(price + sum(options[name][1] for name in chosen))))
    values: dict[str, Any] = {
        "name": "C",
        "behind": ("R1",),
        "replaces": False,
        "life_years": Decimal(10),
        "days_per_year": Decimal(200),
    }
    return Candidate(builds=tuple(builds), **(values | more))


def history(days: Mapping[str, Problem], *candidates: Candidate) -> History:
    """These days of today's fleet, with the candidates; every outside haul costs 650 USD."""
    problems = {DayVariant(day, TODAY): problem for day, problem in days.items()}
    return History(tuple(days), (Variant(TODAY),), problems, OUTSIDE, candidates)
