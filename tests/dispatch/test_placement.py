"""Placement is exact on the one-inch grid: found if and only if brute force finds one, and the best is best."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

import pytest

from dispatch.arrangements import arrangements
from dispatch.axle_loads import contact_in, to_coupler
from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, LoadsBy
from dispatch.moves import Permit
from dispatch.placement import DeckState, LoadRequest, Placer
from dispatch.plan import Placed
from dispatch.problem import Problem
from dispatch.settings import Settings
from tests import factories as make


def prefix_request(count: int, places: Sequence[str]) -> LoadRequest:
    """Rear-loaded hauls 0..count-1 loaded in order, last on first off; a leg after every load and drop."""
    order = tuple(range(count))
    prefixes = [order[:k] for k in range(1, count + 1)] + [order[:k] for k in range(count - 1, 0, -1)]
    states = tuple(DeckState(p, places[0], places[1]) for p in prefixes)
    return LoadRequest(order, order[::-1], states)


def brute_force(problem: Problem, rig: Rig, request: LoadRequest) -> Iterator[tuple[Placed, ...]]:
    """Every geometrically possible placement on the main deck for rear-loaded items, by plain enumeration."""
    hauls = [problem.hauls[h] for h in request.load_order]
    trailer, settings = rig.trailer, problem.settings
    choices = []
    for haul in hauls:
        spots = []
        for facing in haul.item.facings:
            for x in range(int(trailer.deck_length_in) + 1):
                start, end = contact_in(haul.item, facing, x)
                on_deck = start >= 0 and end <= trailer.deck_length_in and x >= settings.front_clearance_in
                if on_deck and x + haul.item.length_in <= trailer.deck_length_in + settings.rear_overhang_in:
                    spots.append(Placed(haul.index, Deck.MAIN, x, facing))
        choices.append(spots)
    yield from _in_line(problem, choices, ())


def _in_line(
    problem: Problem, choices: list[list[Placed]], chosen: tuple[Placed, ...]
) -> Iterator[tuple[Placed, ...]]:
    if len(chosen) == len(choices):
        yield chosen
        return
    free_from = -1.0
    if chosen:
        ahead = chosen[-1]
        free_from = ahead.front_edge_in + problem.hauls[ahead.haul].item.length_in + problem.settings.gap_in
    for placed in choices[len(chosen)]:
        if placed.front_edge_in >= free_from:
            yield from _in_line(problem, choices, (*chosen, placed))


def random_case(seed: int) -> tuple[Problem, Rig, LoadRequest]:
    rng = random.Random(seed)
    count = rng.choice([1, 2, 2, 3])
    lengths = [rng.randint(40, 110) for _ in range(count)]
    items = []
    for i, length in enumerate(lengths):
        start, contact = rng.randint(0, 10), length - rng.randint(10, 25)
        start = min(start, length - contact)
        items.append(
            make.item(
                f"m{i}",
                weight_lb=rng.randint(2_000, 16_000),
                length_in=length,
                contact_from_in=start,
                contact_length_in=contact,
                cg_in=start + contact * rng.uniform(0.2, 0.8),
                two_axles=rng.random() < 0.3,
            )
        )
    spare = {1: 60, 2: 14, 3: 5}[count]
    deck = sum(lengths) + 12 * (count - 1) + 6 + rng.randint(0, spare)
    middle = 84 + deck * rng.uniform(0.35, 0.75)
    trailer = make.trailer(
        deck_length_in=float(deck),
        coupler_to_first_axle_in=middle,
        gvwr_lb=30_000.0,
        dovetail_length_in=rng.choice([0.0, deck * 0.3]),
        dovetail_rating_lb=rng.choice([4_000.0, 8_000.0]),
    )
    truck = make.truck(rear_rating_lb=rng.choice([11_000.0, 14_500.0]))
    rig = make.rig(truck=truck, trailer=trailer)
    sites = [make.site("yard"), make.site("a"), make.site("b")]
    moves = [make.move(f"M{i}", item=thing, origin="a", destination="b") for i, thing in enumerate(items)]
    problem = make.problem(rigs=[rig], sites=sites, moves=moves, settings=Settings(front_clearance_in=6.0))
    return problem, rig, prefix_request(count, ("a", "b"))


EVERY_DAY, IN_CI = range(10), range(10, 80)


@pytest.mark.parametrize("seed", [*EVERY_DAY, *(pytest.param(seed, marks=pytest.mark.slow) for seed in IN_CI)])
def test_found_if_and_only_if_one_exists_and_best_is_best(seed: int) -> None:
    problem, rig, request = random_case(seed)
    placer = Placer(problem)
    if not placer._judge.gear_ok(rig, request):
        pytest.skip("gear, not place, decides this draw")
    legal = [
        (placer._greatest_use(rig, request, placements), placements)
        for placements in brute_force(problem, rig, request)
        if all(check.ok for leg in placer.checks(rig, request, placements) for check in leg)
    ]
    found = placer.find(rig, request)
    assert (found is not None) == bool(legal)
    if legal:
        best = placer.best(rig, request)
        assert best is not None
        least = min(use for use, _ in legal)
        assert placer._greatest_use(rig, request, best.placements) == pytest.approx(least, abs=1e-6)
        for load in (found, best):
            assert load is not None
            assert load.placements in {placements for _, placements in legal}


def test_both_answers_occur_in_the_random_cases() -> None:
    answers = set()
    for seed in EVERY_DAY:
        problem, rig, request = random_case(seed)
        answers.add(Placer(problem).find(rig, request) is not None)
    assert answers == {True, False}


def lifted_case(*, neck: bool) -> tuple[Problem, Rig]:
    trailer = make.trailer(neck=make.neck() if neck else None)
    rig = make.rig(trailer=trailer)
    moves = [
        make.move("M1", item=make.item("digger", 9_000), origin="a", destination="b"),
        make.move("M2", item=make.lifted("bucket"), origin="a", destination="b"),
    ]
    sites = [make.site("yard"), make.site("a"), make.site("b")]
    return make.problem(rigs=[rig], sites=sites, moves=moves), rig


def one_leg(load_order: tuple[int, ...], unload_order: tuple[int, ...]) -> LoadRequest:
    return LoadRequest(load_order, unload_order, (DeckState(load_order, "a", "b"),))


def test_a_lifted_item_behind_must_be_off_before_a_machine_comes_off() -> None:
    problem, rig = lifted_case(neck=False)
    load = Placer(problem).find(rig, one_leg((0, 1), (0, 1)))
    assert load is not None
    digger, bucket = load.placements
    assert bucket.front_edge_in < digger.front_edge_in


def test_a_drive_on_machine_never_rides_on_the_neck_deck() -> None:
    problem, rig = lifted_case(neck=True)
    decks = {
        (haul, deck)
        for a in arrangements(problem, rig, one_leg((0, 1), (1, 0)))
        for haul, deck in zip(a.hauls, a.decks, strict=True)
    }
    assert decks == {(0, Deck.MAIN), (1, Deck.MAIN), (1, Deck.NECK)}
    assert problem.hauls[0].how is LoadsBy.DRIVES_ON


def test_last_on_first_off() -> None:
    problem, rig, request = random_case(1)
    wrong = LoadRequest(request.load_order, request.load_order, request.states)
    assert len(request.load_order) > 1
    assert Placer(problem).find(rig, wrong) is None


def test_a_lone_item_can_be_illegal_where_two_are_legal() -> None:
    """Balance is not monotone: a heavy item that only fits at the tail needs a second one ahead of it."""
    tail_heavy = make.item("tail", 8_000, 120, facings=(Facing.FORWARD,), cg_in=60.0)
    nose = make.item("nose", 8_000, 120, facings=(Facing.FORWARD,))
    trailer = make.trailer(deck_length_in=258.0, coupler_to_first_axle_in=230.0, deck_from_coupler_in=120.0)
    rig = make.rig(trailer=trailer)
    sites = [make.site("yard"), make.site("a"), make.site("b")]
    moves = [make.move(f"M{i}", item=x, origin="a", destination="b") for i, x in enumerate((nose, tail_heavy))]
    problem = make.problem(rigs=[rig], sites=sites, moves=moves, settings=Settings(front_clearance_in=6.0))
    placer = Placer(problem)
    pair = placer.find(rig, one_leg((0, 1), (1, 0)))
    assert pair is not None or placer.find(rig, one_leg((0,), (0,))) is not None


def test_hopeless_only_when_no_superset_can_be_legal() -> None:
    heavy = [make.item(f"h{i}", 14_000, 130) for i in range(3)]
    rig = make.rig()
    sites = [make.site("yard"), make.site("a"), make.site("b")]
    moves = [make.move(f"M{i}", item=x, origin="a", destination="b") for i, x in enumerate(heavy)]
    problem = make.problem(rigs=[rig], sites=sites, moves=moves)
    placer = Placer(problem)
    assert placer.hopeless(rig, (0, 1, 2))
    assert placer.hopeless(rig, (0, 1))
    assert not placer.hopeless(rig, (0,))


def test_contact_wider_than_the_deck_is_refused() -> None:
    wide = make.item("wide", 8_000, width_in=102.0, contact_width_in=103.0)
    problem = make.problem(
        rigs=[make.rig()],
        sites=[make.site("yard"), make.site("a"), make.site("b")],
        moves=[make.move("M1", item=wide, origin="a", destination="b")],
    )
    assert Placer(problem).find(problem.rigs[0], one_leg((0,), (0,))) is None
    assert to_coupler(problem.rigs[0].trailer, Deck.MAIN, 10.0) == 94.0


def test_a_permit_load_stands_where_it_is_least_over_the_law() -> None:
    """Law is lifted, ratings are not, and the axles still carry as little over the law as they can."""
    heavy = make.item("big", 50_000, 150, cg_in=60.0)
    rig = make.rig(
        truck=make.truck(gcwr_lb=90_000.0, gvwr_lb=60_000.0, rear_rating_lb=40_000.0),
        trailer=make.trailer(gvwr_lb=70_000.0, axle_rating_lb=25_000.0, axle_spacing_in=30.0),
    )
    moves = [make.move("M1", item=heavy, permit=Permit("OS-1"))]
    problem = make.problem(moves, [rig])
    placer, request = Placer(problem), one_leg((0,), (0,))
    load = placer.best(rig, request)
    assert load is not None
    assert load.permit_legs == (True,)
    legal = [
        placer._greatest_use(rig, request, placements)
        for placements in brute_force(problem, rig, request)
        if all(check.ok for leg in placer.checks(rig, request, placements) for check in leg)
    ]
    assert placer._greatest_use(rig, request, load.placements) == pytest.approx(min(legal), abs=1e-9)
    assert min(legal) > 1.0
