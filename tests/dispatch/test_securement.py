"""Securement of items on a rig."""

from __future__ import annotations

import math
import random
from collections.abc import Hashable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.fleet import Rig
from dispatch.items import Contact, Item, Kind, Weight, WeightBasis
from dispatch.securement import (
    Hold,
    holding_options,
    is_secure,
    least_tie_downs,
    light_vehicle_least,
    machine_least,
    required_wll_lb,
    secure,
    tie_downs_needed,
)
from tests import factories as make


def weighed(name: str, weight_lb: float, length_in: float = 144, **overrides: Any) -> Item:
    """A machine whose greatest true weight is the one given."""
    exact = Weight(weight_lb, weight_lb, weight_lb, WeightBasis.SCALE_TICKET)
    return make.item(name, length_in=length_in, weight=exact, **overrides)


def rig(anchors: int | None = None, anchor_lb: float | None = None, **overrides: Any) -> Rig:
    trailer = make.trailer(anchor_points=anchors, anchor_rating_lb=anchor_lb)
    return make.rig(trailer=trailer, **overrides)


def test_two_skid_steers_need_eight_anchor_points() -> None:
    """Common practice, no published source: four tie-downs a machine, so eight points for two."""
    pair = [weighed("skid steer 1", 10_200), weighed("skid steer 2", 10_200)]
    eight = secure(pair, rig(anchors=8))
    assert (eight.enough, eight.tie_downs, eight.anchors) == (True, 8, 8)
    seven = secure(pair, rig(anchors=7))
    assert not seven.enough
    assert seven.shortage == "needs 8 anchor points, carries 7"


def test_four_chains_of_6_600_lb_hold_26_400_lb_and_no_more() -> None:
    """49 CFR 393.106(d) (from memory): four direct chains count half, 13,200 lb."""
    four = rig(chains=4, chain_rating_lb=6_600)
    at_limit = secure([weighed("dozer", 26_400)], four)
    assert at_limit.enough
    (holding,) = at_limit.holdings
    assert (holding.chains, holding.straps, holding.hold, holding.anchors) == (4, 0, Hold.DIRECT, 4)
    assert holding.least_wll_lb == pytest.approx(6_600)
    assert holding.needed_wll_lb == pytest.approx(13_200)
    over = secure([weighed("dozer", 26_401)], four)
    assert (over.enough, over.count_enough) == (False, True)
    assert over.shortage == "needs 5 chains, carries 4; or 4 tie-downs rated 6,600 lb each"


def test_heavy_machines_take_chains_only() -> None:
    """49 CFR 393.130: straps do not count for a wheeled or tracked machine of 10,000 lb or more."""
    straps_only = rig(chains=0, straps=8, strap_rating_lb=6_600)
    assert not secure([weighed("roller", 10_000)], straps_only).count_enough
    assert secure([weighed("roller", 9_999)], straps_only).enough
    assert secure([weighed("generator", 12_000, contact=Contact.SKIDS)], straps_only).enough


def test_anchor_rating_weakens_the_chain() -> None:
    strong, weak = (rig(anchors=12, anchor_lb=lb, chain_rating_lb=6_600) for lb in (7_000, 5_000))
    dozer = weighed("dozer", 26_000)
    assert secure([dozer], strong).tie_downs == 4
    assert secure([dozer], weak).tie_downs == math.ceil(13_000 / 2_500)


def test_attachments_are_held_over_the_top() -> None:
    """Over the top counts full and uses two anchor points; 393.110 asks for two over 1,100 lb."""
    bucket = make.lifted("bucket", 1_500, 48)
    (holding,) = secure([bucket], rig(anchors=4, straps=2, strap_rating_lb=3_300)).holdings
    assert (holding.straps, holding.anchors, holding.hold) == (2, 4, Hold.OVER)
    assert holding.aggregate_wll_lb == 6_600
    assert not secure([bucket], rig(anchors=3)).enough


def test_unknown_ratings_are_not_checked_and_said() -> None:
    unrated = secure([weighed("dozer", 60_000)], rig(chain_rating_lb=None))
    assert (unrated.enough, unrated.wll_checked, unrated.aggregate_wll_lb) == (True, False, None)
    assert unrated.holdings[0].least_wll_lb == pytest.approx(15_000)
    rated = secure([weighed("dozer", 20_000)], rig())
    assert rated.wll_checked


def test_mixed_chains_and_straps() -> None:
    """One chain and one strap where the chains are needed elsewhere."""
    gear = rig(chains=5, chain_rating_lb=6_600, straps=1, strap_rating_lb=3_333)
    result = secure([weighed("dozer", 20_000), weighed("loader", 9_000, 96)], gear)
    assert result.enough
    assert [(h.chains, h.straps) for h in result.holdings] == [(4, 0), (1, 1)]


def test_ratings_too_low_for_any_number() -> None:
    weak = secure([weighed("dozer", 20_000)], rig(chain_rating_lb=5))
    assert not weak.enough
    assert weak.shortage == "the ratings are too low to hold dozer; or 4 tie-downs rated 5,000 lb each"
    assert len(weak.holdings) == 1


def test_nothing_to_hold() -> None:
    empty = secure([], rig(chains=0, straps=0))
    assert (empty.enough, empty.tie_downs, empty.holdings) == (True, 0, ())


@pytest.mark.parametrize(
    ("length_ft", "weight_lb", "count"),
    [
        (0.5, 50, 1),
        (5, 1_100, 1),
        (5, 1_100.5, 2),
        (10, 50_000, 2),
        (10.01, 1, 3),
        (20, 1, 3),
        (20.1, 1, 4),
        (30, 1, 4),
    ],
)
def test_count_boundaries(length_ft: float, weight_lb: float, count: int) -> None:
    """49 CFR 393.110(b)."""
    assert least_tie_downs(12 * length_ft, weight_lb) == count


def test_blocked_forward_asks_one_for_each_ten_feet() -> None:
    """49 CFR 393.110(c)."""
    assert [least_tie_downs(12 * feet, 9_000, blocked_forward=True) for feet in (4, 10, 10.1, 20)] == [1, 1, 2, 2]


def test_length_noise_of_a_conversion_asks_no_further_tie_down() -> None:
    assert least_tie_downs(3.048 / 0.0254 + 1e-9, 9_000) == 2


def test_long_heavy_machine_goes_by_length() -> None:
    count, clause = machine_least(12 * 45, 60_000)
    assert (count, "393.110" in clause) == (6, True)


def test_light_vehicle_clause_ends_at_10_000_lb() -> None:
    with pytest.raises(ValueError, match="not a light vehicle"):
        light_vehicle_least(10_001)


@given(
    length_in=st.floats(1, 600),
    weight_lb=st.floats(1, 90_000),
    longer_in=st.floats(0, 200),
    heavier_lb=st.floats(0, 9_000),
    blocked=st.booleans(),
)
def test_longer_and_heavier_never_need_fewer(
    length_in: float, weight_lb: float, longer_in: float, heavier_lb: float, blocked: bool
) -> None:
    longer, heavier = length_in + longer_in, weight_lb + heavier_lb
    assert least_tie_downs(longer, heavier, blocked) >= least_tie_downs(length_in, weight_lb, blocked)
    assert machine_least(longer, heavier, blocked)[0] >= machine_least(length_in, weight_lb, blocked)[0]
    for hold in Hold:
        few, many = (tie_downs_needed(120, lb, 4_700, hold) for lb in (weight_lb, heavier))
        assert many >= few


MACHINES = st.lists(st.tuples(st.integers(500, 30_000), st.integers(30, 300), st.sampled_from(Kind)), max_size=4)


@given(MACHINES, st.integers(0, 12), st.integers(0, 6), st.one_of(st.none(), st.integers(0, 24)))
def test_result_is_what_it_says(
    rows: list[tuple[int, int, Kind]], chains: int, straps: int, anchors: int | None
) -> None:
    items = [weighed(f"item {i}", lb, inches, kind=kind) for i, (lb, inches, kind) in enumerate(rows)]
    with_gear = rig(anchors=anchors, chains=chains, straps=straps)
    result = secure(items, with_gear)
    assert result.enough is is_secure(items, with_gear) is (result.shortage == "")
    assert [holding.item for holding in result.holdings] == [item.name for item in items]
    if result.enough:
        assert result.chains <= chains
        assert result.straps <= straps
        assert anchors is None or result.anchors <= anchors
        for holding, item in zip(result.holdings, items, strict=True):
            assert holding.tie_downs >= holding.least
            assert holding.aggregate_wll_lb is not None
            assert holding.aggregate_wll_lb >= required_wll_lb(item.weight.high_lb) - 0.01
            heavy = item.kind is Kind.MACHINE and item.weight.high_lb >= 10_000
            assert not (heavy and holding.straps)
    else:
        assert (
            result.chains > chains or result.straps > straps or (anchors is not None and result.anchors > anchors)
        )


def test_items_with_equal_holding_options_stand_for_one_another() -> None:
    """Sets of items that differ only by such swaps are held by the gear, or not, alike."""
    rng = random.Random(9)
    swapped, held = 0, 0
    for _ in range(60):
        carrier = rig(
            anchors=rng.choice([None, 8, 12]),
            chains=rng.randint(0, 8),
            straps=rng.randint(0, 6),
            chain_rating_lb=rng.choice([None, 4_700.0, 6_600.0]),
            strap_rating_lb=rng.choice([None, 3_300.0]),
        )
        drawn = [(rng.randint(500, 14_000), rng.choice([40.0, 90.0, 130.0])) for _ in range(12)]
        items = [
            make.lifted(f"l{n}", lb, length) if rng.random() < 0.3 else make.item(f"m{n}", lb, length)
            for n, (lb, length) in enumerate(drawn)
        ]
        alike: dict[Hashable, list[Item]] = {}
        for item in items:
            alike.setdefault(holding_options(item, carrier), []).append(item)
        for _ in range(20):
            some = rng.sample(items, rng.randint(1, 3))
            others = [rng.choice(alike[holding_options(item, carrier)]) for item in some]
            assert is_secure(some, carrier) == is_secure(others[::-1], carrier)
            swapped += some != others
            held += is_secure(some, carrier)
    assert swapped > 300
    assert 200 < held < 1_000
