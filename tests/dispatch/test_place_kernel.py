"""The compiled search against plain enumeration, on tables of no rig: the first legal places, or none."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise, product

import numpy as np
import numpy.typing as npt
import pytest

from dispatch.fleet import Deck
from dispatch.items import Weight, WeightBasis
from dispatch.load_rules import load_rules
from dispatch.load_tables import contributions, rows_of, spot
from dispatch.place_kernel import first_lines
from dispatch.settings import Settings
from tests import factories as make

Floats = npt.NDArray[np.float64]


class Draw:
    """Random items, rows and legs. Bounds lie near what some places add, so that both answers occur."""

    def __init__(self, seed: int) -> None:
        rng = random.Random(seed)
        count = rng.randint(1, 4)
        widths = [rng.randint(1, {1: 40, 2: 25, 3: 12, 4: 7}[count]) for _ in range(count)]
        self.low = np.array([rng.randint(-5, 30) for _ in range(count)])
        self.high = self.low + widths - 1
        self.step = np.array([rng.randint(-20, 20) for _ in range(count - 1)], np.int64)
        slopes = [rng.choice([-1, 1]) * rng.uniform(0.001, 0.01) for _ in range(rng.randint(1, 5))]
        self.slope = np.array([*slopes, 0.0])
        centre = [rng.uniform(-300, 300) for _ in slopes]
        tables = []
        for width in widths:
            low_lb = rng.uniform(1_000, 9_000)
            high_lb = low_lb * rng.choice([1.0, 1.01, 1.3])
            place = np.arange(width) + rng.uniform(-60, 60)
            factors = [s * (place - c) for s, c in zip(slopes, centre, strict=True)]
            hinge = np.sort([rng.choice([0.0, 1.0, 2.0]) for _ in range(width)]) * 1_000
            tables.append(np.array([*(np.maximum(f * low_lb, f * high_lb) for f in factors), hinge]).T)
        self.table = np.ascontiguousarray(np.concatenate(tables))  # as the product does: one compilation
        self.start = np.cumsum([0, *widths[:-1]]) - self.low
        legs = [tuple(range(k)) for k in range(1, count + 1) if k == count or rng.random() < 0.4]
        self.aboard = np.array([[i in leg for i in range(count)] for leg in legs])
        some = [rng.randint(a, b) for a, b in zip(self.low.tolist(), self.high.tolist(), strict=True)]
        rows = self.table[self.start + some]
        reach = rng.choice([5.0, 50.0, 500.0])
        spread = [[rng.uniform(-reach / 2, reach) for _ in self.slope] for _ in legs]
        self.bounds = self.aboard.astype(float) @ rows + np.array(spread)
        self.bounds[rng.randrange(len(legs)), -1] = np.inf

    def first(self) -> list[int] | None:
        """The smallest legal places in line order by trying all."""
        spans = [range(a, b + 1) for a, b in zip(self.low.tolist(), self.high.tolist(), strict=True)]
        return next((list(places) for places in product(*spans) if self.legal(places)), None)

    def legal(self, places: tuple[int, ...]) -> bool:
        if any(b - a < step for (a, b), step in zip(pairwise(places), self.step.tolist(), strict=True)):
            return False
        rows = self.table[self.start + np.array(places)]
        return all(
            (rows[leg].sum(axis=0) <= bound).all() for leg, bound in zip(self.aboard, self.bounds, strict=True)
        )

    def found(self) -> list[int] | None:
        """The same by the compiled search: one request, one order, a stance an item."""
        count, legs = len(self.low), len(self.aboard)
        itself, once = np.arange(count), np.zeros(1, np.int64)
        _, places, taken = first_lines(
            self.table,
            self.slope,
            self.bounds,
            self.start,
            self.low,
            self.high,
            np.zeros(count),
            np.array([*self.step, 0], np.float64),
            0.0,
            itself.reshape(1, 1, count, 1),
            itself.reshape(1, count),
            once,
            (self.aboard @ (1 << itself)).reshape(1, legs),
            np.array([legs]),
            np.full((1, count), np.inf),
            np.zeros((1, count), np.int64),
            itself.reshape(1, count),
            once,
            once,
            once + 1,
        )
        return places[0].tolist() if taken[0] == 0 else None


def agree(seed: int) -> bool:
    draw = Draw(seed)
    found = draw.found()
    assert found == draw.first(), f"seed {seed}"
    return found is not None


def test_a_sample_gives_the_first_legal_places() -> None:
    answers = [agree(seed) for seed in range(300)]
    assert 60 < sum(answers) < 240


@pytest.mark.slow
def test_thousands_give_the_first_legal_places() -> None:
    answers = [agree(seed) for seed in range(10_000, 20_000)]
    assert 2_000 < sum(answers) < 8_000


def first_of(
    orders: list[list[int]], decks: list[int], bound_lb: float, choices: list[list[list[int]]]
) -> tuple[int, list[int]]:
    """The order and the stances taken for two items with stances 0, 1 (2 lb each) and 2 (2 lb), 3 (1 lb)."""
    stances, _, taken = first_lines(
        np.array([[2.0], [2.0], [2.0], [1.0]]),
        np.zeros(1),
        np.full((max(len(decks), 1), 1), bound_lb),
        np.arange(4),
        np.zeros(4, np.int64),
        np.zeros(4, np.int64),
        np.array([0.0, 0.0, 50.0, 50.0]),
        np.full(4, 40.0),
        6.0,
        np.array([[one, one] for one in choices]),
        np.array(orders),
        np.zeros(len(orders), np.int64),
        np.array([decks], np.int64),
        np.array([len(decks)]),
        np.full((1, 2), np.inf),
        np.zeros((1, 2), np.int64),
        np.array([[0, 1]]),
        np.zeros(1, np.int64),
        np.zeros(1, np.int64),
        np.array([len(orders)]),
    )
    return int(taken[0]), stances[0].tolist()


def test_the_first_facings_with_places_are_taken() -> None:
    """Two items, two stances each: 3 lb of room; only the second item turned round leaves any."""
    assert first_of([[0, 1]], [0b11], 3.0, [[[0, 1], [2, 3]]]) == (0, [0, 3])
    assert first_of([[0, 1]], [0b11], 3.0, [[[0, 1], [2, -1]]])[0] == -1
    assert first_of([[0, 1]], [0b11], 3.0, [[[-1, 1], [-1, 3]]]) == (0, [1, 3])


def test_the_first_order_with_places_is_taken() -> None:
    """The second item's deck begins 4 in behind the first item's end, gap and all: it cannot stand ahead."""
    both = [[[0, 1], [2, 3]]]
    assert first_of([[1, 0], [0, 1]], [0b11], 3.0, both) == (1, [0, 3])
    assert first_of([[1, 0]], [0b11], 3.0, both)[0] == -1


def test_every_leg_counts_those_aboard_alone() -> None:
    """2 lb of room: enough for either item on a leg of its own, not for both."""
    both = [[[0, 1], [2, 3]]]
    assert first_of([[0, 1]], [0b01, 0b10], 2.0, both) == (0, [0, 2])
    assert first_of([[0, 1]], [0b01, 0b11], 2.0, both)[0] == -1
    assert first_of([[0, 1]], [], 0.0, both) == (0, [0, 2])
    assert first_of([[0, 1]], [0b01], 1.0, both)[0] == -1


def test_what_the_search_relies_on() -> None:
    """Contributions only grow or only fall rearward, as the slope says, and linear rules are convex in place."""
    rng = random.Random(5)
    for number in range(60):
        length = rng.randint(40, 140)
        contact = length - rng.randint(0, 30)
        start = rng.randint(0, length - contact)
        item = make.item(
            f"m{number}",
            length_in=float(length),
            contact_from_in=float(start),
            contact_length_in=float(contact),
            cg_in=start + contact * rng.uniform(0.0, 1.0),
            two_axles=rng.random() < 0.3,
        )
        low_lb = rng.uniform(1_000, 9_000)
        weight = Weight(low_lb, low_lb, low_lb * rng.choice([1.0, 1.1, 1.6]), WeightBasis.ESTIMATE)
        trailer = make.trailer(
            neck=make.neck(), dovetail_length_in=rng.choice([0.0, 100.0]), dovetail_rating_lb=5_000.0
        )
        rig = make.rig(trailer=trailer)
        rows = rows_of(rig, Settings(), load_rules(rig, Settings(), make.rules()))
        for deck in Deck:
            place = spot(rig, Settings(), item, deck, rng.choice(item.facings))
            if place is None:
                continue
            table = contributions(rig, rows, replace(item, weight=weight), place)
            grows = np.diff(table, axis=1) * np.where(rows.slopes < 0, -1.0, 1.0)[:, None]
            assert grows.min(initial=0.0) > -1e-8
            assert np.diff(table[rows.slopes != 0], 2, axis=1).min(initial=0.0) > -1e-8
