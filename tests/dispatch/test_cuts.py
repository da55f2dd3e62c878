"""Cuts of three units: no whole choice breaks one, a mix of halves does, and the linear programme keeps them."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from dispatch.cuts import LEAST_BREACH, MOST_A_ROUND, MOST_A_UNIT, broken
from dispatch.master import Goal, Master, Settled
from dispatch.rig_days import Sketch
from tests.dispatch.test_day_choice import shape_of


def day(*units: int, group: int = 0, trips: int = 1) -> Sketch:
    return Sketch(group, (), sum(1 << unit for unit in units), trips, 10_000 + sum(units))


def test_half_of_each_side_of_a_triangle() -> None:
    """Days for every two of units 1, 4 and 6, half of each: one and a half days have two of the three."""
    days = [day(1, 4), day(4, 6), day(1, 6), day(0), day(2, 3)]
    assert broken(days, [0.5, 0.5, 0.5, 1.0, 1.0], range(8), []) == [1 << 1 | 1 << 4 | 1 << 6]


def test_a_known_cut_is_not_given_again() -> None:
    days = [day(1, 4), day(4, 6), day(1, 6)]
    assert broken(days, [0.5] * 3, range(8), [1 << 1 | 1 << 4 | 1 << 6]) == []


def test_days_not_in_the_mix_do_not_count() -> None:
    days = [day(1, 4), day(4, 6), day(1, 6)]
    assert broken(days, [0.5, 0.5, 0.0], range(8), []) == []


def test_a_breach_too_small_is_left_alone() -> None:
    share = (1 + LEAST_BREACH / 2) / 3
    assert broken([day(1, 4), day(4, 6), day(1, 6)], [share] * 3, range(8), []) == []


def test_no_whole_choice_breaks_any_cut() -> None:
    """Days that share no unit: of any three units at most one day has two."""
    rng = random.Random(3)
    for _ in range(200):
        units = list(range(rng.randint(3, 9)))
        rng.shuffle(units)
        chosen = []
        while units:
            size = rng.randint(1, 4)
            chosen.append(day(*units[:size]))
            units = units[size:]
        for triple in combinations(range(9), 3):
            mask = sum(1 << unit for unit in triple)
            assert sum((one.units & mask).bit_count() > 1 for one in chosen) <= 1
        assert broken(chosen, [1.0] * len(chosen), range(9), []) == []


def test_what_is_found_is_broken_and_the_most_broken_first() -> None:
    rng = random.Random(4)
    rounds = 0
    for _ in range(60):
        days = [day(*rng.sample(range(9), rng.randint(2, 4))) for _ in range(12)]
        shares = [rng.choice([0.0, 0.25, 0.5]) for _ in days]
        found = broken(days, shares, range(9), [])
        breach = [
            sum(share for one, share in zip(days, shares, strict=True) if (one.units & cut).bit_count() > 1) - 1
            for cut in found
        ]
        assert all(cut.bit_count() == 3 for cut in found)
        assert breach == sorted(breach, reverse=True)
        assert min(breach, default=1.0) >= LEAST_BREACH
        assert len(found) <= MOST_A_ROUND
        assert all(sum(cut >> unit & 1 for cut in found) <= MOST_A_UNIT for unit in range(9))
        rounds += bool(found)
    assert rounds > 20


def test_the_programme_keeps_a_cut_and_prices_it() -> None:
    """Three units, three rigs, a day of one trip for every two, two trips for all three.

    Halves of the pairs: 1.5 trips. At most one day with two of the three: 2, whether a pair and one or all three.
    """
    shape = shape_of(3, (3,), (1, 1, 1))
    days = [day(0, 1), day(1, 2), day(0, 2), day(0, 1, 2, trips=2), day(0), day(1), day(2)]
    master = Master(shape, Goal.TRIPS, Settled({Goal.LEFT_OUT: 0}))
    master.add(days[:4])
    assert master.solve()[0] == pytest.approx(1.5)
    (cut,) = broken(master.columns, master.fractional(), list(shape.row_of), master.cuts)
    master.cut([cut])
    master.add(days[4:])
    value, (prices,) = master.solve()
    assert value == pytest.approx(2.0)
    ((mask, price),) = prices.cuts
    assert (mask, price > 0) == (0b111, True)
    assert min(prices.reduced(one) for one in days) >= -1e-9
    shares = master.fractional()
    in_use = [prices.reduced(one) for one, share in zip(days, shares, strict=True) if share > 1e-9]
    assert in_use == pytest.approx([0.0] * len(in_use))
    pairs = sum(share for one, share in zip(days, shares, strict=True) if one.units.bit_count() > 1)
    assert pairs <= 1 + 1e-9
