"""Which units are worth putting on one trip, worked by hand."""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.fleet import Rig
from dispatch.moves import Move
from dispatch.partners import best_partners
from dispatch.planning_day import prepare
from dispatch.sites import Road
from tests import factories as make
from tests.stub_placer import StubPlacer


def partners(moves: Sequence[Move], most: int, roads: Sequence[Road] = (), rig: Rig | None = None) -> list[int]:
    problem = make.problem(moves, [rig or make.rig()], roads=roads)
    return list(best_partners(prepare(problem, StubPlacer(problem)), most))


def move(name: str, origin: str, destination: str) -> Move:
    return make.move(name, make.item(name, 2000, 60), origin=origin, destination=destination)


def far_apart(minutes: int = 20) -> list[Road]:
    """20 min between any two places; to and from d as given."""
    places = ("yard", "a", "b", "c", "d")
    return [
        make.road(one, two, minutes=minutes if "d" in (one, two) else 20)
        for place, one in enumerate(places)
        for two in places[place + 1 :]
    ]


def test_who_goes_the_same_way_is_the_best_partner() -> None:
    """Together x and y save a whole road; with z, which goes elsewhere, there is more road, not less."""
    some = [move("x", "a", "b"), move("y", "a", "b"), move("z", "c", "d")]
    assert partners(some, 1, far_apart(60)) == [0b110, 0b001, 0b001]
    assert partners(some, 2, far_apart(60)) == [0b110, 0b101, 0b011]


def test_what_cannot_be_hauled_is_nobodys_partner() -> None:
    """To d and home again takes longer than the shift."""
    some = [move("x", "a", "b"), move("y", "a", "b"), move("far", "a", "d"), move("farther", "b", "d")]
    rig = make.rig(shift_start_min=360, shift_end_min=360 + 240)
    assert partners(some, 3, far_apart(200), rig) == [0b0010, 0b0001, 0, 0]


def test_who_can_ride_only_with_another_is_its_best_partner() -> None:
    """From a straight to c takes 200 minutes, by b 40: what goes from a to c must ride with what goes from b."""
    roads = [road for road in far_apart() if {road.origin, road.destination} != {"a", "c"}]
    rig = make.rig(shift_start_min=360, shift_end_min=360 + 170)
    some = [move("x", "b", "c"), move("y", "b", "c"), move("by b", "a", "c")]
    assert partners(some, 1, [*roads, make.road("a", "c", minutes=200)], rig) == [0b100, 0b100, 0b011]
