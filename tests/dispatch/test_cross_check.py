"""Contradictions that no single cell shows, each found on its own in a day that is sound otherwise."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dispatch.cross_check import (
    cross_check,
    distance_faults,
    item_faults,
    move_faults,
    needed_pairs,
    rig_faults,
    settings_faults,
    site_faults,
    trailer_faults,
    truck_faults,
)
from dispatch.fleet import Hitch
from dispatch.items import Item, Kind
from dispatch.moves import Permit
from dispatch.problem import Fault, Problem
from dispatch.settings import COUPLER_BANDS, Band, Settings
from tests import factories as make


def one(found: object) -> Fault:
    faults = tuple(found)  # type: ignore[call-overload]
    assert len(faults) == 1, faults
    fault: Fault = faults[0]
    return fault


def address(fault: Fault) -> tuple[str, str, str]:
    return fault.sheet, fault.key, fault.column


def test_the_default_day_has_no_faults() -> None:
    assert cross_check(make.problem()) == ()


@pytest.mark.parametrize(
    ("item", "column", "mend"),
    [
        (make.item(cg_in=145), "CG from front", "12 ft 0 in"),
        (make.item(contact_from_in=24, contact_length_in=60, cg_in=20), "CG from front", "2 ft 0 in"),
        (make.item(contact_from_in=24, contact_length_in=140), "Contact length", "10 ft 0 in or less"),
        (make.item(contact_from_in=150, contact_length_in=10), "Contact from front", ""),
    ],
)
def test_items(item: Item, column: str, mend: str) -> None:
    fault = one(item_faults(item))
    assert address(fault) == ("Items", "loader", column)
    assert fault.mend == mend


def test_a_centre_of_gravity_at_the_end_of_the_contact_is_allowed() -> None:
    assert not tuple(item_faults(make.item(contact_from_in=24, contact_length_in=60, cg_in=24)))
    assert not tuple(item_faults(make.item(contact_from_in=24, contact_length_in=60, cg_in=84)))


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"empty_front_lb": 7_001.0}, "Empty front"),
        ({"rear_rating_lb": 3_000.0}, "Empty rear"),
        ({"gvwr_lb": 8_000.0}, "GVWR"),
        ({"gcwr_lb": 19_000.0}, "GCWR"),
        ({"rear_axles": 3, "rear_axle_spacing_in": 200.0}, "Wheelbase"),
        ({"coupler_ahead_in": 193.0}, "Coupler ahead of rear axle"),
    ],
)
def test_trucks(change: dict[str, float], column: str) -> None:
    fault = one(truck_faults(make.truck("T", **change)))
    assert address(fault) == ("Trucks", "T", column)


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"gvwr_lb": 7_999.0}, "GVWR"),
        ({"axle_rating_lb": 2_000.0}, "Empty axles"),
        ({"shares": (0.5, 0.5)}, "Axle shares"),
        ({"dovetail_length_in": 337.0}, "Dovetail length"),
        ({"neck": make.neck(length_in=120.0)}, "Neck deck length"),
        ({"neck": make.neck(), "hitch": Hitch.PINTLE}, "Neck deck length"),
    ],
)
def test_trailers(change: dict[str, object], column: str) -> None:
    fault = one(trailer_faults(make.trailer("G", **change)))
    assert address(fault) == ("Trailers", "G", column)


def test_a_neck_deck_may_end_where_the_main_deck_begins() -> None:
    assert not tuple(trailer_faults(make.trailer(neck=make.neck(from_coupler_in=-12.0))))


@pytest.mark.parametrize(
    ("truck", "trailer"),
    [(Hitch.GOOSENECK, Hitch.FIFTH_WHEEL), (Hitch.PINTLE, Hitch.BALL), (Hitch.BALL, Hitch.GOOSENECK)],
)
def test_hitches_that_do_not_match(truck: Hitch, trailer: Hitch) -> None:
    rig = make.rig("R", truck=make.truck(hitch=truck), trailer=make.trailer("G", hitch=trailer))
    fault = one(rig_faults(rig))
    assert address(fault) == ("Rigs", "R", "Trailer")
    assert f"{truck} hitch; G is {trailer}" in fault.expected


def test_a_trailer_axle_among_the_trucks() -> None:
    """Coupler 6 in ahead of the rear axle, first trailer axle 6 in behind the coupler: both in one place."""
    under = make.rig("R", trailer=make.trailer("under", coupler_to_first_axle_in=6.0))
    fault = one(rig_faults(under))
    assert (*address(fault), fault.value) == ("Rigs", "R", "Trailer", "under")
    behind = make.rig("R", trailer=make.trailer(coupler_to_first_axle_in=6.5))
    assert tuple(rig_faults(behind)) == ()


def test_a_neck_deck_over_the_trucks_steer_axle() -> None:
    """The coupler is 187 in behind the steer axle."""
    ahead = make.rig("R", trailer=make.trailer("long neck", neck=make.neck(from_coupler_in=-187.5)))
    fault = one(rig_faults(ahead))
    assert (*address(fault), fault.value) == ("Rigs", "R", "Trailer", "long neck")
    at = make.rig("R", trailer=make.trailer(neck=make.neck(from_coupler_in=-187.0)))
    assert tuple(rig_faults(at)) == ()


def test_a_shift_that_ends_before_it_starts() -> None:
    assert address(one(rig_faults(make.rig("R", shift_end_min=6 * 60)))) == ("Rigs", "R", "Shift end")


def test_trucks_and_trailers_without_a_rig_are_checked_too() -> None:
    faults = cross_check(
        make.problem(), [make.truck("spare", gvwr_lb=1.0)], [make.trailer("old", dovetail_length_in=999.0)]
    )
    assert {(fault.sheet, fault.key) for fault in faults} == {("Trucks", "spare"), ("Trailers", "old")}


def test_rigs_that_share_gear_name_one_yard_and_end_there() -> None:
    first = make.rig("R1")
    second = make.rig("R2", truck=first.truck, yard="other", end="yard")
    day = make.problem(rigs=[first, second])
    found = [address(fault) for fault in cross_check(day)]
    assert found == [("Rigs", "R2", "Yard"), ("Rigs", "R2", "End")]
    same_driver = make.rig("R2", driver="R1 driver", yard="other", end="other")
    fault = one(cross_check(make.problem(rigs=[first, same_driver])))
    assert fault.mend == "yard"
    assert "share a driver" in fault.expected
    alone = make.rig("R2", yard="other", end="yard")
    assert cross_check(make.problem(rigs=[first, alone])) == ()


def test_rigs_without_a_driver_share_none() -> None:
    rigs = [make.rig("R1", driver=""), make.rig("R2", driver="", yard="other")]
    assert cross_check(make.problem(rigs=rigs)) == ()


def test_sites() -> None:
    assert address(one(site_faults(make.site("a", opens_min=600, closes_min=600)))) == ("Sites", "a", "Closes")
    assert address(one(site_faults(make.site("a", latitude=40.0)))) == ("Sites", "a", "Longitude")
    assert not tuple(site_faults(make.site("a", closes_min=600)))


@pytest.mark.parametrize(
    ("change", "column"),
    [
        ({"destination": "a"}, "To"),
        ({"ready_min": 600, "due_min": 600}, "Deliver by"),
        ({"permit": Permit("P", 900, 540)}, "Permit hours"),
        ({"companions": ("loader",)}, "With"),
        ({"only_rigs": ("R1",), "not_rigs": ("R2", "R1")}, "Not rigs"),
    ],
)
def test_moves(change: dict[str, object], column: str) -> None:
    fault = one(move_faults(make.move("M", make.item("loader"), **change)))
    assert address(fault) == ("Moves", "M", column)


def test_a_machine_in_two_moves_must_chain() -> None:
    loader = make.item("loader")
    there, back = make.move("1", loader), make.move("2", loader, origin="b", destination="c")
    assert cross_check(make.problem([there, back])) == ()
    fault = one(cross_check(make.problem([there, make.move("2", loader, origin="c", destination="d")])))
    assert address(fault) == ("Moves", "2", "Item")
    assert "move 1" in fault.expected
    gravel = make.item("gravel", kind=Kind.MATERIAL)
    assert cross_check(make.problem([make.move("1", gravel), make.move("2", gravel)])) == ()


def test_a_companion_named_by_two_moves_must_chain_as_well() -> None:
    bucket = make.lifted("bucket")
    first = make.move("1", make.item("x"), companions=("bucket",))
    second = make.move("2", make.item("y"), companions=("bucket",))
    fault = one(cross_check(make.problem([first, second], items=[bucket])))
    assert address(fault) == ("Moves", "2", "With")
    later = make.move("2", make.item("y"), companions=("bucket",), origin="b", destination="c")
    assert cross_check(make.problem([first, later], items=[bucket])) == ()
    mats = make.lifted("bucket", kind=Kind.MATERIAL)
    assert cross_check(make.problem([first, second], items=[mats])) == ()


def test_with_cannot_put_two_moves_of_one_machine_on_one_trip() -> None:
    loader = make.item("loader")
    moves = [
        make.move("1", loader),
        make.move("2", loader, origin="b", destination="c"),
        make.move("3", make.item("x"), companions=("loader",)),
        make.move("4", make.item("y"), origin="b", destination="c", companions=("loader", "x")),
    ]
    fault = one(cross_check(make.problem(moves)))
    assert address(fault) == ("Moves", "2", "With")


def test_a_road_to_itself() -> None:
    day = make.problem(roads=[*make.all_roads(["yard", "a", "b"]), make.road("a", "a")])
    assert address(one(cross_check(day))) == ("Distances", "a - a", "To")


def test_pairs_that_nothing_says_the_distance_of() -> None:
    day = make.problem(roads=[make.road("yard", "a"), make.road("a", "b")])
    fault = one(distance_faults(day))
    assert address(fault) == ("Sites", "b", "Latitude")
    assert "b to yard, yard to b" in fault.expected
    placed = {name: make.site(name, latitude=40.0, longitude=-89.0) for name in ("yard", "b")}
    assert not tuple(distance_faults(make.problem(sites=placed, roads=day.roads)))


def test_a_oneway_road_leaves_the_other_direction_open() -> None:
    roads = [make.road("yard", "a"), make.road("yard", "b"), make.road("a", "b", oneway=True)]
    assert not tuple(distance_faults(make.problem(roads=roads)))
    back = make.move("2", make.item("x"), origin="b", destination="a")
    fault = one(distance_faults(make.problem([make.move("1"), back], roads=roads)))
    assert "b to a" in fault.expected


def test_needed_pairs_leave_out_yards_among_themselves() -> None:
    rigs = [make.rig("R1"), make.rig("R2", yard="other")]
    pairs = needed_pairs(make.problem(rigs=rigs))
    assert ("yard", "other") not in pairs
    assert {("yard", "a"), ("b", "other"), ("a", "b")} <= pairs
    assert ("b", "a") not in pairs


def test_settings_whose_least_is_over_the_most() -> None:
    bands = dict(COUPLER_BANDS) | {Hitch.GOOSENECK: Band(40, 30)}
    fault = one(settings_faults(replace(Settings(), coupler_bands=bands)))
    assert address(fault) == ("Settings", "Coupler share least, gooseneck", "Value")


def test_every_fault_of_a_day_is_reported() -> None:
    loader = make.item("loader", cg_in=200)
    rig = make.rig("R", shift_end_min=0, truck=make.truck(gcwr_lb=1.0), trailer=make.trailer(hitch=Hitch.BALL))
    move = make.move("M", loader, destination="a", ready_min=600, due_min=500)
    day: Problem = make.problem([move], [rig], sites=[make.site("a", opens_min=600, closes_min=1)])
    found = [fault.column for fault in cross_check(day)]
    assert found == ["CG from front", "GCWR", "Trailer", "Shift end", "Closes", "To", "Deliver by"]
