"""Statics: hand-worked figures, equilibrium and other properties, worst cases against every corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.axle_loads import (
    LinearForm,
    RigLoads,
    axle_forms,
    axle_group_in,
    axle_positions,
    cg_in,
    climb_coupler_lb,
    contact_in,
    contact_load_beyond,
    coupler_form,
    front_form,
    rear_axles_in,
    rear_form,
    rig_loads,
    to_coupler,
    trailer_axles_form,
    trailer_axles_in,
)
from dispatch.checks import Sense
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, Weight
from dispatch.load_rules import gross_form, load_rules, trailer_form
from dispatch.settings import Settings
from tests import factories as make
from tests.bare_rigs import bare_rig, exact, spread

Loads = list[tuple[float, float]]


# -- drawn rigs and items --


def floats(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False)


@st.composite
def weights(draw: st.DrawFn, low: float = 100, high: float = 30_000) -> Weight:
    nominal = draw(floats(low, high))
    return spread(nominal, nominal * (1 - draw(floats(0, 0.1))), nominal * (1 + draw(floats(0, 0.1))))


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
    axles = draw(st.integers(1, 4))
    parts = draw(st.lists(st.integers(1, 3), min_size=axles, max_size=axles))
    return bare_rig(
        truck={
            "wheelbase_in": draw(floats(120, 260)),
            "coupler_ahead_in": draw(floats(-80, 40)),
            "empty_front_lb": draw(floats(3_000, 12_000)),
            "empty_rear_lb": draw(floats(2_000, 12_000)),
            "rear_axles": draw(st.integers(1, 3)),
        },
        trailer={
            "axles": axles,
            "axle_spacing_in": draw(floats(30, 60)),
            "coupler_to_first_axle_in": draw(floats(150, 450)),
            "shares": tuple(part / sum(parts) for part in parts),
            "empty_coupler": draw(weights(500, 8_000)),
            "empty_axles": draw(weights(1_000, 15_000)),
        },
    )


items_on = st.lists(st.tuples(floats(100, 30_000), floats(-60, 600)), max_size=4)


def loads_of(rig: Rig, items: Sequence[tuple[float, float]], **empties: float) -> RigLoads:
    return rig_loads(rig, [lb for lb, _ in items], [x for _, x in items], **empties)


def all_loads(loads: RigLoads) -> tuple[float, ...]:
    return (loads.coupler_lb, loads.front_lb, loads.rear_lb, *loads.rear_axles_lb, *loads.trailer_axles_lb)


def close(value: Any, scale: float = 1e6) -> Any:
    """Equal but for floating-point noise on figures of that size."""
    return pytest.approx(value, rel=1e-9, abs=1e-9 * scale)


# -- hand-worked --


def test_a_rig_by_hand() -> None:
    """g = 300: 6,000 lb at 200 put 4,000 on the axles and 2,000 on the coupler; with 1,000 empty that makes 3,000.

    The coupler stands 40 in ahead of the rear axle of a 200 in wheelbase: c/b = 0.8, so 2,400 and 600.
    """
    loads = loads_of(bare_rig(truck={"coupler_ahead_in": 40.0}), [(6_000, 200)])
    assert loads.trailer_axle_group_lb == pytest.approx(3_000 + 4_000)
    assert loads.coupler_lb == pytest.approx(3_000)
    assert (loads.front_lb, loads.rear_lb) == pytest.approx((6_000 + 600, 4_000 + 2_400))
    assert (loads.trailer_lb, loads.gross_lb) == pytest.approx((10_000, 20_000))


def test_coupler_behind_the_rear_axle_lightens_the_front() -> None:
    """c = 250 on a wheelbase of 200: rear gains 1.25 P, front loses 0.25 P."""
    loads = loads_of(bare_rig(truck={"coupler_ahead_in": -50.0}), [])
    assert (loads.front_lb, loads.rear_lb) == pytest.approx((6_000 - 250, 4_000 + 1_250))


def test_unequal_shares_move_the_middle_and_split_the_load() -> None:
    """Axles at 240 and 300 with shares 1:2: g = 280; 2,800 lb at 140 put 1,400 on the axles."""
    trailer = {
        "axles": 2,
        "coupler_to_first_axle_in": 240.0,
        "axle_spacing_in": 60.0,
        "shares": (1 / 3, 2 / 3),
        "empty_axles": exact(0.0),
    }
    rig = bare_rig(trailer=trailer)
    assert axle_group_in(rig.trailer) == pytest.approx(280)
    assert loads_of(rig, [(2_800, 140)]).trailer_axles_lb == pytest.approx((1_400 / 3, 2_800 / 3))


def test_a_tandem_halves_and_a_tridem_thirds() -> None:
    """Equalised axles with their middle at 300, two or three: 6,000 lb at 200 put 4,000 on 3,000 empty."""
    for axles, first_in, each_lb in ((2, 270.0, 3_500), (3, 240.0, 7_000 / 3)):
        trailer = {"axles": axles, "coupler_to_first_axle_in": first_in, "axle_spacing_in": 60.0}
        loads = loads_of(bare_rig(trailer=trailer), [(6_000, 200)])
        assert loads.trailer_axles_lb == pytest.approx((each_lb,) * axles)
        assert loads.coupler_lb == pytest.approx(3_000)


def test_axle_places() -> None:
    truck = {"rear_axles": 2, "rear_axle_spacing_in": 52.0, "coupler_ahead_in": 10.0}
    trailer = {"axles": 3, "axle_spacing_in": 48.0}
    rig = bare_rig(truck=truck, trailer=trailer)
    assert rear_axles_in(rig.truck) == (174, 226)
    assert trailer_axles_in(rig.trailer) == (300, 348, 396)
    assert axle_positions(rig) == (0, 174, 226, 490, 538, 586)


def test_places_on_the_two_decks() -> None:
    trailer = make.trailer(neck=make.neck(from_coupler_in=-24.0), deck_from_coupler_in=84.0)
    assert to_coupler(trailer, Deck.MAIN, 10) == 94
    assert to_coupler(trailer, Deck.NECK, 10) == -14
    with pytest.raises(ValueError, match="no neck deck"):
        to_coupler(make.trailer(), Deck.NECK, 10)


def test_turning_a_machine_round_moves_its_load() -> None:
    machine = make.item(length_in=170, cg_in=60, contact_from_in=20, contact_length_in=100)
    assert (cg_in(machine, Facing.FORWARD, 100), cg_in(machine, Facing.REARWARD, 100)) == (160, 210)
    assert contact_in(machine, Facing.FORWARD, 100) == (120, 220)
    assert contact_in(machine, Facing.REARWARD, 100) == (150, 250)


# -- properties --


@given(rigs(), items_on)
def test_loads_are_in_equilibrium(rig: Rig, items: Loads) -> None:
    """Forces and moments of trailer and of truck vanish; each group is the sum of its axles."""
    truck, trailer = rig.truck, rig.trailer
    loads = loads_of(rig, items)
    empty_lb = trailer.empty_coupler.nominal_lb + trailer.empty_axles.nominal_lb
    assert loads.trailer_lb == close(empty_lb + sum(lb for lb, _ in items))
    about_coupler = trailer.empty_axles.nominal_lb * axle_group_in(trailer) + sum(lb * x for lb, x in items)
    by_axles = sum(lb * x for lb, x in zip(loads.trailer_axles_lb, trailer_axles_in(trailer), strict=True))
    assert by_axles == close(about_coupler, 1e9)
    truck_lb = truck.empty_front_lb + truck.empty_rear_lb
    assert loads.front_lb + loads.rear_lb == close(truck_lb + loads.coupler_lb)
    about_steer = truck.empty_rear_lb * truck.wheelbase_in + loads.coupler_lb * truck.coupler_in
    by_rear = sum(lb * y for lb, y in zip(loads.rear_axles_lb, rear_axles_in(truck), strict=True))
    assert by_rear == close(about_steer, 1e9)
    assert loads.gross_lb == close(truck_lb + loads.trailer_lb)


@given(rigs(), items_on, items_on)
def test_loads_add(rig: Rig, some: Loads, others: Loads) -> None:
    empty, both = all_loads(loads_of(rig, [])), all_loads(loads_of(rig, [*some, *others]))
    first, second = all_loads(loads_of(rig, some)), all_loads(loads_of(rig, others))
    assert both == close([a + b - e for a, b, e in zip(first, second, empty, strict=True)])


@given(rigs(), items_on, floats(0, 3))
def test_loads_grow_in_proportion_to_the_items(rig: Rig, items: Loads, factor: float) -> None:
    empty, full = all_loads(loads_of(rig, [])), all_loads(loads_of(rig, items))
    scaled = all_loads(loads_of(rig, [(lb * factor, x) for lb, x in items]))
    assert scaled == close([e + factor * (f - e) for e, f in zip(empty, full, strict=True)])


@given(rigs(), items_on)
def test_only_the_sum_of_moments_matters(rig: Rig, items: Loads) -> None:
    """One weight at the common centre of gravity loads every axle as the items do."""
    total = sum(lb for lb, _ in items)
    if total > 0:
        common = sum(lb * x for lb, x in items) / total
        assert all_loads(loads_of(rig, [(total, common)])) == close(all_loads(loads_of(rig, items)))


@given(rigs(), items_on)
def test_units_do_not_matter(rig: Rig, items: Loads) -> None:
    """The same rig in kilograms and centimetres carries the same loads in kilograms."""
    kg, cm = 0.45359237, 2.54

    def scaled(weight: Weight) -> Weight:
        return spread(weight.nominal_lb * kg, weight.low_lb * kg, weight.high_lb * kg)

    truck, trailer = rig.truck, rig.trailer
    metric = replace(
        rig,
        truck=replace(
            truck,
            empty_front_lb=truck.empty_front_lb * kg,
            empty_rear_lb=truck.empty_rear_lb * kg,
            wheelbase_in=truck.wheelbase_in * cm,
            coupler_ahead_in=truck.coupler_ahead_in * cm,
        ),
        trailer=replace(
            trailer,
            empty_coupler=scaled(trailer.empty_coupler),
            empty_axles=scaled(trailer.empty_axles),
            axle_spacing_in=trailer.axle_spacing_in * cm,
            coupler_to_first_axle_in=trailer.coupler_to_first_axle_in * cm,
        ),
    )
    found = all_loads(loads_of(metric, [(lb * kg, x * cm) for lb, x in items]))
    assert found == close([load * kg for load in all_loads(loads_of(rig, items))])


@given(rigs(), items_on, floats(100, 20_000), floats(0, 1))
def test_weight_between_coupler_and_axles_lowers_neither(rig: Rig, items: Loads, more: float, at: float) -> None:
    before = loads_of(rig, items)
    after = loads_of(rig, [*items, (more, at * axle_group_in(rig.trailer))])
    assert after.coupler_lb >= before.coupler_lb - 1e-6
    assert after.rear_lb >= before.rear_lb - 1e-6
    assert after.trailer_axle_group_lb >= before.trailer_axle_group_lb - 1e-6


@given(rigs(), items_on, floats(100, 20_000), floats(-60, 600))
def test_weight_anywhere_never_lowers_a_sum(rig: Rig, items: Loads, more: float, x: float) -> None:
    before, after = loads_of(rig, items), loads_of(rig, [*items, (more, x)])
    assert after.trailer_lb == close(before.trailer_lb + more)
    assert after.gross_lb == close(before.gross_lb + more)


def test_weight_behind_the_axles_lowers_the_coupler_load() -> None:
    """The counter-example: more weight, less on the coupler. 3,000 lb 60 in behind g = 300 take 600 lb off."""
    rig = bare_rig()
    before, after = loads_of(rig, [(6_000, 200)]), loads_of(rig, [(6_000, 200), (3_000, 360)])
    assert before.coupler_lb - after.coupler_lb == pytest.approx(600)
    assert after.trailer_axle_group_lb - before.trailer_axle_group_lb == pytest.approx(3_600)


def test_weight_ahead_of_the_coupler_lowers_the_axle_load() -> None:
    """On a neck deck 30 in ahead of the coupler 1,000 lb put 1,100 on it and take 100 off the axles (g = 300)."""
    before, after = loads_of(bare_rig(), []), loads_of(bare_rig(), [(1_000, -30)])
    assert after.coupler_lb - before.coupler_lb == pytest.approx(1_100)
    assert after.trailer_axle_group_lb - before.trailer_axle_group_lb == pytest.approx(-100)


# -- linear forms and worst cases --

weighed_items = st.lists(st.tuples(weights(), floats(-60, 600)), max_size=3)


def named_forms(rig: Rig) -> list[tuple[LinearForm, Any]]:
    """Every form with the figure of ``RigLoads`` that it stands for."""

    def axle(number: int) -> Any:
        return lambda loads: (loads.front_lb, *loads.rear_axles_lb, *loads.trailer_axles_lb)[number]

    return [
        (coupler_form(rig), lambda loads: loads.coupler_lb),
        (trailer_axles_form(rig), lambda loads: loads.trailer_axle_group_lb),
        (front_form(rig), lambda loads: loads.front_lb),
        (rear_form(rig), lambda loads: loads.rear_lb),
        (trailer_form(rig), lambda loads: loads.trailer_lb),
        (gross_form(rig), lambda loads: loads.gross_lb),
        *((form, axle(number)) for number, form in enumerate(axle_forms(rig))),
    ]


@given(rigs(), weighed_items)
def test_forms_are_the_statics(rig: Rig, items: list[tuple[Weight, float]]) -> None:
    loads = loads_of(rig, [(weight.nominal_lb, x) for weight, x in items])
    for form, figure in named_forms(rig):
        nominal = form.nominal(rig.trailer, [w for w, _ in items], [x for _, x in items])
        assert nominal == close(figure(loads))


@given(rigs(), weighed_items)
def test_worst_case_is_the_worst_corner(rig: Rig, items: list[tuple[Weight, float]]) -> None:
    """Each item and the trailer's two empty weights at either end of its tolerance, all combinations."""
    trailer, places = rig.trailer, [x for _, x in items]
    every = [trailer.empty_coupler, trailer.empty_axles, *(w for w, _ in items)]
    corners = [
        rig_loads(rig, lb, places, empty_coupler_lb=coupler, empty_axles_lb=axles)
        for coupler, axles, *lb in product(*((weight.low_lb, weight.high_lb) for weight in every))
    ]
    for form, figure in named_forms(rig):
        found = [figure(loads) for loads in corners]
        weighed = [w for w, _ in items]
        assert form.worst(trailer, weighed, places, Sense.MOST) == close(max(found))
        assert form.worst(trailer, weighed, places, Sense.LEAST) == close(min(found))


@given(rigs(), weighed_items)
def test_worst_case_is_never_milder_than_nominal(rig: Rig, items: list[tuple[Weight, float]]) -> None:
    weighed, places = [w for w, _ in items], [x for _, x in items]
    for rule in load_rules(rig, Settings(), make.rules()):
        nominal = rule.form.nominal(rig.trailer, weighed, places)
        worst = rule.form.worst(rig.trailer, weighed, places, rule.sense)
        assert worst >= nominal - 1e-6 if rule.sense is Sense.MOST else worst <= nominal + 1e-6


def test_worst_case_by_hand() -> None:
    """Least coupler load: the empty coupler and what stands ahead of the axles light, what stands behind heavy.

    g = 300: 980 + 1,900 x (1 - 150/300) + 2,200 x (1 - 360/300) = 980 + 950 - 440 = 1,490.
    """
    rig = bare_rig(trailer={"empty_coupler": spread(1_000, 980, 1_020)})
    ahead, behind = spread(2_000, 1_900, 2_100), spread(2_000, 1_800, 2_200)
    least = coupler_form(rig).worst(rig.trailer, [ahead, behind], [150, 360], Sense.LEAST)
    most = coupler_form(rig).worst(rig.trailer, [ahead, behind], [150, 360], Sense.MOST)
    assert least == pytest.approx(1_490)
    assert most == pytest.approx(1_020 + 1_050 - 360)


# -- contact pressure --


def beyond(item: Item, hinge_in: float, weight_lb: float = 1_000, facing: Facing = Facing.FORWARD) -> float:
    return contact_load_beyond(item, facing, 0.0, weight_lb, hinge_in)


def test_centred_load_is_spread_evenly() -> None:
    machine = make.item(length_in=100)
    assert [beyond(machine, hinge) for hinge in (-10, 0, 25, 50, 100, 110)] == pytest.approx(
        [1_000, 1_000, 750, 500, 0, 0]
    )


def test_off_centre_load_is_a_trapezoid() -> None:
    """CG 10 in behind the middle of 100 in: the ends press with 0.4 and 1.6 of the mean; rear half 65 %.

    Mean of the rear half = (1.0 + 1.6) / 2 = 1.3 of the mean pressure, on half the length.
    """
    assert beyond(make.item(length_in=100, cg_in=60), 50) == pytest.approx(650)


def test_load_outside_the_middle_third_lifts_one_end() -> None:
    """CG 20 in from the rear end: the patch shrinks to 60 in, a triangle; its last 30 in carry three quarters."""
    machine = make.item(length_in=100, cg_in=80)
    assert [beyond(machine, hinge) for hinge in (0, 40, 70, 100)] == pytest.approx([1_000, 1_000, 750, 0])
    mirrored = make.item(length_in=100, cg_in=20)
    assert [beyond(mirrored, hinge) for hinge in (0, 30, 60, 100)] == pytest.approx([1_000, 250, 0, 0])


def test_two_axles_are_two_point_loads() -> None:
    """Axles 20 and 120 in from the front, CG at 90: 30 % on the front axle, 70 % on the rear one."""
    loader = make.item(length_in=140, contact_from_in=20, contact_length_in=100, cg_in=90, two_axles=True)
    assert [beyond(loader, hinge) for hinge in (10, 60, 130)] == pytest.approx([1_000, 700, 0])


def test_a_point_load_exactly_at_the_hinge_is_on_the_main_deck() -> None:
    loader = make.item(length_in=140, contact_from_in=20, contact_length_in=100, cg_in=90, two_axles=True)
    assert beyond(loader, 20) == pytest.approx(700)
    assert beyond(loader, 19.99) == pytest.approx(1_000)
    assert beyond(loader, 120) == 0


def test_centre_of_gravity_over_the_end_of_the_contact_is_a_point_load() -> None:
    machine = make.item(length_in=100, cg_in=100)
    assert beyond(machine, 99) == pytest.approx(1_000)
    assert beyond(machine, 100) == 0


def test_pressure_changes_smoothly_where_one_end_begins_to_lift() -> None:
    at_edge = [make.item(length_in=120, cg_in=80 + e) for e in (-1e-9, 1e-9)]
    for hinge in (10, 60, 110):
        assert beyond(at_edge[0], hinge) == pytest.approx(beyond(at_edge[1], hinge), abs=1e-4)


@st.composite
def standing_items(draw: st.DrawFn) -> Item:
    start, contact, tail = draw(floats(0, 40)), draw(floats(20, 200)), draw(floats(0, 60))
    return make.item(
        length_in=start + contact + tail,
        contact_from_in=start,
        contact_length_in=contact,
        cg_in=start + contact * draw(floats(0.01, 0.99)),
        two_axles=draw(st.booleans()),
    )


facings = st.sampled_from(Facing)


@given(standing_items(), facings, floats(0, 200), floats(100, 30_000))
def test_pressure_carries_the_weight_and_its_moment(
    item: Item, facing: Facing, edge: float, weight: float
) -> None:
    """The load beyond a hinge, summed over all hinges of the patch, is weight x (CG - start of the patch)."""
    start, end = contact_in(item, facing, edge)
    cg, length = cg_in(item, facing, edge), end - start

    def beyond_at(hinge: float) -> float:
        return contact_load_beyond(item, facing, edge, weight, hinge)

    assert beyond_at(start - 1e-6) == close(weight)
    assert beyond_at(end + 1e-6) == close(0)
    # The load beyond is a step or piecewise quadratic: Simpson's rule between the breaks is exact.
    breaks = sorted({start, min(max(end - 3 * (end - cg), start), end), min(start + 3 * (cg - start), end), end})
    moment = 0.0
    for low, high in pairwise(breaks):
        inset = (high - low) * 1e-12  # a step at the very end belongs to neither side
        middle = beyond_at((low + high) / 2)
        moment += (high - low) / 6 * (beyond_at(low + inset) + 4 * middle + beyond_at(high - inset))
    assert moment == pytest.approx(weight * (cg - start), rel=1e-6, abs=1e-6 * weight * length)


@given(standing_items(), facings, floats(-20, 300), floats(0, 50))
def test_load_beyond_never_grows_as_the_hinge_goes_back(
    item: Item, facing: Facing, hinge: float, by: float
) -> None:
    near, far = (contact_load_beyond(item, facing, 0.0, 1.0, at) for at in (hinge, hinge + by))
    assert -1e-9 <= far <= near + 1e-9 <= 1 + 2e-9


@given(standing_items(), floats(-20, 300), floats(-50, 400))
def test_facing_rearward_is_the_mirrored_item_facing_forward(item: Item, edge: float, hinge: float) -> None:
    mirrored = replace(
        item,
        cg_in=item.length_in - item.cg_in,
        contact_from_in=item.length_in - item.contact_from_in - item.contact_length_in,
    )
    assert cg_in(item, Facing.REARWARD, edge) == pytest.approx(cg_in(mirrored, Facing.FORWARD, edge))
    turned, plain = contact_in(item, Facing.REARWARD, edge), contact_in(mirrored, Facing.FORWARD, edge)
    assert turned == pytest.approx(plain)
    at_a_point_load = item.two_axles and min(abs(hinge - end) for end in plain) < 1e-6
    if not at_a_point_load:
        beyond_turned = contact_load_beyond(item, Facing.REARWARD, edge, 1.0, hinge)
        assert beyond_turned == pytest.approx(
            contact_load_beyond(mirrored, Facing.FORWARD, edge, 1.0, hinge), abs=1e-6
        )


# -- climbing --


def test_climbing_machine_unloads_the_coupler() -> None:
    """Tail at 350, g = 300: P0 + W (1 - 350/300) = 1,000 - 6,000/6 = 0; one pound more lifts the hitch."""
    rig = bare_rig()
    assert climb_coupler_lb(rig, [], exact(6_000)) == pytest.approx(0)
    assert climb_coupler_lb(rig, [], exact(6_006)) == pytest.approx(-1)


def test_what_stands_ahead_holds_the_coupler_down_while_another_climbs() -> None:
    """2,000 lb at 150 add 1,000 lb; the worst case takes them light, the climbing machine heavy.

    980 + 1,900 / 2 - 6,600 / 6 = 830.
    """
    rig = bare_rig(trailer={"empty_coupler": spread(1_000, 980, 1_020)})
    ahead, climbing = spread(2_000, 1_900, 2_100), spread(6_000, 5_400, 6_600)
    assert climb_coupler_lb(rig, [(ahead, 150)], climbing) == pytest.approx(830)
    assert climb_coupler_lb(bare_rig(), [(exact(2_000), 150)], exact(6_000)) == pytest.approx(1_000)
