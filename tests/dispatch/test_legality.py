"""Every check by hand: accepted at its limit, refused 1 lb (or 1 in, or one piece) over; names, order, permits.

The load of most cases: 6,000 lb (5,700 to 6,300) 200 in behind the coupler of a trailer whose axles' middle lies
at 300 in and which weighs 1,000 (980 to 1,020) lb at the coupler and 3,000 (2,970 to 3,030) on the axles. So on
the axles stand 4,000 (to 4,200) lb of it and on the coupler 2,000 (1,900 to 2,100): axles 7,000 (7,230 at worst),
coupler 3,000 (3,120). The truck weighs 6,000 + 4,000 lb; its coupler is 40 in ahead of the rear axle on a
wheelbase of 200: front 6,600 (6,624), rear 6,400 (6,496).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.axle_loads import rig_loads
from dispatch.cautions import trip_cautions
from dispatch.checks import Check, Sense
from dispatch.fleet import Deck, Hitch, Licence, Rig
from dispatch.items import Contact, Facing, Item, Kind, LoadsBy, Weight
from dispatch.legality import leg_checks, trip_checks
from dispatch.limits import LimitOverride, RuleSet, load_rule_set
from dispatch.moves import Permit
from dispatch.plan import Action, Placed, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.settings import Band, Settings
from dispatch.verify_gear import can_hold
from tests import factories as make
from tests.bare_rigs import (
    EXACT,
    FREE,
    bare_rig,
    checks_by_name,
    day,
    edge_for,
    exact,
    leg_of,
    loaded_checks,
    point_item,
    spread,
)

LOAD = spread(6_000, 5_700, 6_300)
TRAILER: dict[str, Any] = {
    "axles": 2,
    "coupler_to_first_axle_in": 270.0,
    "axle_spacing_in": 60.0,
    "empty_coupler": spread(1_000, 980, 1_020),
    "empty_axles": spread(3_000, 2_970, 3_030),
}
TRUCK: dict[str, Any] = {"coupler_ahead_in": 40.0}


def common_rig(**overrides: Any) -> Rig:
    """The rig of the module's text; ``truck_x`` and ``trailer_x`` overrides name a field x of either."""
    truck = {key.removeprefix("truck_"): value for key, value in overrides.items() if key.startswith("truck_")}
    trailer = {
        key.removeprefix("trailer_"): value for key, value in overrides.items() if key.startswith("trailer_")
    }
    rest = {key: value for key, value in overrides.items() if not key.startswith(("truck_", "trailer_"))}
    return bare_rig(TRUCK | truck, TRAILER | trailer, **rest)


def common_checks(rig: Rig, settings: Settings = EXACT, rule_set: RuleSet | None = None) -> dict[str, Check]:
    item = point_item(weight=LOAD)
    problem = day(rig, [item], settings=settings, rule_set=rule_set)
    return checks_by_name(problem, rig, leg_of((0, edge_for(rig, item, 200))))


def law(**limits: float | None) -> RuleSet:
    """The federal rule set with overrides by key."""
    return load_rule_set("US federal", [LimitOverride(key, value) for key, value in limits.items()])


# -- ratings ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Rated:
    """A rating that the common load just meets: check, field of truck or trailer, nominal, worst, basis."""

    check: str
    field: str
    value_lb: float
    worst_lb: float
    basis: str
    per_check: int = 1
    """Limit of the check over the field's figure (a group of two axles: 2)."""


RATED = [
    Rated("Trailer GVWR", "trailer_gvwr_lb", 10_000, 10_350, "Trailers, GVWR"),
    Rated("Trailer axle 1", "trailer_axle_rating_lb", 3_500, 3_615, "Trailers, Axle rating"),
    Rated("Trailer axle 2", "trailer_axle_rating_lb", 3_500, 3_615, "Trailers, Axle rating"),
    Rated("Trailer axle group", "trailer_axle_rating_lb", 7_000, 7_230, "Trailers, Axles x lower of", 2),
    Rated("Trailer axle group", "trailer_tyre_rating_lb", 7_000, 7_230, "Trailers, Axles x lower of", 2),
    Rated("Trailer tyres", "trailer_tyre_rating_lb", 3_500, 3_615, "Trailers, Tyre rating"),
    Rated("Coupler rating", "trailer_coupler_rating_lb", 3_000, 3_120, "Trailers, Coupler rating"),
    Rated("Hitch rating", "truck_hitch_rating_lb", 3_000, 3_120, "Trucks, Hitch rating"),
    Rated("Truck front axle", "truck_front_rating_lb", 6_600, 6_624, "Trucks, Front axle rating"),
    Rated("Truck rear axles", "truck_rear_rating_lb", 6_400, 6_496, "Trucks, Rear axle rating"),
    Rated("Truck front tyres", "truck_front_tyre_rating_lb", 6_600, 6_624, "Trucks, Front tyre rating"),
    Rated("Truck rear tyres", "truck_rear_tyre_rating_lb", 6_400, 6_496, "Trucks, Rear tyre rating"),
    Rated("Truck GVWR", "truck_gvwr_lb", 13_000, 13_120, "Trucks, GVWR"),
    Rated("GCWR", "truck_gcwr_lb", 20_000, 20_350, "Trucks, GCWR"),
    Rated("Tow rating", "truck_tow_rating_lb", 10_000, 10_350, "Trucks, Tow rating"),
    Rated("Registered weight", "truck_registered_weight_lb", 20_000, 20_350, "Trucks, Registered weight"),
]


@pytest.mark.parametrize("case", RATED, ids=lambda case: f"{case.check} by {case.field}")
def test_rating_met_and_1_lb_over(case: Rated) -> None:
    met = common_checks(common_rig(**{case.field: case.worst_lb / case.per_check}))[case.check]
    assert (met.value, met.worst, met.limit) == pytest.approx((case.value_lb, case.worst_lb, case.worst_lb))
    assert met.ok
    assert (met.margin, met.use) == pytest.approx((0, 1), abs=1e-6)
    assert (met.unit, met.sense) == ("lb", Sense.MOST)
    assert met.basis.startswith(case.basis)
    over = common_checks(common_rig(**{case.field: (case.worst_lb - 1) / case.per_check}))[case.check]
    assert not over.ok
    assert over.margin == pytest.approx(-1)
    assert over.use == pytest.approx(case.worst_lb / (case.worst_lb - 1))


@pytest.mark.parametrize("check", ["Trailer tyres", "Coupler rating", "Hitch rating", "Truck front tyres"])
def test_rating_left_blank_is_not_checked(check: str) -> None:
    assert check not in common_checks(common_rig())


def test_each_axle_decides_where_shares_are_unequal() -> None:
    """Shares 2:3 on axles at 240 and 340 (g = 300): of 7,000 lb 2,800 and 4,200; the group's figure does not."""
    rig = common_rig(
        trailer_shares=(0.4, 0.6),
        trailer_coupler_to_first_axle_in=240.0,
        trailer_axle_spacing_in=100.0,
        trailer_axle_rating_lb=4_000.0,
        trailer_tyre_rating_lb=4_100.0,
    )
    checks = common_checks(rig)
    assert (checks["Trailer axle 1"].value, checks["Trailer axle 2"].value) == pytest.approx((2_800, 4_200))
    assert checks["Trailer axle 1"].ok
    assert not checks["Trailer axle 2"].ok
    assert checks["Trailer axle group"].ok
    assert checks["Trailer tyres"].value == pytest.approx(4_200)
    assert not checks["Trailer tyres"].ok


def test_noise_of_a_conversion_is_forgiven_and_no_more() -> None:
    """A hundredth of a pound: 10,350 lb through kilograms and back must not be over 10,350."""
    assert common_checks(common_rig(trailer_gvwr_lb=10_350 - 0.009))["Trailer GVWR"].ok
    assert not common_checks(common_rig(trailer_gvwr_lb=10_350 - 0.02))["Trailer GVWR"].ok
    through_kg = 80_000 * 0.45359237 / 0.45359237
    assert loaded_checks(bare_rig(), [(through_kg - 14_000, 200)])["Legal gross"].ok


# -- balance ------------------------------------------------------------------------------------------------


def banded(least_pct: float, most_pct: float) -> Settings:
    return replace(EXACT, coupler_bands={hitch: Band(least_pct, most_pct) for hitch in Hitch})


def test_coupler_share_least_by_hand() -> None:
    """Nominal 3,000 / 10,000. Least: coupler and item light, axles heavy: 2,880 / (980 + 5,700 + 3,030 = 9,710).

    The item's own third is more than the share, so a light item lowers it.
    """
    least_pct = 100 * 2_880 / 9_710
    met = common_checks(common_rig(), banded(least_pct, 100))["Coupler share least"]
    assert (met.value, met.worst, met.limit) == pytest.approx((30, least_pct, least_pct))
    assert (met.ok, met.unit, met.sense) == (True, "%", Sense.LEAST)
    assert met.basis == "Settings, Coupler share least, gooseneck"
    one_lb_pct = 100 * 1 / 9_710
    under = common_checks(common_rig(), banded(least_pct + one_lb_pct, 100))["Coupler share least"]
    assert not under.ok
    assert under.margin == pytest.approx(-one_lb_pct)
    assert under.use == pytest.approx((least_pct + one_lb_pct) / least_pct)


def test_coupler_share_most_by_hand() -> None:
    """Coupler and item heavy, axles light: 3,120 / (1,020 + 6,300 + 2,970 = 10,290)."""
    most_pct = 100 * 3_120 / 10_290
    met = common_checks(common_rig(), banded(0, most_pct))["Coupler share most"]
    assert (met.value, met.worst, met.limit) == pytest.approx((30, most_pct, most_pct))
    assert (met.ok, met.unit, met.sense) == (True, "%", Sense.MOST)
    assert met.basis == "Settings, Coupler share most, gooseneck"
    over = common_checks(common_rig(), banded(0, most_pct - 100 / 10_290))["Coupler share most"]
    assert not over.ok
    assert over.margin == pytest.approx(-100 / 10_290)


def test_lifted_coupler_is_refused_whatever_the_band() -> None:
    """g = 300: 6,000 lb at 350 take 1,000 lb off the coupler's 1,000; one pound more lifts it."""
    settings = banded(-50, 100)
    assert loaded_checks(bare_rig(), [(6_000, 350)], settings=settings)["Coupler share least"].ok
    lifted = loaded_checks(bare_rig(), [(6_006, 350)], settings=settings)["Coupler share least"]
    assert (lifted.ok, lifted.limit) == (False, 0)
    assert lifted.value == pytest.approx(100 * -1 / 10_006)
    assert lifted.use == float("inf")


share_weights = st.tuples(st.floats(500, 20_000), st.floats(0, 0.1), st.floats(0, 0.1)).map(
    lambda drawn: spread(drawn[0], drawn[0] * (1 - drawn[1]), drawn[0] * (1 + drawn[2]))
)


@given(
    share_weights,
    share_weights,
    st.lists(st.tuples(share_weights, st.integers(60, 440)), max_size=3),
    st.floats(0, 40),
)
def test_coupler_share_worst_case_is_the_worst_corner(
    coupler: Weight, axles: Weight, items: list[tuple[Weight, int]], limit_pct: float
) -> None:
    """A ratio of linear forms is worst at a corner of the tolerances: all of them are tried."""
    rig = bare_rig(trailer={"empty_coupler": coupler, "empty_axles": axles})
    blocks = [point_item(f"b{i}", weight=weight) for i, (weight, _) in enumerate(items)]
    problem = make.problem(
        [make.move(f"M{i}", block) for i, block in enumerate(blocks)] or None,
        [rig],
        settings=banded(limit_pct, limit_pct),
    )
    places = [(i, edge_for(rig, block, x)) for i, (block, (_, x)) in enumerate(zip(blocks, items, strict=True))]
    checks = checks_by_name(problem, rig, leg_of(*places))
    shares = []
    for p0, t0, *lb in product(*((w.low_lb, w.high_lb) for w in (coupler, axles, *(w for w, _ in items)))):
        loads = rig_loads(rig, lb, [x for _, x in items], empty_coupler_lb=p0, empty_axles_lb=t0)
        shares.append(100 * loads.coupler_lb / loads.trailer_lb)
    least, most = checks["Coupler share least"], checks["Coupler share most"]
    assert least.worst == pytest.approx(min(shares), abs=1e-7)
    assert most.worst == pytest.approx(max(shares), abs=1e-7)
    assert least.worst - 1e-9 <= least.value <= most.value + 1e-9 <= most.worst + 2e-9
    # Verdict and reported share agree but for a hundredth of a pound.
    for check in (least, most):
        if abs(check.margin) > 1e-3:
            assert check.ok == (check.margin > 0)


def test_steer_least_by_hand() -> None:
    """Coupler 50 in behind the rear axle: the front loses a quarter of 3,000 (3,120): 5,250 (5,220) of 6,000."""
    rig = common_rig(truck_coupler_ahead_in=-50.0)
    met = common_checks(rig, replace(EXACT, steer_least_pct=87.0))["Steer least"]
    assert (met.value, met.worst, met.limit) == pytest.approx((5_250, 5_220, 5_220))
    assert (met.ok, met.unit, met.sense, met.basis) == (True, "lb", Sense.LEAST, "Settings, Steer least")
    under = common_checks(rig, replace(EXACT, steer_least_pct=100 * 5_221 / 6_000))["Steer least"]
    assert not under.ok
    assert under.margin == pytest.approx(-1)
    assert under.use == pytest.approx(5_221 / 5_220)


# -- law on weights -----------------------------------------------------------------------------------------


def legal(
    trailer: dict[str, Any], truck: dict[str, Any], check: str, loads: Sequence[tuple[float, float]]
) -> Check:
    return loaded_checks(bare_rig(truck, trailer), loads)[check]


@dataclass(frozen=True)
class Legal:
    """A load that just meets a limit of law; ``more_lb``: what adds one pound to the axles of the check."""

    check: str
    limit_lb: float
    trailer: dict[str, Any]
    truck: dict[str, Any]
    load: tuple[float, float]
    clause: str
    more_lb: float = 1.0


LEGAL = [
    # Trailer axle 300 in behind the coupler, 3,000 lb empty: 17,000 lb right over it make 20,000.
    Legal("Legal axle 3", 20_000, {}, {}, (17_000, 300), "23 U.S.C. 127(a); 23 CFR 658.17(c)"),
    # The coupler over the rear axle: 4,000 + 1,000 empty; 30,000 lb halfway put 15,000 there.
    Legal("Legal axle 2", 20_000, {}, {}, (30_000, 150), "23 U.S.C. 127(a); 23 CFR 658.17(c)", 2),
    # The coupler at the steer axle: 6,000 + 1,000 empty and 13,000.
    Legal("Legal axle 1", 20_000, {}, {"coupler_ahead_in": 200.0}, (26_000, 150), "23 U.S.C. 127(a)", 2),
    # Two axles 40 in apart are one single axle; 41 to 96 in a tandem.
    Legal(
        "Legal axles 3-4",
        20_000,
        {"axles": 2, "axle_spacing_in": 40.0, "coupler_to_first_axle_in": 280.0},
        {},
        (17_000, 300),
        "23 U.S.C. 127(a); 23 CFR 658.17(c)",
    ),
    Legal(
        "Legal axles 3-4",
        34_000,
        {"axles": 2, "axle_spacing_in": 41.0, "coupler_to_first_axle_in": 279.5},
        {},
        (31_000, 300),
        "23 U.S.C. 127(a); 23 CFR 658.17(d)",
    ),
    Legal(
        "Legal axles 3-4",
        34_000,
        {"axles": 2, "axle_spacing_in": 96.0, "coupler_to_first_axle_in": 252.0},
        {},
        (31_000, 300),
        "23 U.S.C. 127(a); 23 CFR 658.17(d)",
    ),
    # 97 in is over 8 ft: the table's 38,000 for two axles and 42,000 for three (seen).
    Legal(
        "Legal axles 3-4",
        38_000,
        {"axles": 2, "axle_spacing_in": 97.0, "coupler_to_first_axle_in": 251.5},
        {},
        (35_000, 300),
        "23 U.S.C. 127(a); 23 CFR 658.17(e), bridge formula, N = 2, L = 8 ft",
    ),
    Legal(
        "Legal axles 3-5",
        42_000,
        {"axles": 3, "axle_spacing_in": 48.5, "coupler_to_first_axle_in": 251.5},
        {},
        (39_000, 300),
        "23 U.S.C. 127(a); 23 CFR 658.17(e), bridge formula, N = 3, L = 8 ft",
    ),
    # Three axles over 500 in, 42 ft: 500 (42 x 3/2 + 36 + 36) = 67,500, for the whole rig.
    Legal("Legal axles 1-3", 67_500, {}, {}, (53_500, 150), "23 U.S.C. 127(a); 23 CFR 658.17(e), bridge formula"),
    Legal("Legal gross", 80_000, {}, {}, (66_000, 150), "23 U.S.C. 127(a); 23 CFR 658.17(b)"),
]


@pytest.mark.parametrize("case", LEGAL, ids=lambda case: f"{case.check} {case.limit_lb} {case.clause}")
def test_law_met_and_1_lb_over(case: Legal) -> None:
    met = legal(case.trailer, case.truck, case.check, [case.load])
    assert (met.value, met.worst, met.limit) == pytest.approx((case.limit_lb,) * 3)
    assert (met.ok, met.unit, met.sense) == (True, "lb", Sense.MOST)
    assert met.basis.startswith(case.clause)
    weight_lb, place_in = case.load
    over = legal(case.trailer, case.truck, case.check, [(weight_lb + case.more_lb, place_in)])
    assert not over.ok
    assert over.margin == pytest.approx(-1)


def test_law_takes_the_worst_case() -> None:
    """6,300 lb and heavy empties, not 6,000: 7,230 lb on the tandem of a limit of 7,229."""
    assert common_checks(common_rig(), rule_set=law(tandem_lb=7_230))["Legal axles 3-4"].ok
    check = common_checks(common_rig(), rule_set=law(tandem_lb=7_229))["Legal axles 3-4"]
    assert not check.ok
    assert check.value == pytest.approx(7_000)
    assert check.basis.startswith("Limits sheet, Tandem axles")


def test_tyre_width_reports_the_tightest() -> None:
    """At 500 lb an inch: front 2 x 7 in 7,000 lb, rear 4 x 4 in 8,000, trailer 4 x 2 in 4,000 an axle.

    Used by 6,624, 6,496 and 3,615: 94.6, 81.2 and 90.4 per cent.
    """
    widths = {"truck_front_tyre_width_in": 7.0, "truck_rear_tyre_width_in": 4.0, "trailer_tyre_width_in": 2.0}
    rules = law(tyre_lb_per_in=500)
    check = common_checks(common_rig(**widths), rule_set=rules)["Tyre width"]
    assert (check.value, check.worst, check.limit) == pytest.approx((6_600, 6_624, 7_000))
    assert (check.ok, check.unit) == (True, "lb")
    assert check.basis == "Limits sheet, Tyre load per inch of width (lb/in); truck front tyres"
    for field, per_inch, worst_lb, where in (
        ("truck_front_tyre_width_in", 2 * 500, 6_624, "truck front tyres"),
        ("truck_rear_tyre_width_in", 4 * 500, 6_496, "truck rear tyres"),
        ("trailer_tyre_width_in", 4 * 500, 3_615, "trailer tyres, heaviest axle"),
    ):
        met = common_checks(common_rig(**widths | {field: worst_lb / per_inch}), rule_set=rules)["Tyre width"]
        assert met.ok
        assert met.margin == pytest.approx(0, abs=1e-6)
        assert met.basis.endswith(where)
        over = common_checks(common_rig(**widths | {field: (worst_lb - 1) / per_inch}), rule_set=rules)[
            "Tyre width"
        ]
        assert not over.ok
        assert over.margin == pytest.approx(-1)
        assert over.basis.endswith(where)
    assert "Tyre width" not in common_checks(common_rig(**widths))
    assert "Tyre width" not in common_checks(common_rig(), rule_set=rules)


# -- deck ---------------------------------------------------------------------------------------------------


def deck_check(rig: Rig, item: Item, placed: Placed | tuple[int, float], name: str, **overrides: Any) -> Check:
    return checks_by_name(day(rig, [item], **overrides), rig, leg_of(placed))[name]


def test_dovetail_at_its_rating_and_1_lb_over() -> None:
    """A third of a machine 150 in long rests behind the hinge at 240 in: 2,000 lb, at worst 2,100."""
    machine = replace(make.item(length_in=150), weight=LOAD)
    rig = common_rig(trailer_dovetail_length_in=60.0, trailer_dovetail_rating_lb=2_100.0)
    met = deck_check(rig, machine, (0, 140), "Dovetail")
    assert (met.value, met.worst, met.limit) == pytest.approx((2_000, 2_100, 2_100))
    assert (met.ok, met.unit, met.basis) == (True, "lb", "Trailers, Dovetail rating")
    weaker = common_rig(trailer_dovetail_length_in=60.0, trailer_dovetail_rating_lb=2_099.0)
    over = deck_check(weaker, machine, (0, 140), "Dovetail")
    assert not over.ok
    assert over.margin == pytest.approx(-1)


def test_dovetail_adds_up_what_stands_there_and_leaves_the_neck_out() -> None:
    rig = common_rig(
        trailer_dovetail_length_in=60.0,
        trailer_dovetail_rating_lb=5_000.0,
        trailer_neck=make.neck(length_in=400.0),
    )
    items = [point_item(name, weight=LOAD) for name in ("on it", "ahead", "on the neck")]
    on_neck = Placed(2, Deck.NECK, 270, Facing.FORWARD)
    assert checks_by_name(day(rig, items), rig, leg_of((0, 260), (1, 100), on_neck))["Dovetail"].worst == 6_300


def test_neck_deck_at_its_rating_and_1_lb_over() -> None:
    def check(rating_lb: float) -> Check:
        rig = common_rig(trailer_neck=make.neck(rating_lb=rating_lb))
        items = [point_item(name, weight=LOAD) for name in ("one", "two", "main")]
        necks = [Placed(i, Deck.NECK, 30 * i, Facing.FORWARD) for i in range(2)]
        return checks_by_name(day(rig, items), rig, leg_of(*necks, (2, 100)))["Neck deck"]

    met, over = check(12_600), check(12_599)
    assert (met.value, met.worst, met.ok) == (12_000, 12_600, True)
    assert (met.unit, met.basis) == ("lb", "Trailers, Neck deck rating")
    assert not over.ok
    assert over.margin == pytest.approx(-1)


def test_unrated_dovetail_and_neck_are_not_checked() -> None:
    rig = common_rig(trailer_dovetail_length_in=60.0, trailer_neck=make.neck(rating_lb=None))
    assert {"Dovetail", "Neck deck"}.isdisjoint(common_checks(rig))


# -- sizes --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("width_in", "ok"), [(102, True), (103, False)])
def test_width(width_in: float, ok: bool) -> None:
    check = deck_check(bare_rig(), point_item(width_in=width_in), (0, 100), "Width")
    assert (check.value, check.worst, check.limit) == (width_in, width_in, 102)
    assert (check.ok, check.unit, check.margin, check.basis) == (ok, "in", 102 - width_in, "23 CFR 658.15")


def test_the_deck_is_as_wide_as_it_is() -> None:
    rig = bare_rig(trailer={"deck_width_in": 103.0})
    assert not deck_check(rig, point_item(width_in=60), (0, 100), "Width").ok


@pytest.mark.parametrize(("height_in", "ok"), [(126, True), (127, False)])
def test_height_is_deck_and_item(height_in: float, ok: bool) -> None:
    """Deck 36 in; 13 ft 6 in is 162."""
    check = deck_check(bare_rig(), point_item(height_in=height_in), (0, 100), "Height")
    assert (check.value, check.limit, check.ok, check.unit) == (36 + height_in, 162, ok, "in")
    assert "common practice, no source" in check.basis


def test_height_on_the_neck_and_of_the_truck() -> None:
    rig = bare_rig({"height_in": 130.0}, {"neck": make.neck(height_in=60.0)})
    on_neck = Placed(0, Deck.NECK, 0, Facing.FORWARD)
    assert deck_check(rig, point_item(height_in=102), on_neck, "Height").ok
    assert not deck_check(rig, point_item(height_in=103), on_neck, "Height").ok
    assert deck_check(rig, point_item(height_in=20), (0, 100), "Height").value == 130


def test_length_from_bumper_to_the_rearmost_point() -> None:
    """36 in of bumper + coupler at 160 + deck end at 350 + 14 behind it = 560; a load 24 in over the deck: 570."""
    rig = common_rig(trailer_deck_to_rear_in=14.0)
    item = point_item()
    for limit_in, ok in ((560, True), (559, False)):
        check = deck_check(rig, item, (0, 100), "Length", rule_set=law(length_in=limit_in))
        assert (check.value, check.limit, check.ok, check.unit) == (560, limit_in, ok, "in")
        assert check.basis == "Limits sheet, Overall length (in)"
    assert deck_check(rig, item, (0, 304), "Length", rule_set=law(length_in=570)).value == 570
    assert "Length" not in common_checks(rig)


@pytest.mark.parametrize(("edge_in", "over_in", "ok"), [(290, 10, True), (291, 11, False), (100, 0, True)])
def test_overhang_behind_the_deck(edge_in: int, over_in: float, ok: bool) -> None:
    settings = replace(EXACT, rear_overhang_in=10.0)
    check = deck_check(bare_rig(), point_item(), (0, edge_in), "Overhang", settings=settings)
    assert (check.value, check.limit, check.ok, check.unit) == (over_in, 10, ok, "in")
    assert check.basis == "Settings, Rear overhang allowed"


# -- sites and licence --------------------------------------------------------------------------------------


@pytest.mark.parametrize("end", ["a", "b"])
@pytest.mark.parametrize(
    ("name", "field", "limit", "value", "unit", "basis"),
    [
        ("Site length", "longest_rig_in", 546, 546, "in", "Longest rig"),
        ("Site height", "highest_load_in", 76, 76, "in", "Highest load"),
        ("Site gross", "heaviest_gross_lb", 20_350, 20_000, "lb", "Heaviest gross"),
    ],
)
def test_site_limits_bind_at_both_ends(
    end: str, name: str, field: str, limit: float, value: float, unit: str, basis: str
) -> None:
    """36 + 160 + 350 = 546 in long; deck 36 + item 40 = 76 in high; gross 20,000 (at worst 20,350) lb."""
    rig, item = common_rig(), point_item(weight=LOAD)
    other = "b" if end == "a" else "a"

    def check(most: float) -> Check:
        sites = [make.site(end, **{field: most}), make.site(other, **{field: 1e6})]
        return deck_check(rig, item, (0, edge_for(rig, item, 200)), name, sites=sites)

    met, over = check(limit), check(limit - 1)
    assert (met.value, met.worst, met.limit) == pytest.approx((value, limit, limit))
    assert (met.ok, met.unit, met.basis) == (True, unit, f"Sites, {end}, {basis}")
    assert not over.ok
    assert over.margin == pytest.approx(-1)


def test_sites_without_limits_are_not_checked() -> None:
    assert not [name for name in common_checks(common_rig()) if name.startswith("Site ")]


@pytest.mark.parametrize(
    ("truck_lb", "trailer_lb", "load_lb", "licence", "ok"),
    [
        (12_000, 14_001, 1_000, Licence.A, True),  # ratings 26,001 with over 10,000 towed
        (12_000, 14_001, 1_000, Licence.B, False),
        (12_000, 14_000, 1_000, Licence.NONE, True),  # 26,000: no class asked for
        (26_001, 10_000, 1_000, Licence.B, True),
        (26_001, 10_000, 1_000, Licence.C, False),
        (12_000, 14_000, 12_000, Licence.NONE, True),  # actual gross 26,000 (14,000 empty)
        (12_000, 14_000, 12_001, Licence.NONE, False),  # 26,001: more than the ratings
        (12_000, 14_000, 12_001, Licence.A, True),
    ],
)
def test_licence_by_ratings_or_by_actual_gross(
    truck_lb: float, trailer_lb: float, load_lb: float, licence: Licence, ok: bool
) -> None:
    rig = bare_rig({"gvwr_lb": truck_lb}, {"gvwr_lb": trailer_lb}, licence=licence)
    check = loaded_checks(rig, [(load_lb, 200)])["Licence"]
    assert (check.ok, check.unit) == (ok, "count")
    assert check.basis.startswith("49 CFR 383.91")


def test_licence_takes_the_heaviest_true_gross() -> None:
    """11,900 to 12,001 lb on 14,000 empty: the ratings' 26,000 lb ask for none, the worst case does."""
    rig = bare_rig({"gvwr_lb": 12_000.0}, {"gvwr_lb": 14_000.0}, licence=Licence.NONE)
    item = point_item(weight=spread(11_950, 11_900, 12_001))
    assert not deck_check(rig, item, (0, edge_for(rig, item, 200)), "Licence").ok


# -- permits ------------------------------------------------------------------------------------------------

PERMIT = Permit("OS-1")
OVER_LAW: dict[str, Any] = {"width_in": 110.0, "height_in": 140.0}


def test_permit_lifts_law_for_an_item_alone() -> None:
    rig, item = bare_rig(), point_item(**OVER_LAW, weight=exact(70_000))
    placed, rules = (0, 110), law(length_in=400)
    refused = checks_by_name(day(rig, [item], rule_set=rules), rig, leg_of(placed))
    broken = {name for name, check in refused.items() if not check.ok}
    assert broken == {"Legal axle 2", "Legal axle 3", "Legal axles 1-3", "Legal axles 2-3", "Legal gross"} | {
        "Legal axles 1-2",
        "Width",
        "Height",
        "Length",
    }
    permitted = checks_by_name(day(rig, [item], rule_set=rules, permit=PERMIT), rig, leg_of(placed))
    assert {name for name, check in permitted.items() if check.waived} == broken
    assert all(check.ok for check in permitted.values())
    assert permitted["Width"].basis == "23 CFR 658.15; exceeded under the move's permit"
    assert permitted["Width"].margin == -8  # the figure is not hidden


def test_permit_lifts_nothing_for_two_items() -> None:
    rig, wide, other = bare_rig(), point_item("wide", width_in=110.0), point_item("other")
    checks = checks_by_name(day(rig, [wide, other], permit=PERMIT), rig, leg_of((0, 100), (1, 140)))
    assert (checks["Width"].ok, checks["Width"].waived) == (False, False)


def test_permit_move_within_the_law_shares_a_deck() -> None:
    rig = bare_rig()
    checks = checks_by_name(
        day(rig, [point_item("one"), point_item("two")], permit=PERMIT), rig, leg_of((0, 60), (1, 100))
    )
    assert all(check.ok and not check.waived for check in checks.values())


def test_permit_leaves_all_but_law_alone() -> None:
    """Tyre load per inch is no axle limit: a permit leaves it alone as it does ratings."""
    rig, item = (
        common_rig(
            trailer_gvwr_lb=10_349.0,
            trailer_axle_rating_lb=3_614.0,
            trailer_tyre_width_in=1.0,
            trailer_dovetail_length_in=250.0,
            trailer_dovetail_rating_lb=6_299.0,
            truck_gvwr_lb=30_000.0,
            truck_rear_rating_lb=6_495.0,
            truck_gcwr_lb=20_349.0,
            truck_registered_weight_lb=20_349.0,
            licence=Licence.NONE,
        ),
        point_item(weight=LOAD),
    )
    settings = replace(banded(31, 100), rear_overhang_in=-1.0, steer_least_pct=200.0)
    sites = [make.site("a", heaviest_gross_lb=20_349.0, longest_rig_in=545.0, highest_load_in=75.0)]
    rules = law(tyre_lb_per_in=500)
    problem = day(rig, [item], permit=PERMIT, settings=settings, rule_set=rules, sites=sites)
    checks = checks_by_name(problem, rig, leg_of((0, edge_for(rig, item, 200))))
    assert {name for name, check in checks.items() if not check.ok} == {
        *("Trailer GVWR", "Trailer axle 1", "Trailer axle 2", "Trailer axle group", "Coupler share least"),
        *("Truck rear axles", "GCWR", "Registered weight", "Steer least", "Tyre width", "Dovetail", "Overhang"),
        *("Site length", "Site height", "Site gross", "Licence"),
    }
    assert not any(check.waived for check in checks.values())


# -- once a trip --------------------------------------------------------------------------------------------


def trip_of(rig: Rig, count: int, *, edges: Sequence[int] | None = None) -> Trip:
    """Hauls 0.. loaded in order at ``a``, unloaded last first at ``b``."""
    load = tuple(Task(Action.LOAD, i) for i in range(count))
    unload = tuple(Task(Action.UNLOAD, i) for i in reversed(range(count)))
    places = edges or [10 + 150 * i for i in range(count)]
    placements = tuple(Placed(i, Deck.MAIN, places[i], Facing.FORWARD) for i in range(count))
    return Trip(rig.name, (Stop("a", 0, 0, load), Stop("b", 0, 0, unload)), placements)


def gear(rig: Rig, items: Sequence[Item], *, runs: bool = True) -> dict[str, Check]:
    problem = day(rig, items, runs=runs)
    checks = trip_checks(problem, rig, trip_of(rig, len(items)))
    return {check.name: check for check in checks}


def machine(weight: Weight = LOAD, name: str = "machine", **overrides: Any) -> Item:
    return replace(make.item(name, length_in=100), weight=weight, **overrides)


def test_ramp_takes_the_whole_high_weight_of_what_rolls_over_it() -> None:
    lifted = point_item("heavy block", weight=exact(20_000))
    light = machine(exact(1_000), "light")
    met = gear(common_rig(trailer_ramp_rating_lb=6_300.0), [machine(), light, lifted])["Ramp"]
    assert (met.value, met.worst, met.limit) == (6_000, 6_300, 6_300)
    assert (met.ok, met.unit, met.basis) == (True, "lb", "Trailers, Ramp rating")
    over = gear(common_rig(trailer_ramp_rating_lb=6_299.0), [machine(), light, lifted])["Ramp"]
    assert (over.ok, over.margin) == (False, -1)
    assert "Ramp" not in gear(common_rig(trailer_ramp_rating_lb=1.0), [lifted])


def test_winch_at_its_pull_and_1_lb_over() -> None:
    """On the level a dead machine on tracks needs a quarter of its weight: 1,500 lb, at worst 1,575."""
    level = {"trailer_loading_angle_deg": 0.0}
    met = gear(common_rig(**level, trailer_winch_pull_lb=1_575.0), [machine()], runs=False)["Winch"]
    assert (met.value, met.worst, met.limit) == pytest.approx((1_500, 1_575, 1_575))
    assert (met.ok, met.unit, met.basis) == (True, "lb", "Trailers, Winch pull")
    over = gear(common_rig(**level, trailer_winch_pull_lb=1_574.0), [machine()], runs=False)["Winch"]
    assert not over.ok
    assert over.margin == pytest.approx(-1)
    halved = common_rig(**level, trailer_winch_pull_lb=787.5, trailer_snatch_block=True)
    assert gear(halved, [machine()], runs=False)["Winch"].ok
    wheels = machine(contact=Contact.WHEELS)
    assert gear(common_rig(**level, trailer_winch_pull_lb=630.0), [wheels], runs=False)["Winch"].ok
    skids = machine(contact=Contact.SKIDS)
    assert gear(common_rig(**level, trailer_winch_pull_lb=1_575.0), [skids], runs=False)["Winch"].margin == 0


def test_no_winch_refuses_a_dead_machine_and_asks_nothing_of_others() -> None:
    dead = gear(common_rig(), [machine()], runs=False)["Winch"]
    assert (dead.ok, dead.limit, dead.use) == (False, 0, float("inf"))
    assert "Winch" not in gear(common_rig(), [machine()])
    assert "Winch" not in gear(common_rig(), [point_item()], runs=False)


def test_tie_downs_at_the_number_carried_and_one_short() -> None:
    """10,000 lb at worst: four chains (49 CFR 393.130); an anchor point each."""
    heavy = machine(spread(9_900, 9_800, 10_000))
    rig = common_rig(chains=4, straps=0, chain_rating_lb=6_600.0, trailer_anchor_points=4)
    met = gear(rig, [heavy])["Tie-downs"]
    assert (met.worst, met.limit, met.ok, met.unit) == (4, 4, True, "count")
    assert "393.130" in met.basis
    for short in (replace(rig, chains=3), replace(rig, trailer=replace(rig.trailer, anchor_points=3))):
        over = gear(short, [heavy])["Tie-downs"]
        assert (over.ok, over.worst, over.limit, over.margin) == (False, 4, 3, -1)
    assert gear(replace(rig, chains=3, straps=9), [heavy])["Tie-downs"].basis.startswith("Rigs, Chains")
    lighter = machine(spread(9_900, 9_800, 9_999))
    assert gear(replace(rig, chains=2), [lighter])["Tie-downs"].ok


def test_tie_down_wll_at_half_the_weight_and_1_lb_over() -> None:
    """Four direct chains count half: 4 x 2,500 / 2 = 5,000 lb hold 10,000 lb at worst."""
    rig = common_rig(chains=4, straps=0, chain_rating_lb=2_500.0)
    met = gear(rig, [machine(spread(9_900, 9_800, 10_000))])["Tie-down WLL"]
    assert (met.worst, met.limit, met.ok, met.unit) == (5_000, 5_000, True, "lb")
    assert met.basis.startswith("49 CFR 393.106(d)")
    # A pound more and four do not do: a fifth is needed by rating.
    over = gear(rig, [machine(spread(9_900, 9_800, 10_002))])["Tie-downs"]
    assert (over.ok, over.worst, over.limit) == (False, 5, 4)
    assert over.basis.endswith("needs 5 chains, carries 4; or 4 tie-downs rated 2,500 lb each")


def test_tie_downs_too_weak_in_any_number() -> None:
    weak = gear(common_rig(chain_rating_lb=5.0), [machine(exact(12_000))])["Tie-down WLL"]
    assert (weak.ok, weak.worst, weak.limit) == (False, 6_000, 10)


def test_a_known_rating_is_checked_beside_an_unknown_one() -> None:
    """Chains of 5 lb cannot hold the machine, whatever the straps on the bucket are rated."""
    rig = common_rig(chain_rating_lb=5.0, strap_rating_lb=None)
    checks = gear(rig, [machine(exact(12_000)), make.lifted("bucket", 900)])
    assert not checks["Tie-down WLL"].ok


gear_items = st.lists(
    st.tuples(st.integers(500, 30_000), st.integers(30, 200), st.sampled_from(Kind)), min_size=1, max_size=3
)
ratings = st.one_of(st.none(), st.integers(500, 7_000).map(float))


@given(
    gear_items, st.integers(0, 12), ratings, st.integers(0, 6), ratings, st.one_of(st.none(), st.integers(0, 20))
)
def test_gear_checks_pass_exactly_where_the_gear_holds_the_load(
    rows: list[tuple[int, int, Kind]],
    chains: int,
    chain_lb: float | None,
    straps: int,
    strap_lb: float | None,
    anchors: int | None,
) -> None:
    """Against the verifier's own sharing of gear, which knows nothing of the checks."""
    items = [
        replace(make.item(f"item {i}", length_in=inches, kind=kind), weight=exact(lb))
        for i, (lb, inches, kind) in enumerate(rows)
    ]
    rig = common_rig(
        trailer_anchor_points=anchors,
        trailer_anchor_rating_lb=None,
        chains=chains,
        chain_rating_lb=chain_lb,
        straps=straps,
        strap_rating_lb=strap_lb,
    )
    accepted = all(check.ok for check in gear(rig, items).values())
    assert accepted == can_hold(rig, items, rated=True)


def test_wll_is_not_checked_without_ratings() -> None:
    unknown = common_rig(chain_rating_lb=None, strap_rating_lb=None)
    assert "Tie-down WLL" not in gear(unknown, [machine()])
    assert gear(unknown, [machine()])["Tie-downs"].ok


# -- names and order ----------------------------------------------------------------------------------------

LEG_NAMES = """Trailer GVWR, Trailer axle 1, Trailer axle 2, Trailer axle group, Trailer tyres, Coupler rating,
Hitch rating, Coupler share least, Coupler share most, Truck front axle, Truck rear axles, Truck front tyres,
Truck rear tyres, Truck GVWR, GCWR, Tow rating, Registered weight, Steer least, Legal axle 1, Legal axles 1-2,
Legal axles 1-3, Legal axles 1-4, Legal axle 2, Legal axles 2-3, Legal axles 2-4, Legal axle 3, Legal axles 3-4,
Legal axle 4, Legal gross, Tyre width, Dovetail, Neck deck, Width, Height, Length, Overhang, Site length,
Site height, Site gross, Licence"""


def test_names_and_order_of_the_checks() -> None:
    rated = {case.field: FREE for case in RATED}
    widths = {"truck_front_tyre_width_in": 90.0, "truck_rear_tyre_width_in": 90.0, "trailer_tyre_width_in": 90.0}
    gear_on = {
        "trailer_dovetail_length_in": 60.0,
        "trailer_dovetail_rating_lb": FREE,
        "trailer_ramp_rating_lb": FREE,
    }
    rig = common_rig(**rated, **widths, **gear_on, trailer_neck=make.neck(), trailer_winch_pull_lb=FREE)
    sites = [make.site("a", longest_rig_in=9e3, highest_load_in=9e3, heaviest_gross_lb=FREE)]
    problem = day(rig, [machine()], rule_set=law(tyre_lb_per_in=500, length_in=900), sites=sites, runs=False)
    names = [check.name for check in leg_checks(problem, rig, leg_of((0, 100)))]
    assert names == LEG_NAMES.replace("\n", " ").split(", ")
    trip = [check.name for check in trip_checks(problem, rig, trip_of(rig, 1))]
    assert trip == ["Ramp", "Winch", "Tie-downs", "Tie-down WLL"]


# -- cautions -----------------------------------------------------------------------------------------------


def cautions(rig: Rig, items: Sequence[Item], *, runs: bool = True) -> dict[str, tuple[float | None, str]]:
    problem: Problem = day(rig, items, runs=runs)
    found = trip_cautions(problem, rig, trip_of(rig, len(items)))
    return {caution.name: (caution.value, caution.text) for caution in found}


def test_coupler_that_lifts_while_loading_is_told_with_its_number() -> None:
    """P0 at least 980 less 6,300/6 = 1,050 for the tail at 350 in and g = 300: 70 lb up."""
    value, text = cautions(common_rig(), [machine()])["Coupler lifts while loading"]
    assert value == pytest.approx(-70)
    assert "70 lb" in text
    assert "rear supports down" in text
    assert "Coupler lifts while loading" not in cautions(common_rig(), [machine(exact(5_880))])
    assert "Coupler lifts while loading" not in cautions(common_rig(), [point_item(weight=LOAD)])


def test_what_stands_on_deck_already_keeps_the_coupler_down() -> None:
    """Loaded last, with 1,000 lb at 70 in on deck: 766 lb more at the coupler."""
    first = machine(exact(1_000), "first")
    assert "Coupler lifts while loading" not in cautions(common_rig(), [first, machine()])


def test_few_tie_down_points_and_winching_are_cautions() -> None:
    heavy = machine(exact(12_000), tie_down_points=3)
    found = cautions(common_rig(trailer_winch_pull_lb=FREE, trailer_loading_angle_deg=0.0), [heavy], runs=False)
    assert found["Few tie-down points"][0] == 3
    assert found["Winching"][0] == pytest.approx(3_000)
    enough = cautions(common_rig(), [machine(exact(12_000), tie_down_points=4)])
    assert {"Few tie-down points", "Winching"}.isdisjoint(enough)


def test_unknown_ratings_and_anchors_are_cautions() -> None:
    found = cautions(common_rig(chain_rating_lb=None, trailer_anchor_points=None), [machine()])
    assert "chain rating" in found["Tie-down rating unknown"][1]
    assert "Anchor points unknown" in found
    known = cautions(common_rig(), [machine()])
    assert {"Tie-down rating unknown", "Anchor points unknown"}.isdisjoint(known)


def test_how_a_dead_machine_comes_on() -> None:
    assert day(common_rig(), [machine()], runs=False).hauls[0].how is LoadsBy.WINCHED


def test_a_load_on_an_unrated_neck_deck_or_dovetail_is_a_caution() -> None:
    """The dovetail is the last 120 of 336 in; the machine covers 180 to 324, the bucket stands on the neck."""
    rated = {"dovetail_length_in": 120.0, "dovetail_rating_lb": 9_000.0, "neck": make.neck()}
    bare = {"dovetail_length_in": 120.0, "neck": make.neck(rating_lb=None)}
    items = (make.item(), make.lifted())
    for trailer, expected in ((rated, []), (bare, ["Dovetail rating unknown", "Neck deck rating unknown"])):
        rig = make.rig(trailer=make.trailer(**trailer))
        moves = [make.move(f"M{i}", one) for i, one in enumerate(items)]
        places = (Placed(0, Deck.MAIN, 180, Facing.FORWARD), Placed(1, Deck.NECK, 6, Facing.FORWARD))
        trip = replace(trip_of(rig, 2), placements=places)
        names = [one.name for one in trip_cautions(make.problem(moves, [rig]), rig, trip)]
        assert (
            sorted(name for name in names if name in ("Dovetail rating unknown", "Neck deck rating unknown"))
            == expected
        )


def test_blank_ratings_are_told_to_the_driver() -> None:
    problem = make.problem([make.move("M1")])
    plan_trip = Trip("rig 1", (), ())
    (caution,) = [c for c in trip_cautions(problem, problem.rigs[0], plan_trip) if c.name == "Ratings not given"]
    assert caution.text.endswith(
        "hitch, coupler, tow, registered weight, truck front tyres, truck rear tyres, trailer tyres, ramp"
    )
