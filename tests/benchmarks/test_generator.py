"""The benchmark days: the same every time, sound, and hard enough on axles that payload alone does not decide."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, permutations

import pytest

from benchmarks.generator import SIZES, Size, day, digest, tightness_of
from benchmarks.machine_kinds import KINDS
from benchmarks.peers.routes import Day, trip_of
from benchmarks.rig_kinds import DOVETAIL, FLEET, carries
from dispatch.cross_check import cross_check
from dispatch.fleet import Rig
from dispatch.items import Item
from dispatch.placement import DeckState, LoadRequest, Placer
from tests import factories as make


def test_the_same_seed_gives_the_same_day() -> None:
    size = Size(24, 5)
    assert day(size, 3) == day(size, 3)
    assert len({digest(day(size, seed)) for seed in range(10)}) == 10


def test_sizes_are_read_as_they_are_written() -> None:
    assert [Size.read(str(size)) for size in SIZES] == list(SIZES)


@pytest.mark.parametrize("seed", [0, 1])
@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_day_passes_the_input_cross_checks(size: Size, seed: int) -> None:
    problem = day(size, seed)
    assert (len(problem.moves), len(problem.rigs)) == (size.moves, size.rigs)
    assert cross_check(problem) == ()
    assert len({move.item.name for move in problem.moves}) == size.moves


def test_tight_days_have_more_and_narrower_windows() -> None:
    def windows(seed: int) -> list[int]:
        moves = [move for move in day(Size(120, 18), seed).moves if move.due_min is not None]
        return [move.due_min - move.ready_min for move in moves if move.due_min and move.ready_min]

    loose, tight = windows(0), windows(1)
    assert [tightness_of(seed).name for seed in (0, 1)] == ["loose", "tight"]
    assert len(tight) > 1.5 * len(loose)
    assert sum(tight) / len(tight) < 0.8 * sum(loose) / len(loose)


@pytest.mark.parametrize("seed", [0, 1])
def test_every_move_can_be_carried_by_some_rig_by_itself_and_in_time(seed: int) -> None:
    own = Day(day(Size(24, 5), seed))
    for move in range(len(own.problem.moves)):
        trip = trip_of([move])
        assert any(own.outing(rig, [trip]) and own.load(rig, trip) for rig in own.problem.rigs), move


def test_no_rig_carries_everything_and_every_machine_finds_one() -> None:
    kinds = list(dict.fromkeys(FLEET))
    assert all(any(carries(rig, machine) for rig in kinds) for machine in KINDS)
    assert not any(all(carries(rig, machine) for machine in KINDS) for rig in kinds)


def legal(rig: Rig, items: tuple[Item, ...]) -> bool:
    """Whether the items ride together on one leg, in any order."""
    problem = make.problem([make.move(item.name, item) for item in items], [rig])
    placer = Placer(problem)
    orders = permutations(range(len(items)))
    requests = (LoadRequest(order, order[::-1], (DeckState(order, "a", "b"),)) for order in orders)
    return any(placer.find(problem.rigs[0], request) is not None for request in requests)


def test_loads_within_payload_and_deck_fail_on_the_axles() -> None:
    """The same loads ride on the same rig with stronger axles: the axles are what they fail on."""
    rig = DOVETAIL.rig("rig")
    trailer = rig.trailer
    strong = replace(rig, trailer=replace(trailer, axle_rating_lb=20_000.0, tyre_rating_lb=None))
    payload_lb = trailer.gvwr_lb - trailer.empty_coupler.high_lb - trailer.empty_axles.high_lb
    room_in = trailer.deck_length_in - 6.0 - 12.0
    failed = []
    for pair in combinations([kind.item(kind.name) for kind in KINDS if kind.weight_lb > 4_000], 2):
        fits = sum(one.length_in for one in pair) <= room_in
        if fits and sum(one.weight.high_lb for one in pair) <= payload_lb and not legal(rig, pair):
            failed.append(legal(strong, pair))
    assert sum(failed) >= 3
