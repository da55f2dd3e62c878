"""The orders along the deck against trying all, on the rule itself: nothing stands behind what rolls on or off."""

from __future__ import annotations

import random
from itertools import permutations, product

from dispatch.arrangements import Order, never_behind, orders


def every_order(lifted: list[bool], unload: list[int], neck: bool) -> list[Order]:
    """All orders, those that block a rear-loaded item left out."""
    places = range(len(lifted))
    able = [place for place in places if lifted[place]]
    found = []
    for choice in product((False, True), repeat=len(able)):
        on_neck = [place for place, chosen in zip(able, choice, strict=True) if chosen]
        if on_neck and not neck:
            continue
        for main in permutations([place for place in places if place not in on_neck]):
            if not any(blocked(turn, main, lifted, unload) for turn in range(len(main))):
                found += [Order((*ahead, *main), len(ahead)) for ahead in permutations(on_neck)]
    return found


def blocked(turn: int, main: tuple[int, ...], lifted: list[bool], unload: list[int]) -> bool:
    """Whether a rear-loaded item has one behind it that is there already, or still there when it comes off."""
    one = main[turn]
    return not lifted[one] and any(
        other < one or unload.index(other) > unload.index(one) for other in main[turn + 1 :]
    )


def test_orders_are_those_that_block_nothing_in_the_same_sequence() -> None:
    rng = random.Random(3)
    several = 0
    for _ in range(300):
        count = rng.randint(0, 5)
        lifted = [rng.random() < 0.5 for _ in range(count)]
        unload = rng.sample(range(count), count) if rng.random() < 0.5 else list(range(count))[::-1]
        neck = rng.random() < 0.5
        found = list(orders(lifted, never_behind(lifted, unload), neck=neck))
        assert found == every_order(lifted, unload, neck), (lifted, unload, neck)
        several += len(found) > 1
    assert several > 100


def test_driven_items_stand_in_the_order_in_which_they_come_on() -> None:
    """The first on stands in front, as it comes off last; unloaded in another order nothing is possible."""
    driven = [False, False, False]
    assert list(orders(driven, never_behind(driven, [2, 1, 0]), neck=True)) == [Order((0, 1, 2), 0)]
    assert list(orders(driven, never_behind(driven, [0, 1, 2]), neck=True)) == []
