"""Plans written by hand, for the verifier's tests: a day with most of what a day can hold, and a plan for it.

Figures are invented. Times follow from the roads (ten miles, twenty minutes each) and the minutes of work;
places on deck were found by trial and are held by the tests.
"""

from __future__ import annotations

from dispatch.items import Facing, Kind, LoadsBy
from dispatch.moves import Permit
from dispatch.plan import Action, Deck, Level, Outcome, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.settings import Settings
from tests import factories as make

MAIN, NECK = Deck.MAIN, Deck.NECK
FORWARD, REARWARD = Facing.FORWARD, Facing.REARWARD
SITES = ("yard", "a", "b", "c")


def load(*hauls: int) -> tuple[Task, ...]:
    return tuple(Task(Action.LOAD, haul) for haul in hauls)


def unload(*hauls: int) -> tuple[Task, ...]:
    return tuple(Task(Action.UNLOAD, haul) for haul in hauls)


def placed(haul: int, front_edge_in: int, facing: Facing = FORWARD, deck: Deck = MAIN) -> Placed:
    return Placed(haul, deck, front_edge_in, facing)


def level(name: str, value: float) -> Level:
    return Level(name, value, value, True)


def day() -> Problem:
    """Nine moves (0-8), a companion (9), four rigs: 1 and 3 share a truck; 2 has no winch and no neck deck."""
    winch = make.trailer(
        "trailer 1",
        neck=make.neck(),
        winch_pull_lb=9_000.0,
        dovetail_length_in=60.0,
        dovetail_rating_lb=9_000.0,
        ramp_rating_lb=14_000.0,
    )
    truck = make.truck("truck 1", gvwr_lb=19_500.0)
    rigs = (
        make.rig("rig 1", truck=truck, trailer=winch, driver="Ann", overtime_after_min=5 * 60),
        make.rig("rig 2", driver="Bob", cost_per_trip_usd=12.5),
        make.rig("rig 3", truck=truck, trailer=make.trailer("trailer 3"), driver="Cem"),
    )
    loader = make.item("loader", 7_000, 132)
    moves = (
        make.move("0", loader, companions=("bucket",), ready_min=415, due_min=600),
        make.move("1", make.item("roller", 4_000, 108, cg_in=60.0), destination="c"),
        make.move(
            "2", make.item("dozer", 10_000, 144), runs=False, origin="b", destination="c", not_rigs=("rig 2",)
        ),
        make.move(
            "3",
            make.item("wide paver", 9_000, 144, width_in=126.0),
            origin="c",
            destination="a",
            permit=Permit("P-7", 9 * 60, 15 * 60, 45.0),
        ),
        make.move("4", loader, origin="b", destination="a", ready_min=560, due_min=900),
        make.move("5", make.item("crane", 30_000, 240), origin="a", destination="c", priority=2.5),
        make.move(
            "6",
            make.item("mats", 4_000, 96, kind=Kind.MATERIAL, loads_by=LoadsBy.LIFTED),
            origin="c",
            destination="b",
        ),
        make.move("7", make.item("light tower", 5_000, 120), origin="b", destination="yard"),
        make.move("8", make.item("skid steer", 8_000, 132), origin="yard", destination="a"),
    )
    sites = (
        make.site("a", opens_min=400, closes_min=1020, extra_load_min=5),
        make.site("c", longest_rig_in=700.0, highest_load_in=160.0, heaviest_gross_lb=38_000.0),
    )
    return make.problem(moves, rigs, items=[make.lifted("bucket")], sites=sites, settings=Settings(day="a day"))


def stop(site: str, arrive_min: int, leave_min: int, *tasks: Task) -> Stop:
    return Stop(site, arrive_min, leave_min, tasks)


def plan() -> Plan:
    """Eight moves in six trips; the crane (move 5) is left out."""
    two_machines = Trip(
        "rig 1",
        (
            stop("a", 415, 480, *load(9, 0, 1)),
            stop("c", 500, 515, *unload(1)),
            stop("b", 535, 565, *unload(0, 9)),
        ),
        (placed(9, 20, deck=NECK), placed(0, 60), placed(1, 210)),
    )
    dead = Trip("rig 1", (stop("b", 565, 585, *load(2)), stop("c", 605, 620, *unload(2))), (placed(2, 80),))
    wide = Trip(
        "rig 1", (stop("c", 620, 640, *load(3)), stop("a", 660, 680, *unload(3))), (placed(3, 80, REARWARD),)
    )
    skid = Trip("rig 2", (stop("yard", 480, 500, *load(8)), stop("a", 520, 540, *unload(8))), (placed(8, 70),))
    back = Trip("rig 2", (stop("b", 560, 580, *load(4)), stop("a", 600, 620, *unload(4))), (placed(4, 60),))
    mats = Trip(
        "rig 3",
        (
            stop("c", 740, 760, *load(6)),
            stop("b", 780, 815, *load(7), *unload(6)),
            stop("yard", 835, 850, *unload(7)),
        ),
        (placed(6, 30), placed(7, 139)),
    )
    days = (
        RigDay("rig 1", (Outing(395, (two_machines, dead, wide), 700),)),
        RigDay("rig 2", (Outing(480, (skid, back), 640),)),
        RigDay("rig 3", (Outing(720, (mats,), 850),)),
    )
    return Plan(
        days, ("5",), (level("left out", 2.5), level("trips", 6), level("cost", COST_CENTS)), Outcome.PROVED
    )


COST_CENTS = 125_875
"""Worked by hand."""


def long_day() -> Problem:
    """One move over long roads, beyond short haul: 200 minutes out, 250 loaded, 60 home; a pause is needed."""
    roads = (
        make.road("yard", "a", 180.0, minutes=200),
        make.road("a", "b", 200.0, minutes=250),
        make.road("b", "yard", 48.0, minutes=60),
    )
    return make.problem([make.move()], [make.rig(shift_start_min=300, shift_end_min=1200)], roads=roads)


def long_plan() -> Plan:
    """The pause lies on the loaded leg, for neither the 20 minutes at a nor the 15 at b are one."""
    trip = Trip("rig 1", (stop("a", 500, 520, *load(0)), stop("b", 800, 815, *unload(0))), (placed(0, 80),))
    days = (RigDay("rig 1", (Outing(300, (trip,), 875, ((560, 590),)),)),)
    levels = (level("left out", 0), level("trips", 1), level("cost", 86_250 + 96_300))
    return Plan(days, (), levels, Outcome.PROVED)
