"""Two ways in which listing rig-days can prove too much, each put in on purpose: the comparison must notice.

Both were made once while the method was developed. The gap within which rig-days are listed must be measured from
the value of the very prices in use, not from a bound that came from elsewhere; and where trips are bounded, a
rig-day stands for another only if it has no more trips. Here nothing but the listing may find plans (no diving, no
pool, no rebuilding, no cuts, no branches), so a rig-day that is missing shows.

Source of the expected values: all rig-days, HiGHS (``listed_trips``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace

import pytest

from dispatch import better_days, floors, levels, quick_search
from dispatch import solve as method
from dispatch.bounds import BoundContradicted
from dispatch.branching import Tree
from dispatch.master import Goal, Master
from dispatch.neighbourhoods import Neighbourhoods
from dispatch.pricing import Priced, Prices, Search
from dispatch.problem import Problem
from dispatch.solve import solve
from dispatch.workshop import Result, Workshop
from tests.external.listed_trips import Listed
from tests.external.proof_days import odd_day, proof_day
from tests.external.second_opinion import Opinion, Said, disagreements
from tests.stub_placer import StubPlacer

GAP_DAYS = tuple(proof_day(seed) for seed in (3, 8))
COUNT_DAYS = tuple(odd_day(seed) for seed in (13, 46))


@contextmanager
def only_the_listing(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A poor first plan, and nothing but the proof to better it; no trip is let off being ruled out."""

    def as_it_was(*given: object) -> object:
        return next(one for one in given if isinstance(one, Result))

    with monkeypatch.context() as patched:
        patched.setattr(method, "REBUILDS", 0)
        patched.setattr(quick_search, "FEW_TRIPS", 0)
        patched.setattr(floors, "broken", lambda *_: [])
        patched.setattr(Neighbourhoods, "improve", lambda _, plan, *__: plan)
        patched.setattr(Tree, "grow", lambda _, best, __: best)
        for stage in ("dive", "from_pool"):
            patched.setattr(levels, stage, as_it_was)
        yield


def wrong_claims(problem: Problem) -> list[str]:
    """What the planner claims against all rig-days, a bound above its own plan included."""
    best = Listed(problem, StubPlacer(problem)).every_day()
    opinion = Opinion("list", {name: Said(value, value) for name, value in best.items()})
    try:
        plan = solve(problem, placer=StubPlacer(problem), time_limit_s=None)
    except BoundContradicted as claimed:
        return [str(claimed)]
    return disagreements(plan.levels, opinion)


@pytest.mark.parametrize("problem", GAP_DAYS + COUNT_DAYS, ids=["gap 3", "gap 8", "count 13", "count 46"])
def test_proofs_by_the_listing_alone_are_right(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> None:
    with only_the_listing(monkeypatch):
        assert wrong_claims(problem) == []


def test_a_gap_measured_from_another_bound_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The error: the bound rounded up, or that of another node, in place of the value of the prices in use."""
    real = levels.generate

    def inherited(shop: Workshop, goal: Goal, master: Master, best: Result, dived: object) -> object:
        best, prices, floor = real(shop, goal, master, best)
        return best, prices, None if floor is None else float(best.bound)

    with only_the_listing(monkeypatch):
        monkeypatch.setattr(levels, "generate", inherited)
        assert any(wrong_claims(problem) for problem in GAP_DAYS)


def test_a_dominance_that_does_not_count_trips_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The error: of all listed rig-days with the same units the cheapest stands for all, whatever its trips."""
    real: Callable[..., list[Priced]] = better_days.price_all

    def careless(shop: Workshop, prices: Sequence[Prices], how: Search) -> list[Priced]:
        return [_one_for_all(priced) if how.every else priced for priced in real(shop, prices, how)]

    with only_the_listing(monkeypatch):
        monkeypatch.setattr(better_days, "price_all", careless)
        assert any(wrong_claims(problem) for problem in COUNT_DAYS)


def _one_for_all(priced: Priced) -> Priced:
    dearest_first = sorted(priced.columns, key=lambda column: -column.cents)
    return replace(priced, columns=tuple({column.units: column for column in dearest_first}.values()))
