"""The optimiser against an exhaustive search of general purpose, on tiny random days.

Source of the expected values: ``oracle.py``, which tries every placement and every order of trips; its own plan
must satisfy the verifier, so a better answer of the oracle is a plan that the optimiser missed.
"""

from __future__ import annotations

import random

import pytest

from dispatch.plan import Deck, Leg, Placed, Plan
from dispatch.problem import Problem
from dispatch.solve import solve
from dispatch.verify import verify
from dispatch.verify_loads import leg_violations
from tests import factories as make
from tests.external.oracle import Answer, Deckhand, Oracle, State
from tests.external.random_days import random_day

EXTRA_MINUTES = (368, 405)
"""Days on which an item makes its window only beside another that spends the site's extra minutes first."""
EVERY_DAY = (*range(25), *EXTRA_MINUTES)
ALL = range(25, 225)


def answers(seed: int) -> tuple[Problem, Answer, Plan]:
    problem = random_day(seed)
    return problem, Oracle(problem).solve(), solve(problem, time_limit_s=None)


def compare(seed: int) -> None:
    problem, answer, plan = answers(seed)
    assert [str(one) for one in verify(problem, answer.plan)] == [], "the oracle's own plan"
    assert [str(one) for one in verify(problem, plan)] == []
    left_out, trips = plan.level("left out"), plan.level("trips")
    assert (left_out.value, trips.value) == pytest.approx((answer.left_out, answer.trips))
    assert left_out.bound <= answer.left_out + 1e-6
    assert trips.bound <= answer.trips
    assert left_out.proved
    assert trips.proved


@pytest.mark.parametrize("seed", EVERY_DAY)
def test_a_sample_of_days(seed: int) -> None:
    compare(seed)


@pytest.mark.slow
@pytest.mark.parametrize("seed", ALL)
def test_two_hundred_days(seed: int) -> None:
    compare(seed)


def test_the_days_hold_what_they_should() -> None:
    """Among the days of both tests: every constraint that the comparison is meant to cover."""
    days = [random_day(seed) for seed in (*EVERY_DAY, *ALL)]
    rigs = [rig for day in days for rig in day.rigs]
    shared_truck = [d for d in days if len(d.rigs) == 2 and d.rigs[0].truck.name == d.rigs[1].truck.name]
    shared_driver = [d for d in days if len(d.rigs) == 2 and d.rigs[0].driver == d.rigs[1].driver]
    moves = [move for day in days for move in day.moves]
    bands = [band for day in days for band in day.settings.coupler_bands.values()]
    assert min(len(shared_truck), len(shared_driver)) >= 3
    assert sum(rig.trailer.dovetail_length_in > 0 for rig in rigs) >= 50
    assert sum(rig.trailer.neck is not None for rig in rigs) >= 30
    assert sum(rig.driving_limit_min is not None for rig in rigs) >= 30
    assert sum(band.most_pct - band.least_pct <= 5 for band in bands) >= 50
    assert sum(not move.runs for move in moves) >= 50
    assert sum(move.permit is not None for move in moves) >= 30
    assert sum(move.priority != 1 for move in moves) >= 100
    assert sum(move.due_min is not None or move.ready_min is not None for move in moves) >= 200
    assert sum(bool(move.companions) for move in moves) >= 30
    assert sum(bool(day.successors) for day in days) >= 20
    assert max(len(day.moves) for day in days) == 6


def test_the_same_seed_gives_the_same_day() -> None:
    assert random_day(7).moves == random_day(7).moves
    assert random_day(7).moves != random_day(8).moves


# The oracle alone


def test_two_that_fit_together_take_one_trip() -> None:
    moves = [make.move("1", make.item("one", 5_000, 96)), make.move("2", make.item("two", 5_000, 96))]
    answer = Oracle(make.problem(moves)).solve()
    assert (answer.left_out, answer.trips) == (0, 1)


def test_two_that_are_too_long_together_take_two_trips() -> None:
    moves = [make.move("1", make.item("one", 6_000, 168)), make.move("2", make.item("two", 6_000, 168))]
    answer = Oracle(make.problem(moves)).solve()
    assert (answer.left_out, answer.trips) == (0, 2)


def test_of_two_that_do_not_both_fit_the_shift_the_more_important_rides() -> None:
    """Yard to a, load, to b, unload and home takes 20 + 20 + 20 + 15 + 20 = 95 minutes, another trip 75 more."""
    moves = [
        make.move("1", make.item("one", 6_000, 168), priority=1.0),
        make.move("2", make.item("two", 6_000, 168), priority=2.0),
    ]
    rigs = [make.rig(shift_end_min=360 + 95 + 74)]
    answer = Oracle(make.problem(moves, rigs)).solve()
    assert (answer.left_out, answer.trips) == (1, 1)
    rigs = [make.rig(shift_end_min=360 + 95 + 75)]
    answer = Oracle(make.problem(moves, rigs)).solve()
    assert (answer.left_out, answer.trips) == (0, 2)


@pytest.mark.parametrize("seed", range(40))
def test_statics_over_arrays_agree_with_the_verifier(seed: int) -> None:
    """Single placements drawn at random, legal or not: the oracle's arrays and the verifier give one verdict."""
    problem = random_day(seed)
    rng = random.Random(seed)
    for rig in problem.rigs:
        hand = Deckhand(problem, rig)
        for haul in problem.hauls:
            state = State((haul.index,), haul.origin, haul.destination)
            layout = ((haul.index, Deck.MAIN, rng.choice(haul.item.facings)),)
            grid = hand._grid(layout)
            if not len(grid):
                continue
            legal, over = hand._leg(layout, grid, state)
            for row in rng.sample(range(len(grid)), min(6, len(grid))):
                place = Placed(haul.index, Deck.MAIN, int(grid[row, 0]), layout[0][2])
                leg = Leg(haul.origin, haul.destination, 0, 0, (place,))
                found = leg_violations(problem, rig, leg)
                kinds = {one.kind for one in found} - {"permit hours"}
                assert (not kinds) == bool(legal[row]), (place, kinds)
                if over[row] and haul.permit is None:
                    assert kinds
