"""Candidate trips: orders, time blocks, permit hours, growing of sets, legality asked late.."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from dispatch.fleet import Rig
from dispatch.moves import Move, Permit, Status
from dispatch.order_search import Asked, OrderSearch
from dispatch.placement import LoadRequest
from dispatch.plan import Action, Task
from dispatch.problem import Problem
from dispatch.rig_trips import RigTrips
from dispatch.site_table import site_table
from dispatch.timing import NEVER_MIN, Block
from dispatch.travel import Travel
from dispatch.trip_listing import list_sets
from dispatch.trip_orders import Hours, load_request, needless_swap, task_block, visits
from dispatch.trip_stock import TripStock
from dispatch.trips import OrderBook, TripBudget, fits_site, may_ride, timed, units_of
from tests import factories as f
from tests.stub_placer import StubPlacer

LOAD, UNLOAD = Action.LOAD, Action.UNLOAD


def book_of(problem: Problem) -> OrderBook:
    return OrderBook(
        problem, site_table(problem, Travel(problem.sites, problem.roads, problem.settings)), problem.rigs[0]
    )


def stock_of(problem: Problem, placer: StubPlacer | None = None, sets: int = 1000) -> RigTrips:
    book, rig = book_of(problem), problem.rigs[0]
    placer = placer or StubPlacer(problem)
    stock = TripStock(book, placer, rig, list_sets(book, placer, rig, units_of(problem), TripBudget(sets=sets)))
    return RigTrips(stock, Hours.of(book.table, rig))


def orders(problem: Problem, hauls: Iterable[int]) -> list[str]:
    book, asked = book_of(problem), tuple(hauls)
    search = OrderSearch(book.clock, Hours.of(book.table, problem.rigs[0]))
    found = [search.tasks(asked, row) for row in search.every([Asked(asked)]).order.tolist()]
    return ["".join(("+" if t.action is LOAD else "-") + str(t.haul) for t in tasks) for tasks in found]


def moves(*routes: str, lifted: str = "", **windows: dict[str, int]) -> list[Move]:
    """One small item a route (``ab``: from a to b); those whose number is in ``lifted`` are lifted."""
    made = []
    for number, route in enumerate(routes):
        name = f"item {number}"
        item = f.lifted(name) if str(number) in lifted else f.item(name, 3000, 60)
        made.append(
            f.move(f"move {number}", item, origin=route[0], destination=route[1], **windows.get(f"w{number}", {}))
        )
    return made


# -- orders -------------------------------------------------------------------------------------------------


def test_rear_loaded_items_come_off_last_on_first_off() -> None:
    assert orders(f.problem(moves("ab", "cd")), (0, 1)) == ["+0+1-1-0", "+1+0-0-1"]


def test_a_lifted_item_comes_off_at_any_time() -> None:
    found = orders(f.problem(moves("ab", "cd", lifted="1")), (0, 1))
    assert sorted(found) == ["+0+1-0-1", "+0+1-1-0", "+1+0-0-1", "+1+0-1-0"]


def test_at_one_stop_lifted_items_have_one_order() -> None:
    assert orders(f.problem(moves("ab", "ab", lifted="01")), (0, 1)) == ["+0+1-0-1"]


def test_at_one_stop_a_lifted_item_comes_on_last_and_off_first() -> None:
    assert orders(f.problem(moves("ab", "ab", lifted="1")), (0, 1)) == ["+0+1-1-0"]


def test_unless_it_is_ready_sooner() -> None:
    problem = f.problem(moves("ab", "ab", lifted="1", w0={"ready_min": 600}))
    assert orders(problem, (0, 1)) == ["+0+1-1-0", "+1+0-1-0"]
    assert not needless_swap(problem, Task(LOAD, 1), Task(LOAD, 0))


def test_two_rear_loaded_items_at_one_stop_keep_both_orders() -> None:
    assert orders(f.problem(moves("ab", "ab")), (0, 1)) == ["+0+1-1-0", "+1+0-0-1"]


def test_windows_cut_orders() -> None:
    """The second must be off before the first is ready."""
    problem = f.problem(moves("ab", "cd", w0={"ready_min": 700}, w1={"due_min": 650}))
    assert orders(problem, (0, 1)) == []
    assert orders(problem, (0,)) == ["+0-0"]


def test_the_shift_cuts_orders() -> None:
    """Out 20, load 20, road 20, unload 15, home 20: 95 minutes."""
    fits = f.problem(moves("ab"), [f.rig(shift_start_min=360, shift_end_min=455)])
    short = f.problem(moves("ab"), [f.rig(shift_start_min=360, shift_end_min=454)])
    assert orders(fits, (0,)) == ["+0-0"]
    assert orders(short, (0,)) == []


# -- stops and blocks ---------------------------------------------------------------------------------------


def test_consecutive_tasks_at_one_site_are_one_stop() -> None:
    problem = f.problem(moves("ab", "ac"))
    tasks = [Task(LOAD, 0), Task(LOAD, 1), Task(UNLOAD, 1), Task(UNLOAD, 0)]
    assert [(stop.site, len(stop.tasks)) for stop in visits(problem, tasks)] == [("a", 2), ("c", 1), ("b", 1)]
    request = load_request(problem, tasks)
    assert [(s.aboard, s.origin, s.destination) for s in request.states] == [((0, 1), "a", "c"), ((0,), "c", "b")]
    assert (request.load_order, request.unload_order) == ((0, 1), (1, 0))


def test_work_lies_within_hours_and_window_with_extra_minutes_once_a_stop() -> None:
    site = f.site("a", opens_min=420, closes_min=960, extra_load_min=10)
    problem = f.problem([f.move(ready_min=480)], sites=[site])
    assert task_block(problem, Task(LOAD, 0), opens_stop=True) == Block(30, 480, 930)
    assert task_block(problem, Task(LOAD, 0), opens_stop=False) == Block(20, 480, 940)
    late = f.problem([f.move(due_min=600, ready_min=100)], sites=[f.site("b", opens_min=580, closes_min=700)])
    assert task_block(late, Task(UNLOAD, 0), opens_stop=True) == Block(15, 580, 585)


def test_the_block_of_a_trip_by_hand() -> None:
    """Load 20, road 20, unload 15; ready 08:00, due 09:30: begun between 08:00 and 08:35."""
    (trip,) = stock_of(f.problem([f.move(ready_min=480, due_min=570)])).trips()
    assert trip.block == Block(55, 480, 515)
    assert (trip.first, trip.last, trip.drive_min, trip.tenths) == ("a", "b", 20, 100)


def test_waiting_that_cannot_be_spared_belongs_to_the_trip() -> None:
    """Loaded by 07:20, when a closes; after 20 on the road b is shut until 10:00: 140 to wait, then unload 15."""
    sites = [f.site("a", closes_min=440), f.site("b", opens_min=600)]
    (trip,) = stock_of(f.problem([f.move()], sites=sites)).trips()
    assert trip.block == Block(20 + 20 + 140 + 15, 420, 420)


def test_a_leg_under_a_permit_keeps_to_its_hours() -> None:
    """Hours 09:00-15:00 and a road of 20 minutes: leave between 09:00 and 14:40; loading takes 20 before that."""
    move = f.move(permit=Permit("wide", 540, 900))
    book = book_of(f.problem([move]))
    tasks = (Task(LOAD, 0), Task(UNLOAD, 0))
    assert timed(book.clock, tasks, (True,)) == Block(55, 520, 860)
    assert timed(book.clock, tasks, (False,)) == Block(55, 0, NEVER_MIN - 40)
    shut = book_of(f.problem([move], sites=[f.site("a", closes_min=539)]))
    assert timed(shut.clock, tasks, (True,)) is None, "the site must be left by its closing"
    home = book_of(f.problem([move], [f.rig(yard="a")], sites=[f.site("a", closes_min=539)]))
    assert timed(home.clock, tasks, (True,)) is not None, "the yard may be left after its closing"


# -- who may ride -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("move", "sites", "may"),
    [
        (f.move(), [], True),
        (f.move(only_rigs=("rig 2",)), [], False),
        (f.move(not_rigs=("rig 1",)), [], False),
        (f.move(status=Status.LOADED, rig="rig 2"), [], False),
        (f.move(item_=f.lifted()), [], True),
        (f.move(item_=f.lifted()), [f.site("b", lift_on_site=False)], False),
        (f.move(), [f.site("b", lift_on_site=False)], True),
        (f.move(), [f.site("yard", longest_rig_in=200)], False),
    ],
)
def test_who_may_ride(move: Move, sites: list[object], may: bool) -> None:
    problem = f.problem([move], [f.rig("rig 1"), f.rig("rig 2")], sites=sites)
    assert may_ride(problem, problem.rigs[0], units_of(problem)[0]) is may


def test_the_empty_rig_must_be_short_enough_for_the_site() -> None:
    problem = f.problem(sites=[f.site("a", longest_rig_in=100), f.site("b", longest_rig_in=10_000)])
    assert not fits_site(problem, problem.rigs[0], "a")
    assert fits_site(problem, problem.rigs[0], "b")


def test_groups_are_one_unit_and_done_moves_are_none() -> None:
    bucket = f.lifted()
    problem = f.problem(
        [f.move("one", companions=("bucket",), priority=2.5), f.move("two", status=Status.DONE), f.move("three")],
        items=[bucket],
    )
    assert [(unit.hauls, float(unit.priority)) for unit in units_of(problem)] == [((0, 3), 2.5), ((2,), 1.0)]


# -- stocks -------------------------------------------------------------------------------------------------


def test_all_sets_that_fit_by_length_and_weight() -> None:
    """Deck 28 ft: two of 12 ft and a gap fit, three do not."""
    problem = f.problem([f.move(str(n), f.item(str(n), 2000), origin="a", destination="b") for n in range(3)])
    assert stock_of(problem).masks() == [0b001, 0b010, 0b100, 0b011, 0b101, 0b110]


def test_a_set_is_not_given_up_because_a_part_of_it_is_illegal() -> None:
    """Alone the first is refused (say, out of balance); with the second it rides."""
    problem = f.problem(moves("ab", "ab"))
    placer = StubPlacer(problem, veto=lambda rig, request: request.load_order == (0,))
    stock = stock_of(problem, placer)
    assert not stock.rides(0b01)
    assert stock.rides(0b11)
    assert stock.masks() == [0b10, 0b11]


def test_when_an_order_is_illegal_the_next_takes_its_place() -> None:
    def veto(rig: Rig, request: LoadRequest) -> bool:
        (leg,) = request.states  # that with a full deck is first asked at no place in particular
        return request.load_order == (0, 1) and leg.origin != leg.destination

    problem = f.problem(moves("ab", "ab"))
    stock = stock_of(problem, StubPlacer(problem, veto))
    (trip,) = [trip for trip in stock.trips() if trip.count == 2]
    assert trip.tasks[0].haul == 0
    version = stock.version
    assert stock.judge(trip) is None
    assert stock.version > version
    (trip,) = [trip for trip in stock.trips() if trip.count == 2]
    assert trip.tasks[0].haul == 1
    judged = stock.judge(trip)
    assert judged is not None
    assert judged.load is not None


def test_a_permit_load_is_timed_anew_when_its_legs_need_the_permit() -> None:
    wide = f.item("wide", width_in=130.0)
    problem = f.problem([f.move(item_=wide, permit=Permit("over width", 540, 900, 80.0))])
    stock = stock_of(problem)
    judged = stock.judge(stock.trips()[0])
    assert judged is not None
    assert judged.block == Block(55, 520, 860)
    assert judged.permit_cents == 8000
    assert stock.trips()[0].block == Block(55, 520, 860)


def test_an_order_that_is_no_better_anywhere_is_dropped() -> None:
    """Both orders of two items over one road take as long: one is kept; asked were only decks, not trips."""
    problem = f.problem(moves("ab", "ab"))
    placer = StubPlacer(problem)
    assert [trip.count for trip in stock_of(problem, placer).trips()] == [1, 1, 2]
    assert placer.asked == 4


def test_a_budget_that_runs_out_is_owned_up_to() -> None:
    problem = f.problem(moves("ab", "ab"))
    assert stock_of(problem).stock.complete
    assert not stock_of(problem, sets=2).stock.complete


def test_a_machine_moved_twice_never_rides_twice_on_one_trip() -> None:
    machine = f.item("loader", 3000, 60)
    both = [f.move("one", machine), f.move("two", machine, origin="b", destination="c")]
    problem = f.problem(both)
    assert problem.successors == ((0, 1),)
    assert stock_of(problem).masks() == [0b01, 0b10]


def test_detours_may_be_faster_so_a_set_is_pruned_by_the_fastest_travel_only() -> None:
    """From a straight to c takes 200 minutes, by b 40: with b's item the trip is possible, without it not."""
    roads = (
        f.road("yard", "a", minutes=20),
        f.road("yard", "c", minutes=20),
        f.road("yard", "b", minutes=20),
        f.road("a", "b", minutes=20),
        f.road("b", "c", minutes=20),
        f.road("a", "c", minutes=200),
    )
    tight = f.rig(shift_start_min=360, shift_end_min=360 + 170)
    problem = f.problem(moves("ac", "bc"), [tight], roads=roads)
    assert stock_of(problem).masks() == [0b10, 0b11]
