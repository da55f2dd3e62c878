"""Figures that people in the trade reckon with, through the product's own checks.

Every test here is common practice, no published source; the mark stands in its name in the report. The plain
arithmetic on stickers is in ``tests/dispatch/test_ratings.py``, the figure on anchor points in
``tests/dispatch/test_securement.py`` and the one on the winch in ``tests/dispatch/test_winching.py``.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from dispatch.axle_loads import rig_loads
from dispatch.checks import Check
from dispatch.fleet import Rig
from tests import factories as make
from tests.bare_rigs import EXACT, bare_rig, checks_by_name, day, exact, leg_of, loaded_checks

COMMON_PRACTICE = pytest.mark.parametrize("evidence", ["common practice, no published source"])


def trailer_of_30_000(**overrides: Any) -> Rig:
    """Rated 30,000 lb, weighs 10,700 lb, three axles of 12,000 lb; the item stands 60 in ahead of their middle."""
    trailer: dict[str, Any] = {
        "gvwr_lb": 30_000.0,
        "axles": 3,
        "axle_spacing_in": 40.0,
        "coupler_to_first_axle_in": 260.0,
        "axle_rating_lb": 12_000.0,
        "empty_coupler": exact(2_700.0),
        "empty_axles": exact(8_000.0),
    }
    return bare_rig(trailer=trailer | overrides)


def with_payload(rig: Rig, payload_lb: float) -> dict[str, Check]:
    return loaded_checks(rig, [(payload_lb, 240)])


@COMMON_PRACTICE
def test_trailer_carries_its_rating_less_its_weight(evidence: str) -> None:
    rig = trailer_of_30_000()
    full, over = (with_payload(rig, payload_lb)["Trailer GVWR"] for payload_lb in (19_300, 19_301))
    assert (full.ok, full.value, full.margin) == (True, 30_000, 0)
    assert (over.ok, over.margin) == (False, -1)


@COMMON_PRACTICE
@pytest.mark.parametrize(
    ("axles", "rating_lb", "good_for_lb"), [(3, 12_000.0, 36_000), (2, 16_000.0, 32_000)], ids=["three", "two"]
)
def test_sticker_and_not_the_axles_limits(axles: int, rating_lb: float, good_for_lb: int, evidence: str) -> None:
    rig = trailer_of_30_000(axles=axles, axle_rating_lb=rating_lb, shares=(1 / axles,) * axles)
    checks = with_payload(rig, 19_300)
    assert checks["Trailer axle group"].limit == good_for_lb
    assert checks["Trailer GVWR"].margin == 0
    assert checks["Trailer axle group"].margin > 0
    axle_names = [f"Trailer axle {number}" for number in range(1, axles + 1)]
    assert all(checks[name].margin > 0 for name in axle_names)
    # Even with the whole trailer on its axles the sticker would be the lower.
    assert good_for_lb > checks["Trailer GVWR"].limit


@COMMON_PRACTICE
def test_taking_the_front_axle_away_moves_load_to_the_coupler(evidence: str) -> None:
    three = trailer_of_30_000()
    two = trailer_of_30_000(axles=2, coupler_to_first_axle_in=300.0, shares=(0.5, 0.5))
    loaded = {name: rig_loads(rig, [15_000], [240]) for name, rig in (("three", three), ("two", two))}
    empty = {name: rig_loads(rig, [], []) for name, rig in (("three", three), ("two", two))}
    # Middle of the axles from 300 to 320 in: the item's axle load falls from 12,000 to 11,250 lb.
    on_axles = {n: loaded[n].trailer_axle_group_lb - empty[n].trailer_axle_group_lb for n in loaded}
    on_coupler = {n: loaded[n].coupler_lb - empty[n].coupler_lb for n in loaded}
    assert on_axles == pytest.approx({"three": 12_000, "two": 11_250})
    assert on_coupler == pytest.approx({"three": 3_000, "two": 3_750})
    assert loaded["two"].rear_lb > loaded["three"].rear_lb
    assert loaded["two"].gross_lb == pytest.approx(loaded["three"].gross_lb)


@COMMON_PRACTICE
def test_options_cut_the_payload_by_exactly_their_weight(evidence: str) -> None:
    """Deck on the neck 850 lb, tracks for wheels 400 lb, heavier wheels 320 lb: 17,730 lb are left of 19,300."""
    plain = trailer_of_30_000()
    neck_lb, tracks_lb, wheels_lb = 850.0, 400.0, 320.0
    heavier = replace(
        plain.trailer,
        empty_coupler=exact(plain.trailer.empty_coupler.nominal_lb + neck_lb),
        empty_axles=exact(plain.trailer.empty_axles.nominal_lb + tracks_lb + wheels_lb),
        neck=make.neck(),
    )
    rig = replace(plain, trailer=heavier)
    left_lb = 19_300 - neck_lb - tracks_lb - wheels_lb
    assert left_lb == 17_730
    assert with_payload(rig, left_lb)["Trailer GVWR"].margin == 0
    assert not with_payload(rig, left_lb + 1)["Trailer GVWR"].ok


@COMMON_PRACTICE
def test_dovetail_of_12_ft_behind_20_ft_is_a_deck_of_32_ft_rated_10_000_spread(evidence: str) -> None:
    rig = bare_rig(
        trailer={"deck_length_in": (20 + 12) * 12.0, "dovetail_length_in": 144.0, "dovetail_rating_lb": 10_000.0}
    )
    assert rig.trailer.deck_length_in == 32 * 12

    def dovetail(weight_lb: float, front_edge_in: int) -> Check:
        machine = replace(make.item(weight_lb=weight_lb, length_in=144.0), weight=exact(weight_lb))
        return checks_by_name(day(rig, [machine], settings=EXACT), rig, leg_of((0, front_edge_in)))["Dovetail"]

    spread_over_it = dovetail(10_000, 240)
    assert (spread_over_it.ok, spread_over_it.value, spread_over_it.margin) == (True, 10_000, 0)
    assert not dovetail(10_001, 240).ok
    # Half of it ahead of the hinge: half the load, so twice the weight is the limit.
    assert dovetail(20_000, 168).margin == pytest.approx(0, abs=1e-6)
    assert dovetail(20_000, 168).ok
    assert not dovetail(20_001, 168).ok
