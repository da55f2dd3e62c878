"""Hauls, groups and successions of a day."""

from __future__ import annotations

from itertools import pairwise, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.assemble import assemble, chain
from dispatch.items import Kind, LoadsBy
from dispatch.moves import Permit
from dispatch.settings import Settings
from tests import factories as make


def test_hauls_follow_the_moves_then_the_companions() -> None:
    bucket = make.lifted("bucket")
    moves = [
        make.move("1", make.item("loader"), companions=("bucket",), ready_min=480, due_min=600),
        make.move("2", make.item("roller"), load_min=33, permit=Permit("P1")),
    ]
    day = make.problem(moves, items=[bucket])
    assert [haul.index for haul in day.hauls] == [0, 1, 2]
    assert [haul.item.name for haul in day.hauls] == ["loader", "roller", "bucket"]
    companion = day.hauls[2]
    assert companion.companion
    assert companion.move == "1"
    assert (companion.origin, companion.destination) == ("a", "b")
    assert (companion.ready_min, companion.due_min) == (480, 600)
    assert (companion.load_min, companion.unload_min) == (20, 15)
    assert companion.how is LoadsBy.LIFTED
    assert companion.permit is None
    assert day.hauls[1].permit == Permit("P1")
    assert day.hauls[1].load_min == 33
    assert day.together == ((0, 2), (1,))


def test_companion_minutes_come_from_settings() -> None:
    day = make.problem(
        [make.move(companions=("bucket",))],
        items=[make.lifted("bucket")],
        settings=Settings(load_min=7, unload_min=9),
    )
    assert (day.hauls[1].load_min, day.hauls[1].unload_min) == (7, 9)


def test_companion_with_its_own_move_shares_the_group() -> None:
    moves = [
        make.move("1", make.item("loader"), companions=("bucket",)),
        make.move("2", make.item("roller")),
        make.move("3", make.lifted("bucket")),
    ]
    day = make.problem(moves)
    assert len(day.hauls) == 3
    assert day.together == ((0, 2), (1,))


def test_of_several_own_moves_the_one_over_the_same_road_rides_along() -> None:
    mats = make.item("mats", kind=Kind.MATERIAL)
    moves = [
        make.move("1", mats, origin="x", destination="y"),
        make.move("2", mats),
        make.move("3", make.item("loader"), companions=("mats",)),
    ]
    assert make.problem(moves).together == ((0,), (1, 2))


def test_relations_chain_into_one_group() -> None:
    moves = [
        make.move("1", make.item("a1"), companions=("a2",)),
        make.move("2", make.item("a2"), companions=("a3",)),
        make.move("3", make.item("a3"), companions=("a1",)),
    ]
    assert make.problem(moves).together == ((0, 1, 2),)


def test_a_dead_machine_is_winched_and_a_lifted_one_stays_lifted() -> None:
    moves = [
        make.move("1", make.item("dead"), runs=False),
        make.move("2", make.lifted("bucket"), runs=False),
    ]
    assert [haul.how for haul in make.problem(moves).hauls] == [LoadsBy.WINCHED, LoadsBy.LIFTED]


def test_two_moves_of_one_machine_follow_each_other_by_place() -> None:
    loader = make.item("loader")
    moves = [
        make.move("1", loader, origin="b", destination="c"),
        make.move("2", loader, origin="a", destination="b"),
    ]
    assert make.problem(moves).successors == ((1, 0),)


def test_there_and_back_is_ordered_by_the_windows() -> None:
    loader = make.item("loader")
    back = make.move("back", loader, origin="b", destination="a", due_min=540)
    there = make.move("there", loader, origin="a", destination="b", ready_min=600)
    assert make.problem([there, back]).successors == ((1, 0),)
    assert make.problem(
        [there, make.move("back", loader, origin="b", destination="a", ready_min=700)]
    ).successors == ((0, 1),)


def test_the_chain_looks_beyond_the_first_that_fits() -> None:
    loader = make.item("loader")
    moves = [
        make.move("1", loader, origin="a", destination="b"),
        make.move("2", loader, origin="b", destination="c"),
        make.move("3", loader, origin="b", destination="a"),
    ]
    assert make.problem(moves).successors == ((0, 1), (2, 0))


@given(st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("abc")), min_size=2, max_size=5))
def test_the_chain_agrees_with_trying_every_order(roads: list[tuple[str, str]]) -> None:
    loader = make.item("loader")
    moves = [make.move(str(i), loader, origin=o, destination=d) for i, (o, d) in enumerate(roads)]
    hauls = make.problem(moves).hauls
    orders = [
        order
        for order in permutations(hauls)
        if all(first.destination == second.origin for first, second in pairwise(order))
    ]
    assert chain(hauls) == (orders[0] if orders else None)


def test_a_shuttle_of_many_moves_is_ordered_at_once() -> None:
    loader = make.item("loader")
    shuttle = [make.move(str(i), loader, origin="ab"[i % 2], destination="ba"[i % 2]) for i in range(30)]
    assert chain(make.problem(shuttle).hauls) is not None
    stray = make.move("stray", loader, origin="c", destination="d")
    assert chain(make.problem([*shuttle, stray]).hauls) is None


def test_material_repeats_without_order_and_broken_chains_give_none() -> None:
    gravel = make.item("gravel", kind=Kind.MATERIAL)
    assert make.problem([make.move("1", gravel), make.move("2", gravel)]).successors == ()
    loader = make.item("loader")
    assert make.problem([make.move("1", loader), make.move("2", loader)]).successors == ()


def test_sites_may_be_given_as_a_list() -> None:
    day = assemble([], [], [make.site("a")], [], [], Settings(), make.rules())
    assert day.sites["a"].name == "a"


@pytest.mark.parametrize(("own_min", "held_min"), [(None, None), (600, 600), (900, 660)])
def test_a_rigs_driving_limit_can_only_be_stricter_than_the_law(own_min: int | None, held_min: int | None) -> None:
    """11 h by 49 CFR 395.3(a)(3)(i); more is a matter for the sheet Limits."""
    day = make.problem(rigs=[make.rig(driving_limit_min=own_min)])
    assert day.rigs[0].driving_limit_min == held_min
