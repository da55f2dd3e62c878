"""The fleet that a candidate makes: who stands behind what, and what moves say of rigs."""

from __future__ import annotations

from dataclasses import replace

from dispatch.comparison.candidates import fleet_with
from dispatch.comparison.history import contains
from dispatch.problem import shares_gear
from tests import factories as make
from tests.dispatch.comparison.offers import candidate

R1, R2 = make.rig("R1"), make.rig("R2")
MOVES = [
    make.move("1", make.item("a"), only_rigs=("R1",)),
    make.move("2", make.item("b"), not_rigs=("R1",)),
    make.move("3", make.item("c"), only_rigs=("R2",)),
]
DAY = make.problem(MOVES, [R1, R2])


def test_one_trailer_more_takes_turns_behind_its_truck() -> None:
    offer = candidate()
    found = fleet_with(DAY, offer, offer.bare)
    assert [rig.name for rig in found.rigs] == ["R1", "R2", "R1 with C"]
    new = found.rig("R1 with C")
    assert shares_gear(new, R1) == ("truck", "driver")
    assert shares_gear(new, R2) == ()
    assert replace(new, name="R1", trailer=R1.trailer) == R1
    assert new.trailer == offer.bare.trailer


def test_what_moves_say_of_a_rig_holds_with_the_candidate_too() -> None:
    found = fleet_with(DAY, candidate(), candidate().bare)
    new = found.rig("R1 with C")
    assert [found.may_carry(new, move) for move in found.moves] == [True, False, False]
    for rig in DAY.rigs:
        assert [found.may_carry(rig, move) for move in found.moves] == [DAY.may_carry(rig, move) for move in MOVES]
    assert contains(found, DAY)
    assert not contains(DAY, found)
    other = replace(found, moves=(replace(found.moves[0], only_rigs=()), *found.moves[1:]))
    assert not contains(other, DAY), "R2 may carry move 1 there"


def test_a_trailer_behind_two_trucks_is_out_with_one_of_them() -> None:
    offer = candidate(behind=("R1", "R2"))
    one, two = fleet_with(DAY, offer, offer.bare).rigs[2:]
    assert shares_gear(one, two) == ("trailer",)


def test_a_replaced_trailer_is_gone() -> None:
    offer = candidate(replaces=True, cost_per_hour_usd=99.0)
    found = fleet_with(DAY, offer, offer.bare)
    assert [(rig.name, rig.trailer.name) for rig in found.rigs] == [("R1", "C"), ("R2", "R2 trailer")]
    assert (found.rig("R1").cost_per_hour_usd, found.rig("R1").cost_per_mile_usd) == (99.0, R1.cost_per_mile_usd)
    assert not contains(found, DAY)
    assert found.moves == DAY.moves


def test_options_are_told_with_the_candidate() -> None:
    offer = candidate({"winch": (300, 1_000, {}), "ramps": (200, 500, {})})
    assert [offer.label(build) for build in offer.builds] == [
        "C",
        "C with winch",
        "C with ramps",
        "C with winch, ramps",
    ]
    assert [round(offer.adds_lb(build)) for build in offer.builds] == [0, 300, 200, 500]
    assert [round(build.payload_lb) for build in offer.builds] == [16_000, 15_700, 15_800, 15_500]
