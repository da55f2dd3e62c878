"""A hand-built day with its plan, for the tests of what is written: two rigs, three trips, one move left out."""

from __future__ import annotations

from typing import Any

from dispatch.fleet import Deck
from dispatch.items import Facing
from dispatch.moves import Permit
from dispatch.plan import Action, Level, Outcome, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.settings import Settings
from tests import factories as make

SETTINGS = Settings(day="2026-11-25")


def small_problem(settings: Settings = SETTINGS, **names: str) -> Problem:
    """Rig 1 carries two machines and a bucket on its neck deck, then a permit load; rig 2 a roller."""
    with_neck = make.trailer("T-1", neck=make.neck(), dovetail_length_in=60.0, dovetail_rating_lb=10_000.0)
    rigs = [
        make.rig("Rig 1", trailer=with_neck, driver="A. Driver", overtime_after_min=480),
        make.rig("Rig 2", driver="=B. Driver"),
        make.rig("Rig 3"),
    ]
    excavator = make.item(names.get("excavator", "mini excavator"), 7_000, 160, cg_in=90.0)
    loader = make.item("skid steer", 5_200, 130)
    bucket = make.lifted("bucket", 600, 40)
    roller = make.item("=roller", 9_000, 160)
    giant = make.item("giant", 60_000, 300)
    wide = make.item("wide load", 9_500, 170, width_in=110.0)
    moves = [
        make.move("M1", excavator, origin="quarry", destination="bridge", ready_min=450, note="gate code 12"),
        make.move("M2", loader, origin="quarry", destination="school"),
        make.move("M3", bucket, origin="quarry", destination="bridge"),
        make.move("M4", roller, origin="bridge", destination="yard", due_min=720),
        make.move("M5", giant, origin="quarry", destination="yard"),
        make.move("M6", wide, origin="school", destination="yard", permit=Permit("OS-17", 9 * 60, 15 * 60, 30.0)),
    ]
    sites = [
        make.site("quarry", address="1 Pit Road", contact="gate 555-0100", opens_min=420, closes_min=960),
        make.site("bridge", extra_load_min=5, contact="+1 555 0101"),
    ]
    return make.problem(moves, rigs, sites=sites, settings=settings)


def stop(site: str, arrive: int, leave: int, *tasks: tuple[Action, int]) -> Stop:
    """A visit with its tasks."""
    return Stop(site, arrive, leave, tuple(Task(action, haul) for action, haul in tasks))


def small_plan(**changes: Any) -> Plan:
    """The plan of ``small_problem``; times are plausible, every road is 20 minutes."""
    load, unload = Action.LOAD, Action.UNLOAD
    first = Trip(
        "Rig 1",
        (
            stop("quarry", 440, 510, (load, 0), (load, 1), (load, 2)),
            stop("school", 530, 545, (unload, 1)),
            stop("bridge", 565, 600, (unload, 0), (unload, 2)),
        ),
        (
            Placed(0, Deck.MAIN, 28, Facing.FORWARD),
            Placed(1, Deck.MAIN, 202, Facing.REARWARD),
            Placed(2, Deck.NECK, 30, Facing.FORWARD),
        ),
    )
    permit = Trip(
        "Rig 1",
        (stop("school", 620, 640, (load, 5)), stop("yard", 660, 675, (unload, 5))),
        (Placed(5, Deck.MAIN, 80, Facing.FORWARD),),
    )
    roller = Trip(
        "Rig 2",
        (stop("bridge", 480, 505, (load, 3)), stop("yard", 525, 540, (unload, 3))),
        (Placed(3, Deck.MAIN, 90, Facing.FORWARD),),
    )
    values: dict[str, Any] = {
        "rig_days": (
            RigDay("Rig 1", (Outing(420, (first, permit), 675),)),
            RigDay("Rig 2", (Outing(460, (roller,), 540),)),
        ),
        "left_out": ("M5",),
        "levels": (
            Level("left out", 1, 1, True),
            Level("trips", 3, 2, False),
            Level("cost", 123_456, 100_000, False),
        ),
        "outcome": Outcome.STOPPED_WITH_PLAN,
        "notes": ("the search for fewer trips was stopped by its limit",),
    }
    return Plan(**(values | changes))
