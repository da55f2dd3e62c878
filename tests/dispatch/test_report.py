"""The rows of the outputs against a hand-built day whose figures are worked out beside each assertion."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from dispatch.checks import Check, Sense, tightest
from dispatch.day_bars import Doing
from dispatch.driver_page import axle_loads, driver_pages
from dispatch.plan import Level, Plan
from dispatch.report import Report, report, trips_claim
from tests import factories as make
from tests.small_day import small_plan, small_problem, stop


@pytest.fixture(scope="module")
def day() -> Report:
    return report(small_problem(), small_plan())


def a_check(name: str, use: float, unit: str = "lb", *, waived: bool = False) -> Check:
    return Check(name, use * 100, use * 100, 100.0, unit, Sense.MOST, True, "test", waived)


def test_summary_counts_trips_and_moves(day: Report) -> None:
    summary = day.summary
    assert (summary.trips, summary.moves_hauled, summary.moves_left_out) == (3, 5, 1)
    assert summary.idle_rigs == ("Rig 3",)


def test_miles_hours_and_cost_by_hand(day: Report) -> None:
    totals = day.summary.totals
    # Every road is 10 mi. Loaded: quarry-school-bridge, school-yard, bridge-yard: 4 roads. Empty: yard-quarry,
    # bridge-school, yard-bridge: 3 roads; both rigs end in the yard.
    assert (totals.loaded_tenths, totals.empty_tenths) == (400, 300)
    # Rig 1 is out 07:00-11:15, rig 2 07:40-09:00: 255 + 80 minutes.
    assert totals.paid_min == 335
    # 335 min at 90 USD/h = 502.50; 70 mi at 2.25 = 157.50; permit 30.00.
    assert totals.cost_cents == 69_000


def test_trip_costs_leave_out_the_way_home(day: Report) -> None:
    # Trip 1: 07:00-10:00 at 90 USD/h = 270; 10 empty + 20 loaded mi at 2.25 = 67.50.
    # Trip 2: 10:00-11:15 = 112.50; 20 mi = 45; permit 30. Trip 3: 07:40-09:00 = 120; 20 mi = 45.
    assert [row.cost_cents for row in day.schedule] == [33_750, 18_750, 16_500]


def test_schedule_row_starts_at_the_first_pickup_and_ends_with_the_last_item_off(day: Report) -> None:
    first = day.schedule[0]
    assert (first.start_min, first.end_min) == (440, 600)
    assert (first.origin, first.destination) == ("quarry", "bridge")
    assert first.items == "mini excavator, skid steer, bucket"
    assert (first.loaded_tenths, first.empty_before_tenths) == (200, 100)
    # Truck 8,700 + trailer 8,000 + 7,000 + 5,200 + 600 lb.
    assert first.heaviest_gross_lb == pytest.approx(29_500)
    assert day.schedule[1].permit == "OS-17, travel 09:00-15:00"


def test_stops_follow_the_order_of_work_and_say_what_stays_on_deck(day: Report) -> None:
    rows = [row for row in day.stops if row.trip == 1]
    assert [(row.stop, row.action.value, row.item) for row in rows] == [
        (1, "load", "mini excavator"),
        (1, "load", "skid steer"),
        (1, "load", "bucket"),
        (2, "unload", "skid steer"),
        (3, "unload", "mini excavator"),
        (3, "unload", "bucket"),
    ]
    assert [row.on_deck for row in rows][2:5] == [
        "mini excavator, skid steer, bucket",
        "mini excavator, bucket",
        "bucket",
    ]
    assert {(row.arrive_min, row.leave_min) for row in rows if row.stop == 1} == {(440, 510)}


def test_load_plan_measures_from_the_own_deck_and_from_the_coupler(day: Report) -> None:
    excavator, loader, bucket = (row for row in day.load_plan if row.trip == 1)
    # The main deck begins 84 in behind the coupler, the neck deck 24 in ahead of it.
    assert (excavator.behind_deck_front_in, excavator.behind_coupler_in) == (28, 112)
    assert (loader.behind_deck_front_in, loader.behind_coupler_in) == (202, 286)
    assert (bucket.behind_deck_front_in, bucket.behind_coupler_in) == (30, 6)
    assert [row.order for row in (excavator, loader, bucket)] == [1, 2, 3]


def test_load_plan_asks_for_half_the_greatest_true_weight(day: Report) -> None:
    # 49 CFR 393.106(d): half the weight; data plate, 3 % over: 7,210 / 2.
    excavator = day.load_plan[0]
    assert excavator.weight_high_lb == pytest.approx(7_210)
    assert excavator.least_wll_lb == pytest.approx(3_605)
    assert excavator.chains + excavator.straps == excavator.tie_downs


def test_weights_hold_every_check_of_every_leg_and_those_made_once(day: Report) -> None:
    legs = {(row.trip, row.leg) for row in day.weights}
    assert legs == {(1, 1), (1, 2), (1, 0), (2, 1), (2, 0), (3, 1), (3, 0)}
    assert {row.check.name for row in day.weights if row.leg == 0} >= {"Tie-downs"}
    by_name = {row.check.name: row for row in day.weights if (row.trip, row.leg) == (1, 1)}
    assert by_name["Trailer GVWR"].check.value == pytest.approx(20_800)
    assert (by_name["Trailer GVWR"].origin, by_name["Trailer GVWR"].destination) == ("quarry", "school")


def test_left_out_moves_carry_a_reason_for_every_rig(day: Report) -> None:
    (left,) = day.left_out
    assert (left.move, left.item) == ("M5", "giant")
    assert [reason.rig for reason in left.reasons] == ["Rig 1", "Rig 2", "Rig 3"]


def test_the_tightest_check_is_a_weight_or_share_before_sizes_counts_and_waived_ones() -> None:
    size, count = a_check("Width", 1.0, "in"), a_check("Licence", 1.0, "count")
    waived, weight, lighter = a_check("Legal gross", 1.2, waived=True), a_check("GCWR", 0.8), a_check("T", 0.5)
    assert tightest([size, count, waived, lighter, weight]) is weight
    assert tightest([size]) is size


def test_the_day_names_its_tightest_leg(day: Report) -> None:
    row = day.summary.tightest
    assert row is not None
    assert row.check.use == pytest.approx(max(one.use for one in day.schedule))


@pytest.mark.parametrize(
    ("levels", "claim"),
    [
        ((Level("left out", 1, 1, True), Level("trips", 3, 3, True)), (3, True)),
        ((Level("left out", 1, 1, True), Level("trips", 4, 3, False)), (3, False)),
        # Fewer trips may exist among plans that leave out less: nothing is claimed.
        ((Level("left out", 1, 0, False), Level("trips", 3, 3, True)), (0, False)),
        # With cost first the bound only holds at that cost.
        ((Level("left out", 0, 0, True), Level("cost", 9, 9, True), Level("trips", 3, 3, True)), (0, False)),
        ((), (0, False)),
    ],
)
def test_fewest_trips_is_claimed_only_when_proved(levels: tuple[Level, ...], claim: tuple[int, bool]) -> None:
    assert trips_claim(small_plan(levels=levels)) == claim


def test_bars_fill_every_outing_without_gap_or_overlap(day: Report) -> None:
    for rig, start, end in (("Rig 1", 420, 675), ("Rig 2", 460, 540)):
        bars = [bar for bar in day.bars if bar.rig == rig]
        assert bars[0].from_min == start
        assert bars[-1].to_min == end
        assert all(a.to_min == b.from_min for a, b in pairwise(bars))


def test_bars_wait_for_the_ready_time_before_loading(day: Report) -> None:
    # Rig 1 is at the quarry at 07:20; the excavator is ready at 07:30; three loads of 20 min end at 08:30.
    doings = [(bar.doing, bar.from_min, bar.to_min) for bar in day.bars if bar.trip == 1][:5]
    assert doings == [
        (Doing.EMPTY, 420, 440),
        (Doing.WAITING, 440, 450),
        (Doing.LOADING, 450, 470),
        (Doing.LOADING, 470, 490),
        (Doing.LOADING, 490, 510),
    ]


def test_a_break_on_the_road_is_a_bar_of_its_own() -> None:
    plan = small_plan()
    first, second = plan.rig_days
    outing = second.outings[0]
    trip = outing.trips[0]
    late = stop("yard", 560, 575, *((task.action, task.haul) for task in trip.stops[1].tasks))
    changed = replace(
        outing, trips=(replace(trip, stops=(trip.stops[0], late)),), return_min=575, breaks=((510, 545),)
    )
    day = report(small_problem(), replace(plan, rig_days=(first, replace(second, outings=(changed,)))))
    road = [(bar.doing, bar.from_min, bar.to_min) for bar in day.bars if bar.rig == "Rig 2"][2:5]
    assert road == [(Doing.LOADED, 505, 510), (Doing.BREAK, 510, 545), (Doing.LOADED, 545, 560)]


def test_estimated_pairs_are_counted_among_those_driven() -> None:
    places = {"yard": (40.0, -90.0), "quarry": (40.1, -90.0), "school": (40.0, -90.1), "bridge": (40.1, -90.1)}
    problem = small_problem()
    sites = {
        name: replace(site, latitude=places[name][0], longitude=places[name][1])
        for name, site in problem.sites.items()
    }
    roads = tuple(road for road in problem.roads if {road.origin, road.destination} != {"yard", "quarry"})
    day = report(replace(problem, sites=sites, roads=roads), small_plan())
    assert (day.summary.estimated_pairs, day.summary.driven_pairs) == (1, 5)


def test_driver_pages_hold_times_tasks_permits_and_notes(day: Report) -> None:
    pages = driver_pages(day)
    assert [page.rig.name for page in pages] == ["Rig 1", "Rig 2", "Rig 3"]
    first, _, idle = pages
    assert (first.leave_min, first.back_min, first.must_be_back_min) == (420, 675, 1080)
    assert first.stops[0].tasks[0] == "load mini excavator, move M1, drives on, ready 07:30"
    assert first.stops[0].hours == "07:00-16:00"
    assert first.trips[0].notes == ("M1: gate code 12",)
    assert first.trips[1].permits == ("OS-17, travel 09:00-15:00",)
    assert idle.leave_min is None
    assert idle.trips == ()


def test_axle_loads_stand_against_the_nearest_limit(day: Report) -> None:
    leg = day.trips[0].legs[0]
    loads = axle_loads(day.trips[0].rig, leg)
    places = [load.place for load in loads]
    assert places == ["Truck front axle", "Truck rear axle", *(f"Trailer axle {i}" for i in (1, 2, 3)), "Coupler"]
    assert sum(load.load_lb for load in loads[:-1]) == pytest.approx(leg.loads.gross_lb)
    assert (loads[0].limit_lb, loads[0].check) == (7_000, "Truck front axle")
    assert loads[2].limit_lb == 8_000
    assert loads[-1].limit_lb is None
    assert loads[-1].note.endswith("% of the trailer (15 to 30)")


def test_an_empty_plan_has_rows_of_nothing() -> None:
    problem = make.problem()
    empty = small_plan(rig_days=(), left_out=("move 1",), levels=())
    day = report(problem, empty)
    assert day.schedule == day.stops == day.load_plan == day.weights == day.bars == ()
    assert day.summary.tightest is None
    assert isinstance(day.plan, Plan)
