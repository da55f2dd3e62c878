"""The choice among given days by HiGHS against every subset tried. All figures are random and invented."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import pytest

from dispatch.day_choice import best_days
from dispatch.master import Goal, Settled, Shape
from dispatch.planning_day import prepare
from dispatch.rig_days import Sketch
from tests import factories as make
from tests.stub_placer import StubPlacer

NEVER = 10**12


def shape_of(units: int, counts: tuple[int, ...], weights: tuple[int, ...]) -> Shape:
    """Rows for so many units and days a group; the rigs themselves do not matter to the choice."""
    moves = [make.move(f"m{number}", make.item(f"i{number}")) for number in range(units)]
    rigs = [make.rig(f"rig {n}", cost_per_hour_usd=80.0 + n) for n in range(len(counts))]
    problem = make.problem(moves, rigs)
    shape = prepare(problem, StubPlacer(problem)).shape
    assert (len(shape.units), len(shape.groups)) == (units, len(counts))
    return replace(shape, weights=weights, counts=counts)


@dataclass(frozen=True)
class Draw:
    """A random choice to make."""

    shape: Shape
    days: tuple[Sketch, ...]
    aim: Mapping[Goal, int]
    settled: Settled

    def value(self, chosen: Sequence[Sketch]) -> int | None:
        """The objective by hand; ``None``: the choice breaks a rule."""
        hauled = [unit.number for unit in self.shape.units for day in chosen if day.units >> unit.number & 1]
        if len(set(hauled)) < len(hauled):
            return None
        for group, most in enumerate(self.shape.counts):
            if sum(day.group == group for day in chosen) > most:
                return None
        out = sum(w for u, w in zip(self.shape.units, self.shape.weights, strict=True) if u.number not in hauled)
        values = {
            Goal.LEFT_OUT: out,
            Goal.TRIPS: sum(day.trips for day in chosen),
            Goal.COST: sum(day.cents for day in chosen),
        }
        if any(values[goal] > most for goal, most in self.settled.most.items()):
            return None
        return sum(values[goal] * weight for goal, weight in self.aim.items())

    def best(self) -> float:
        """The least objective of all subsets."""
        subsets = (
            [day for place, day in enumerate(self.days) if number >> place & 1]
            for number in range(2 ** len(self.days))
        )
        values = [self.value(subset) for subset in subsets]
        return min((value for value in values if value is not None), default=math.inf)


def draw(seed: int) -> Draw:
    rng = random.Random(f"choice {seed}")
    units, counts = rng.randint(3, 5), (rng.randint(1, 2), rng.randint(0, 2))
    shape = shape_of(units, counts, tuple(rng.randint(1, 4) for _ in range(units)))
    days = tuple(
        Sketch(rng.randrange(2), (), rng.randrange(1, 2**units), rng.randint(1, 3), rng.randint(10_000, 90_000))
        for _ in range(rng.randint(4, 9))
    )
    aims: list[dict[Goal, int]] = [
        {Goal.LEFT_OUT: 1},
        {Goal.TRIPS: 1},
        {Goal.COST: 1},
        {Goal.LEFT_OUT: 4_000_000, Goal.TRIPS: 400_000, Goal.COST: 1},
    ]
    settled: dict[Goal, int] = {}
    if rng.random() < 0.7:
        settled[Goal.LEFT_OUT] = rng.randint(0, 4)
    if rng.random() < 0.4:
        settled[Goal.TRIPS] = rng.randint(1, 5)
    if rng.random() < 0.3:
        settled[Goal.COST] = rng.randint(40_000, 160_000)
    return Draw(shape, days, rng.choice(aims), Settled(settled))


def agree(seed: int) -> float:
    one = draw(seed)
    truth = one.best()
    found = best_days(one.shape, one.aim, one.settled, one.days, at_most=NEVER)
    assert found.impossible == (truth == math.inf), f"seed {seed}"
    if truth < math.inf:
        assert found.chosen is not None
        assert one.value([one.days[place] for place in found.chosen]) == truth, f"seed {seed}"
        assert found.bound <= truth + 1e-4
        below = best_days(one.shape, one.aim, one.settled, one.days, at_most=int(truth) - 1)
        assert below.impossible
        just = best_days(one.shape, one.aim, one.settled, one.days, at_most=int(truth))
        assert just.chosen is not None
    return truth


def test_random_choices() -> None:
    answers = [agree(seed) for seed in range(60)]
    assert 5 < sum(answer == math.inf for answer in answers) < 40


@pytest.mark.slow
def test_many_random_choices() -> None:
    for seed in range(1000, 2000):
        agree(seed)


def test_a_left_out_unit_weighs_what_it_is_worth() -> None:
    """Units of weight 3 and 2; one rig, a day for either: the heavier one is hauled, and one trip is made."""
    shape = shape_of(2, (1,), (3, 2))
    days = [Sketch(0, (), 0b01, 2, 500), Sketch(0, (), 0b10, 1, 400)]
    found = best_days(shape, {Goal.LEFT_OUT: 1}, Settled(), days, at_most=NEVER)
    assert (found.chosen, found.bound) == ((0,), pytest.approx(2))
    fewer = best_days(shape, {Goal.TRIPS: 1}, Settled({Goal.LEFT_OUT: 3}), days, at_most=NEVER)
    assert fewer.chosen == (1,)
    assert best_days(shape, {Goal.TRIPS: 1}, Settled({Goal.LEFT_OUT: 1}), days, at_most=NEVER).impossible
