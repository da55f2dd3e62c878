"""The compiled pricing against the layers of arrays and plain listing: days, costs, cuts, trips ruled out."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest

from dispatch import label_kernel
from dispatch.label_kernel import CLOSED, DURATION, LARGE, PARENT, READY, SITE, TRIP, Cuts
from dispatch.prices import Prices
from dispatch.pricing import Priced, Pricer, Search
from dispatch.quick_search import Wanted, by_first_site, floors, labels, roads_at, worth_a_look
from dispatch.rig_days import Sketch, work_out
from dispatch.side_by_side import no_halt
from dispatch.trip_arrays import Floats, GroupArrays, Ints
from tests.dispatch.priced_groups import Case, case


@pytest.fixture(autouse=True)
def every_trip_is_questioned(monkeypatch: pytest.MonkeyPatch) -> None:
    """These groups have few trips: without this none would be dropped beforehand."""
    monkeypatch.setattr("dispatch.quick_search.FEW_TRIPS", 0)


GOALS = ("left out", "trips", "cost")
WIDE = 1e9


def cents_of(found: Priced, prices: Prices) -> dict[tuple[int, int], int]:
    """By units and trips the cents of the days listed, each once; where money does not count, nothing."""
    days = {(day.units, day.trips): day.cents if prices.money else 0 for day in found.columns}
    assert len(days) == len(found.columns)
    return days


def least_is_equal(one: Case, how: Search) -> float:
    quick, slow = one.quickly(how), one.layers(how)
    assert (quick.exact, slow.exact) == (True, True)
    assert quick.least == pytest.approx(slow.least, abs=1e-6)
    return quick.least


def agree(seed: int) -> bool:
    """Pricing, then listing; whether there was anything to find."""
    return priced_alike(seed, case(seed, goal=GOALS[seed % 3], far=seed % 5 == 0, moves=5 + seed % 3))


def priced_alike(seed: int, one: Case) -> bool:
    how = Search(may_go_home=seed % 4 > 0)
    least = least_is_equal(one, how)
    scale = 7_000.0 if one.prices.money else 0.7
    listing = replace(how, cutoff=min(0.0, least) + one.rng.uniform(0.1, 1.0) * scale, every=True)
    quick, slow = one.quickly(listing), one.layers(listing)
    assert (quick.complete, slow.complete) == (True, True)
    assert cents_of(quick, one.prices) == cents_of(slow, one.prices), f"seed {seed}"
    worked_out(one.arrays, quick)
    return least < 0 and len(quick.columns) > 3


def worked_out(arrays: GroupArrays, found: Priced) -> None:
    """Every day found keeps hours and windows, and costs what its times say."""
    for day in found.columns:
        assert isinstance(day, Sketch)
        column = work_out(arrays.rules, arrays.group, day.steps)
        assert column is not None
        assert (column.units, column.trips, column.cents) == (day.units, day.trips, day.cents)


def test_a_sample_of_groups() -> None:
    assert sum(agree(seed) for seed in range(40)) >= 12


@pytest.mark.slow
def test_hundreds_of_groups() -> None:
    assert sum(agree(seed) for seed in range(1000, 1300)) > 100


def agree_on_short_trips(seed: int) -> bool:
    """The same where a trip may be over before a time step of the floors is; whether one may."""
    one = case(seed, goal=GOALS[seed % 3], moves=4 + seed % 2, short=True)
    priced_alike(seed, one)
    return int(one.arrays.trips.duration.min()) < 5


def test_trips_of_a_few_minutes() -> None:
    assert sum(agree_on_short_trips(seed) for seed in range(4_000, 4_012)) > 8


@pytest.mark.slow
def test_trips_of_a_few_minutes_in_many_groups() -> None:
    assert sum(agree_on_short_trips(seed) for seed in range(4_100, 4_250)) > 80


def test_the_sample_holds_what_it_should() -> None:
    """Overtime, driving limits, ends elsewhere, machines moved twice, runs begun anew, three words of units."""
    cases = [case(seed, goal="cost", far=seed % 5 == 0, moves=5 + seed % 3) for seed in range(40)]
    rigs = [one.arrays.group.rigs[0] for one in cases]
    assert sum(rig.overtime_after_min is not None for rig in rigs) > 20
    assert sum(rig.driving_limit_min is not None for rig in rigs) > 10
    assert sum(rig.end != rig.yard for rig in rigs) > 5
    assert sum(bool((one.arrays.trips.blocked != one.arrays.trips.mask).any()) for one in cases) > 10
    assert sum(one.arrays.trips.mask.shape[1] > 1 for one in cases) == 8
    found = [one.quickly(Search(cutoff=WIDE, every=True)).columns for one in cases[:12]]
    sketches = [day for days in found for day in days if isinstance(day, Sketch)]
    anew = [any(step.from_yard for step in day.steps[1:]) for day in sketches]
    assert sum(anew) > 5


def test_without_dominance_every_day_is_there() -> None:
    for seed in range(8):
        one = case(seed, goal="cost", moves=4)
        how = Search(cutoff=WIDE, keep_all=True, every=True)
        quick, slow = one.quickly(how), one.layers(how)
        assert sorted((day.units, day.trips, day.cents) for day in quick.columns) == sorted(
            (day.units, day.trips, day.cents) for day in slow.columns
        )


def test_a_beam_finds_days_that_there_are() -> None:
    for seed in range(2, 30, 3):
        one = case(seed, goal="cost")
        exact, hasty = one.quickly(Search()), one.quickly(Search(beam=100))
        assert not hasty.exact
        assert hasty.least >= exact.least - 1e-6
        worked_out(one.arrays, hasty)
        below = [one.prices.reduced(day) for day in hasty.columns]
        assert all(reduced < 1.0 for reduced in below)


def test_a_cap_says_that_it_was_hit() -> None:
    one = case(2, goal="cost", moves=7)
    everything = Search(cutoff=WIDE, every=True)
    assert one.quickly(everything).complete
    for how in (replace(everything, most_labels=20), replace(everything, most_work=20)):
        found = one.quickly(how)
        assert (found.exact, found.complete) == (False, False)
    short = one.quickly(replace(everything, most_columns=3))
    assert (short.exact, short.complete) == (True, False)


def test_a_search_that_was_not_exact_has_a_true_floor_all_the_same() -> None:
    """Whatever cap was hit, no day costs less than the floor says; and it says something."""
    lower = 0
    for seed in range(2, 40, 3):
        for goal in ("cost", "trips"):
            one = case(seed, goal=goal, moves=7)
            exact = one.quickly(Search())
            assert exact.exact
            assert exact.floor == exact.least
            for how in (Search(beam=100), Search(most_labels=3), Search(most_work=5)):
                hasty = one.quickly(how)
                assert -1e9 < hasty.floor <= exact.least + 1e-6
                lower += hasty.floor < exact.least - 1e-6
    assert lower > 5


# -- cuts -----------------------------------------------------------------------------------------------------


def with_cuts(one: Case, count: int) -> Case:
    """The case with some cuts of units that have trips, at random prices."""
    units = [unit for unit in range(one.arrays.trips.member.shape[1]) if one.arrays.trips.member[:, unit].any()]
    triples = list(combinations(units, 3))
    chosen = one.rng.sample(triples, min(count, len(triples)))
    cuts = tuple((sum(1 << unit for unit in triple), one.rng.uniform(500.0, 20_000.0)) for triple in chosen)
    return replace(one, prices=replace(one.prices, cuts=cuts))


def cuts_agree(seed: int) -> bool:
    """Least reduced cost and the days below a cut-off, against every day there is."""
    one = with_cuts(case(seed, far=seed % 4 == 0, moves=4 + seed % 2, whole_cents=True), 1 + seed % 9)
    best: dict[tuple[int, int], float] = {}
    for day in one.every_day():
        key = day.units, day.trips
        best[key] = min(best.get(key, WIDE), one.prices.reduced(day))
    truth = min(0.0, *best.values())
    found = one.quickly(Search())
    assert found.exact
    assert found.least == pytest.approx(truth, abs=1e-6), f"seed {seed}"
    cutoff = truth + one.rng.uniform(500.0, 9_000.0)
    listed = one.quickly(Search(cutoff=cutoff, every=True))
    assert listed.complete
    seen = {(day.units, day.trips): one.prices.reduced(day) for day in listed.columns}
    assert seen == pytest.approx({key: value for key, value in best.items() if value < cutoff}, abs=1e-6)
    without = replace(one, prices=replace(one.prices, cuts=())).quickly(Search())
    return without.least < found.least - 1


def test_pricing_with_cuts() -> None:
    assert sum(cuts_agree(seed) for seed in range(20)) > 5


@pytest.mark.slow
def test_pricing_with_cuts_again_and_again() -> None:
    assert sum(cuts_agree(seed) for seed in range(2000, 2120)) > 30


def test_dominance_reckons_with_cuts_still_to_pay() -> None:
    """Many dear cuts: the least reduced cost with dominance is that without."""
    for seed in range(40):
        one = with_cuts(case(seed, moves=6, whole_cents=True), 12)
        every = one.quickly(Search(keep_all=True, every=True, most_columns=10**7))
        assert every.exact
        assert one.quickly(Search()).least == pytest.approx(every.least, abs=1e-6), f"seed {seed}"


def plain(function: Any) -> Any:
    """A compiled function as Python runs it."""
    return function.py_func


def test_a_label_can_spare_the_cuts_ahead_of_it_by_hand() -> None:
    """The other has one unit of cut 0, at 5: it must be 5 cheaper. This one's own cut 1 does not matter."""
    units = np.array([[0, 0b01], [0, 0b10]], dtype=np.uint64)
    none = np.zeros(0, dtype=np.uint64)
    cuts = Cuts(none, none, np.array([5.0, 7.0]))
    assert not plain(label_kernel._pays_no_more)(units, 0, 1, cuts, 4.9)
    assert plain(label_kernel._pays_no_more)(units, 0, 1, cuts, 5.0)
    assert not plain(label_kernel._pays_no_more)(units, 1, 0, cuts, 6.9)


def test_what_another_label_spares_by_hand() -> None:
    """Flat 10 cheaper, at 1 a minute; the other may be 3 min longer paid when both wait: 7, and overtime at 2."""
    table = np.zeros((1, label_kernel.COLUMNS), dtype=np.int64)
    table[0, label_kernel.CLOSED], table[0, DURATION], table[0, label_kernel.LATEST] = 20, 30, 400
    spare = plain(label_kernel._spare)
    assert spare(table, 0, 20 - 403, 50, 10.0, 10.0, 1.0, 0.0) == 7.0
    assert spare(table, 0, 20 - 403, 50, 10.0, 10.0, 1.0, 2.0) == 1.0
    assert spare(table, 0, 20 - 400, 46, 10.0, 20.0, 1.0, 2.0) == 2.0


def test_cuts_are_refused_where_they_are_not_seen() -> None:
    one = with_cuts(case(1), 1)
    pricer = Pricer(replace(one.arrays, strict_windows=True))
    assert not pricer.takes_cuts
    with pytest.raises(ValueError, match="cuts"):
        pricer.search(one.prices, Search())


def test_a_search_that_is_halted_says_that_it_is_not_whole() -> None:
    one, halt = case(1), no_halt()
    how = Search(cutoff=WIDE, every=True, halt=halt)
    assert one.quickly(how).exact
    halt[0] = 1
    found = one.quickly(how)
    assert (found.exact, found.complete, found.columns) == (False, False, ())


# -- floors ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("critical", [0, 8])
def test_floors_are_below_every_rest_of_a_day(critical: int) -> None:
    """For every partial day and each way that it can end: paid so far and the floor are no more than it pays."""
    tight, checked = 0, 0
    for seed in range(2, 20):
        one = case(seed, goal="cost", moves=5)
        trips, money = by_first_site(one.arrays), one.prices.money
        roads = roads_at(one.arrays, money)
        wanted = Wanted(WIDE * 100, True, True, True, 0, 10**6, 10**9, critical, no_halt())
        found = labels(one.arrays, trips, one.lin, one.prices, wanted)
        floor, bits = floors(found.trips, one.lin[found.trips.order], roads, critical)
        ended = np.where(found.reduced > LARGE / 2, LARGE, found.reduced + one.prices.group)
        held, spent = _so_far(one, found.table, ended, bits)
        for row in range(1, len(found.table)):
            after = row
            while after > 0:
                if spent[after] is not None and ended[row] < LARGE and found.table[after, TRIP] >= 0:
                    site, step = int(found.table[after, SITE]), int(found.table[after, READY]) // floor.step_min
                    rest = float(floor.place[held[after], site, step])
                    assert spent[after] + rest <= ended[row] + 1e-6, f"seed {seed}"
                    checked += 1
                    tight += spent[after] + rest > ended[row] - 1
                after = int(found.table[after, PARENT])
    assert checked > 2_000
    assert tight > 200


def _so_far(one: Case, table: Ints, ended: Floats, bits: Ints) -> tuple[list[int], list[float | None]]:
    """Critical units hauled, and money spent, by label; money is what ending there costs less the way home."""
    roads = roads_at(one.arrays, one.prices.money)
    over, after = float(one.arrays.overtime_cents[0]), int(one.arrays.overtime_after[0])
    held: list[int] = []
    spent: list[float | None] = []
    for row, label in enumerate(table):
        before = held[int(label[PARENT])] if row else 0
        held.append(before | (int(bits[label[TRIP]]) if label[TRIP] >= 0 else 0))
        paid = int(label[CLOSED] + label[DURATION])
        way = int(roads.empty[label[SITE], roads.home])
        home = float(roads.road[label[SITE], roads.home]) + roads.minute * way
        home += over * (max(0, paid + way - after) - max(0, paid - after))
        spent.append(float(ended[row]) - home if ended[row] < LARGE else None)
    return held, spent


# -- trips ruled out beforehand -------------------------------------------------------------------------------


def held_back(one: Case, days: int) -> tuple[int, int]:
    """How many trips were ruled out and how many were of the days held against it; none may be both.

    The cut-off is the reduced cost of the very day, added up in another order: it must keep its trips.
    """
    trips, money = by_first_site(one.arrays), one.prices.money
    row_of = {one.arrays.trips.trips[int(number)].tasks: row for row, number in enumerate(trips.order)}
    ruled_out, held = 0, 0
    every = sorted(one.every_day(), key=one.prices.reduced)
    for day in every[:days] + one.rng.sample(every, min(days, len(every))):
        cutoff = one.prices.reduced(day) + one.prices.group
        rows = worth_a_look(trips, one.lin[trips.order], roads_at(one.arrays, money), cutoff)
        own = {row_of[trip.tasks] for run in day.runs for trip in run.trips}
        assert own <= set(rows.tolist()), one.prices
        ruled_out, held = ruled_out + len(trips.order) - len(rows), held + len(own)
    return ruled_out, held


def test_no_trip_of_a_day_within_the_cut_off_is_ruled_out() -> None:
    cases = [case(seed, goal=GOALS[seed % 3], moves=4, whole_cents=True) for seed in range(24)]
    counts = np.array([held_back(one, 5) for one in cases])
    assert (counts.sum(axis=0) > (250, 300)).all()


@pytest.mark.slow
def test_no_trip_of_a_day_within_the_cut_off_is_ruled_out_on_many_days() -> None:
    cases = [case(seed, goal=GOALS[seed % 3], moves=4 + seed % 2, whole_cents=True) for seed in range(3000, 3100)]
    counts = np.array([held_back(one, 15) for one in cases])
    assert (counts.sum(axis=0) > (5_000, 2_000)).all()
