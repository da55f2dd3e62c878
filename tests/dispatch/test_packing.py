"""Packing against plain enumeration: prices, listed loads, floors and the fewest boxes."""

from __future__ import annotations

import random
from collections import Counter
from functools import cache
from itertools import combinations_with_replacement

import numpy as np
import pytest

from dispatch.packing import Packer, Packing
from dispatch.pattern_listing import full_loads
from dispatch.pattern_pricing import Kinds, Pattern, PatternPricer


def kinds(sizes: list[tuple[int, ...]], counts: list[int], room: tuple[int, ...]) -> Kinds:
    """``sizes`` without the last measure, which counts things."""
    whole = [(*size, 1) for size in sizes]
    return Kinds(np.array(whole), np.array(counts), np.array(room))


def drawn(seed: int) -> Kinds:
    """Up to six kinds, nine things; weight, length or number may bind."""
    rng = random.Random(seed)
    number = rng.randint(2, 6)
    counts = [1] * number
    for _ in range(rng.randint(0, 9 - number)):
        counts[rng.randrange(number)] += 1
    scale = rng.choice([1, 7, 500])
    sizes = [(scale * rng.randint(20, 70), rng.randint(5, 50)) for _ in range(number)]
    return kinds(sizes, counts, (scale * 100, rng.choice([70, 100, 400]), rng.choice([2, 3, 5])))


def all_loads(some: Kinds) -> list[Pattern]:
    numbers = range(len(some.counts))
    loads = (load for n in range(1, 10) for load in combinations_with_replacement(numbers, n))
    return [load for load in loads if some.fits(load)]


def fewest(some: Kinds, loads: list[Pattern]) -> int | None:
    """By trying every load for the first thing that is left."""

    @cache
    def rest(left: tuple[int, ...]) -> int | None:
        first = next((kind for kind, count in enumerate(left) if count), None)
        if first is None:
            return 0
        best = None
        for load in loads:
            after = tuple(count - load.count(kind) for kind, count in enumerate(left))
            if first in load and min(after) >= 0:
                others = rest(after)
                if others is not None and (best is None or others + 1 < best):
                    best = others + 1
        return best

    return rest(tuple(int(count) for count in some.counts))


def holds_everything(some: Kinds, packing: Packing) -> bool:
    assert packing.loads is not None
    packed = Counter(kind for load in packing.loads for kind in load)
    return all(some.fits(load) for load in packing.loads) and packed == dict(enumerate(some.counts))


def test_full_boxes_where_the_largest_first_needs_one_more() -> None:
    """By hand: 5+3+2, 4+4+2 and 4+3+3 fill three boxes of 10; largest first (5+4, 4+4+2, 3+3+3, 2) needs four."""
    some = kinds([(5,), (4,), (3,), (2,)], [1, 3, 3, 2], (10, 3))
    packing = Packer(some).pack()
    assert packing.floor == 3
    assert packing.loads is not None
    assert len(packing.loads) == 3
    assert holds_everything(some, packing)


def test_a_floor_that_no_linear_programme_gives() -> None:
    """By hand: five things, any two of them a box and no three. Two boxes and a half, so three."""
    assert Packer(kinds([(4,)], [5], (10, 9))).pack().floor == 3


def test_a_floor_that_only_the_listing_gives() -> None:
    """By hand: of six things only those of one trio go together, two and two. Halves of pairs need three boxes."""
    some = kinds([(10 - kind,) for kind in range(6)], [1] * 6, (99, 2))
    packing = Packer(some, lambda load: len({kind // 3 for kind in load}) == 1).pack()
    assert packing.floor == 4
    assert packing.loads is not None
    assert len(packing.loads) == 4


def test_a_thing_that_no_load_may_carry_ends_the_search() -> None:
    some = kinds([(5,), (4,)], [1, 2], (10, 3))
    assert Packer(some, lambda load: 0 not in load).pack().loads is None


@pytest.mark.parametrize("seed", range(40))
def test_prices_by_trying_every_load(seed: int) -> None:
    some, rng = drawn(seed), random.Random(seed)
    values = np.array([rng.uniform(0, 1) for _ in some.counts])
    loads = all_loads(some)
    refused = set(rng.sample(loads, min(len(loads), rng.choice([0, 3]))))
    worth = {load: float(values[list(load)].sum()) for load in loads if load not in refused}
    found = PatternPricer(some, refused).search(values, 0.2)
    best = max(worth.values(), default=0.0)
    assert found.most == pytest.approx(max(best, 0.2), abs=1e-6)
    for first in range(len(some.counts)):
        own = [value for load, value in worth.items() if load[0] == first]
        if own and max(own) > 0.2 + 1e-6:
            mine = [load for load in found.patterns if load[0] == first]
            assert [worth[load] for load in mine] == [pytest.approx(max(own), abs=1e-6)]


def test_a_cap_on_steps_leaves_a_true_bound() -> None:
    some = drawn(3)
    values = np.array([0.3 + 0.05 * kind for kind in range(len(some.counts))])
    best = PatternPricer(some).search(values, 0.0).most
    assert PatternPricer(some).search(values, 0.0, nodes=1).most >= best - 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_listed_loads_are_those_that_waste_little(seed: int) -> None:
    some = drawn(seed)
    boxes = fewest(some, all_loads(some))
    if boxes is None:
        return
    waste = boxes * some.room - some.sizes.T @ some.counts
    expected = [
        load for load in all_loads(some) if (some.room - some.sizes[list(load)].sum(axis=0) <= waste).all()
    ]
    listed = full_loads(some, boxes, ())
    assert listed is not None
    assert sorted(listed) == sorted(expected)


@pytest.mark.parametrize("seed", range(60))
def test_the_fewest_boxes_by_trying_everything(seed: int) -> None:
    some, rng = drawn(seed), random.Random(seed)
    loads = all_loads(some)
    illegal = {load for load in loads if len(load) > 1 and rng.random() < rng.choice([0.0, 0.0, 0.3])}
    best = fewest(some, [load for load in loads if load not in illegal])
    packing = Packer(some, lambda load: load not in illegal).pack()
    if best is None:
        assert packing.loads is None
        return
    assert packing.floor <= best
    assert packing.loads is not None
    assert holds_everything(some, packing)
    assert not illegal & set(packing.loads)
    assert len(packing.loads) >= best
    if not illegal:
        assert len(packing.loads) == packing.floor == best
