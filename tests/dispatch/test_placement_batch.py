"""Requests decided together get the very load that each gets by itself, and that load passes every check.

One by one is the general search (``Placer._find``), which the sweeps hold to brute force. It tries one arrangement
after the other; the batch shares with it the search for places and the tables, not the way to them.
"""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

from dispatch.arrangements import DeckState, Load, LoadRequest, Pin
from dispatch.fleet import Deck, Licence, Rig
from dispatch.items import Facing, Item, LoadsBy, WeightBasis
from dispatch.limits import load_rule_set
from dispatch.moves import Permit
from dispatch.placement import Placer
from dispatch.problem import Problem
from tests import factories as make

RULE_SETS = {
    "US federal": Licence.A,
    "US California": Licence.A,
    "Canada national": Licence.CLASS_1,
    "Canada British Columbia": Licence.CLASS_1,
    "EU": Licence.CE,
}
ITEMS = 9


def day(rng: random.Random) -> Problem:
    """A rig with or without neck deck and dovetail, under some jurisdiction; nine items of all sorts."""
    rules = rng.choice(list(RULE_SETS))
    deck = float(rng.randint(230, 400))
    trailer = make.trailer(
        axles=rng.choice([2, 3]),
        deck_length_in=deck,
        coupler_to_first_axle_in=84 + deck * rng.uniform(0.45, 0.7),
        gvwr_lb=rng.choice([24_000.0, 34_000.0, 50_000.0]),
        axle_rating_lb=rng.choice([8_000.0, 12_000.0]),
        neck=make.neck(rating_lb=rng.choice([None, 1_500.0])) if rng.random() < 0.5 else None,
        dovetail_length_in=rng.choice([0.0, round(deck * 0.3)]),
        dovetail_rating_lb=rng.choice([None, 3_000.0, 8_000.0]),
        ramp_rating_lb=rng.choice([None, 11_000.0]),
        anchor_points=rng.choice([None, 12]),
    )
    truck = make.truck(gcwr_lb=80_000.0, gvwr_lb=30_000.0, rear_rating_lb=rng.choice([14_500.0, 20_000.0]))
    chains = rng.choice([10, 20])
    rig = make.rig(truck=truck, trailer=trailer, licence=RULE_SETS[rules], chains=chains, chain_rating_lb=11_300.0)
    ends = [("a", "b"), ("a", "c")]
    moves = []
    for number in range(ITEMS):
        origin, destination = rng.choice(ends)
        permit = Permit("OS-1") if rng.random() < 0.1 else None
        moves.append(
            make.move(f"M{number}", draw_item(rng, number), origin=origin, destination=destination, permit=permit)
        )
    sites = [
        make.site("c", longest_rig_in=rng.choice([None, 700.0]), highest_load_in=rng.choice([None, 125.0])),
        make.site("b", heaviest_gross_lb=rng.choice([None, 50_000.0])),
    ]
    return make.problem(moves, [rig], sites=sites, rule_set=load_rule_set(rules))


def draw_item(rng: random.Random, number: int) -> Item:
    basis = rng.choice([WeightBasis.SCALE_TICKET, WeightBasis.DATA_PLATE, WeightBasis.ESTIMATE])
    if rng.random() < 0.3:
        length = float(rng.randint(24, 70))
        return make.lifted(f"m{number}", rng.randint(300, 2_000), length, basis=basis)
    length = rng.randint(60, 150)
    contact = length - rng.randint(0, 30)
    start = rng.randint(0, length - contact)
    return make.item(
        f"m{number}",
        rng.randint(1_500, 11_500),
        float(length),
        basis,
        contact_from_in=float(start),
        contact_length_in=float(contact),
        cg_in=start + contact * rng.uniform(0.2, 0.8),
        height_in=rng.choice([84.0, 92.0]),
        width_in=rng.choice([70.0, 70.0, 103.0]),
        two_axles=rng.random() < 0.3,
        facings=rng.choice([make.EITHER, make.EITHER, (Facing.FORWARD,)]),
    )


def draw_request(rng: random.Random, problem: Problem) -> LoadRequest:
    """One to five hauls in any order, unloaded in reverse or in any order; some or all legs; at times a pin."""
    order = tuple(rng.sample(range(ITEMS), rng.choice([1, 2, 2, 3, 3, 3, 4, 5])))
    unload = order[::-1] if rng.random() < 0.8 else tuple(rng.sample(order, len(order)))
    ends = rng.choice([("a", "b"), ("a", "c")])
    decks = [order[:size] for size in range(1, len(order) + 1) if size == len(order) or rng.random() < 0.5]
    decks += [unload[left:] for left in range(1, len(order)) if rng.random() < 0.3]
    pins = (Pin(order[0], facing=Facing.REARWARD),) if rng.random() < 0.05 else ()
    return LoadRequest(order, unload, tuple(DeckState(deck, *ends) for deck in decks), pins)


def draw_round(rng: random.Random, problem: Problem) -> LoadRequest:
    """A round like a day's: driven items off in reverse, lifted ones at any time, each leg between other sites."""
    order = tuple(rng.sample(range(ITEMS), rng.choice([2, 3, 3, 4, 5])))
    driven = [h for h in order if problem.hauls[h].how is not LoadsBy.LIFTED]
    unload = driven[::-1]
    for h in order:
        if h not in driven:
            unload.insert(rng.randint(0, len(unload)), h)
    aboard: list[int] = []
    states = []
    for turn, h in enumerate((*order, *unload[:-1])):
        if turn < len(order):
            aboard.append(h)
        else:
            aboard.remove(h)
        if rng.random() < 0.6:
            states.append(DeckState(tuple(aboard), *rng.sample("abc", 2)))
    return LoadRequest(order, tuple(unload), tuple(states))


def one_by_one(placer: Placer, rig: Rig, request: LoadRequest) -> Load | None:
    return placer._find(rig, request)


def agree(seed: int, count: int, draw: Callable[[random.Random, Problem], LoadRequest]) -> tuple[int, int]:
    """Checks a day's requests; gives how many are legal, and how many of those use the neck deck."""
    rng = random.Random(seed)
    problem = day(rng)
    rig, placer, judge = problem.rigs[0], Placer(problem), Placer(problem)
    requests = [draw(rng, problem) for _ in range(count)]
    together = placer.find_many(rig, requests)
    assert together == [one_by_one(judge, rig, request) for request in requests], f"seed {seed}"
    legal = [(request, load) for request, load in zip(requests, together, strict=True) if load is not None]
    for request, load in legal:
        legs = judge.checks(rig, request, load.placements)
        assert all(check.ok for leg in legs for check in leg), f"seed {seed}"
    return len(legal), sum(any(p.deck is Deck.NECK for p in load.placements) for _, load in legal)


@pytest.mark.parametrize("draw", [draw_request, draw_round])
def test_a_sample_agrees_every_day(draw: Callable[[random.Random, Problem], LoadRequest]) -> None:
    results = [agree(seed, 20, draw) for seed in range(10)]
    legal, on_neck = (sum(column) for column in zip(*results, strict=True))
    assert 20 < legal < 180
    assert on_neck > 0


@pytest.mark.slow
@pytest.mark.parametrize("draw", [draw_request, draw_round])
@pytest.mark.parametrize("block", range(4))
def test_thousands_agree(block: int, draw: Callable[[random.Random, Problem], LoadRequest]) -> None:
    results = [agree(seed, 40, draw) for seed in range(1_000 + 50 * block, 1_000 + 50 * (block + 1))]
    legal, on_neck = (sum(column) for column in zip(*results, strict=True))
    assert 200 < legal < 1_800
    assert on_neck > 5


def test_site_limits_bind_the_items_on_their_own_legs() -> None:
    """Only low ones may go to c, so the tall one rides if it comes off before that leg, and not on it."""
    tall, low = (
        make.item(name, 3_000, 90.0, height_in=height) for name, height in (("tall", 100.0), ("low", 80.0))
    )
    moves = [make.move("M1", tall), make.move("M2", low, destination="c")]
    problem = make.problem(moves, sites=[make.site("c", highest_load_in=125.0)])
    rig = problem.rigs[0]
    both, alone = DeckState((1, 0), "a", "b"), DeckState((1,), "b", "c")
    requests = [
        LoadRequest((1, 0), (0, 1), (both, alone)),
        LoadRequest((1, 0), (0, 1), (both, DeckState((1, 0), "b", "c"))),
        LoadRequest((1, 0), (0, 1), (both, DeckState((0,), "b", "c"))),
    ]
    off_first, *on_it = Placer(problem).find_many(rig, requests)
    assert off_first is not None
    assert on_it == [None, None]
    assert [Placer(problem)._find(rig, request) for request in requests] == [off_first, *on_it]


def test_later_batches_know_more_items() -> None:
    """What is remembered of the first batch's items still holds when the second brings others."""
    rng = random.Random(77)
    problem = day(rng)
    rig, placer, judge = problem.rigs[0], Placer(problem), Placer(problem)
    requests = [draw_round(rng, problem) for _ in range(40)]
    one_item = [LoadRequest((h,), (h,), (DeckState((h,), "a", "b"),)) for h in range(ITEMS)]
    batches = [one_item[:1], requests[:2], one_item[3:5], requests[2:]]
    together = [load for batch in batches for load in placer.find_many(rig, batch)]
    assert together == [one_by_one(judge, rig, request) for batch in batches for request in batch]


def test_no_requests_no_answers() -> None:
    problem = make.problem()
    assert Placer(problem).find_many(problem.rigs[0], []) == []


def test_no_items_and_no_legs_ask_nothing_but_room() -> None:
    problem = make.problem([make.move("M1"), make.move("M2", make.item("long", length_in=300.0))])
    rig = problem.rigs[0]
    requests = [LoadRequest((), (), ()), LoadRequest((0,), (0,), ()), LoadRequest((0, 1), (1, 0), ())]
    nothing, one, both = Placer(problem).find_many(rig, requests)
    assert nothing == Load((), ())
    assert one is not None
    assert both is None
    assert [Placer(problem)._find(rig, request) for request in requests] == [nothing, one, both]


def test_a_request_asked_twice_and_one_already_known() -> None:
    problem = make.problem()
    rig, request = problem.rigs[0], LoadRequest((0,), (0,), (DeckState((0,), "a", "b"),))
    placer = Placer(problem)
    twice = placer.find_many(rig, [request, request])
    assert twice[0] is not None
    assert twice == [placer.find(rig, request)] * 2 == placer.find_many(rig, [request] * 2)


def test_a_permit_load_in_the_middle_of_a_batch() -> None:
    moves = [make.move("M1"), make.move("M2", make.item("wide", width_in=120.0), permit=Permit("OS-1"))]
    problem = make.problem(moves)
    rig = problem.rigs[0]
    requests = [LoadRequest((h,), (h,), (DeckState((h,), "a", "b"),)) for h in (0, 1, 0)]
    plain, wide, again = Placer(problem).find_many(rig, requests)
    assert plain is not None
    assert wide is not None
    assert (plain.permit_legs, wide.permit_legs, again) == ((False,), (True,), plain)
