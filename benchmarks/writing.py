"""Times writing a day of 60 trips: ``python benchmarks/writing.py``. Writes ``results/writing.md``.

Targets on two cores: the schedule workbook in 15 s and 8 MB, rows reckoned and drawings made. It is the demo's
first rig and two of its machines, twenty times over, three trips each; it is written, not planned.
"""

from __future__ import annotations

import platform
import time
from dataclasses import replace
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from demo import MORNING, machine
from dispatch.io.read_workbook import read_inputs
from dispatch.io.summary_sheet import Used
from dispatch.io.write_schedule import schedule_workbook

from dispatch.assemble import assemble
from dispatch.items import Facing
from dispatch.moves import Move
from dispatch.plan import Action, Deck, Level, Outcome, Outing, Placed, Plan, RigDay, Stop, Task, Trip
from dispatch.problem import Problem
from dispatch.report import report

RESULT = Path(__file__).parent / "results" / "writing.md"
RIGS, TRIPS_A_RIG, RUNS = 20, 3, 3
START_MIN, ROAD_MIN, WORK_MIN = 360, 40, 30
SECONDS, MEGABYTES = 15.0, 8.0


def day() -> tuple[Problem, Plan]:
    """The demo's first rig twenty times over, and what they carry, two machines a trip."""
    read = read_inputs([MORNING])
    assert read.problem is not None
    demo = read.problem
    rigs = [
        replace(demo.rigs[0], name=f"Rig {number}", driver=f"Driver {number}") for number in range(1, RIGS + 1)
    ]
    pair = [move for move in demo.moves if move.item.length_in <= 150][:2]
    moves = [
        replace(one, name=f"{trip}{letter}", item=replace(one.item, name=f"{one.item.name} {trip}"), companions=())
        for trip in range(1, RIGS * TRIPS_A_RIG + 1)
        for letter, one in zip("ab", pair, strict=True)
    ]
    problem = assemble(
        [move.item for move in moves], rigs, demo.sites, _at(moves, pair[0]), demo.roads, demo.settings, demo.rules
    )
    return problem, plan_of(problem)


def _at(moves: list[Move], first: Move) -> list[Move]:
    """All from and to the same sites, so that two ride together."""
    return [replace(move, origin=first.origin, destination=first.destination, permit=None) for move in moves]


def plan_of(problem: Problem) -> Plan:
    """Three trips a rig, one after the other, two items a trip."""
    days = []
    for number, rig in enumerate(problem.rigs):
        trips, clock = [], START_MIN + 5 * number
        for own in range(TRIPS_A_RIG):
            hauls = [2 * (number * TRIPS_A_RIG + own) + one for one in (0, 1)]
            trips.append(_trip(problem, rig.name, hauls, clock))
            clock = trips[-1].end_min + ROAD_MIN
        days.append(RigDay(rig.name, (Outing(START_MIN - ROAD_MIN, tuple(trips), clock),)))
    levels = (Level("left out", 0, 0, True), Level("trips", RIGS * TRIPS_A_RIG, 1, False))
    return Plan(tuple(days), (), levels, Outcome.STOPPED_WITH_PLAN)


def _trip(problem: Problem, rig: str, hauls: list[int], clock: int) -> Trip:
    first = problem.hauls[hauls[0]]
    loaded, unloaded = clock + WORK_MIN, clock + 2 * WORK_MIN + ROAD_MIN
    stops = (
        Stop(first.origin, clock, loaded, tuple(Task(Action.LOAD, haul) for haul in hauls)),
        Stop(
            first.destination,
            loaded + ROAD_MIN,
            unloaded,
            tuple(Task(Action.UNLOAD, haul) for haul in hauls[::-1]),
        ),
    )
    behind = 12 + round(first.item.length_in) + 12
    places = (
        Placed(hauls[0], Deck.MAIN, 12, Facing.FORWARD),
        Placed(hauls[1], Deck.MAIN, behind, Facing.FORWARD),
    )
    return Trip(rig, stops, places)


def page(about: str, reckoned: list[float], written: list[float], size: int, checks: int) -> str:
    """The result as a page."""
    libraries = ", ".join(f"{name} {version(name)}" for name in ("haulday", "openpyxl", "matplotlib"))
    total = min(one + other for one, other in zip(reckoned, written, strict=True))
    return f"""# A day of {RIGS * TRIPS_A_RIG} trips, written

Written by `python benchmarks/writing.py` on {datetime.now(UTC):%Y-%m-%d}; best of {RUNS} runs.

- Machine: {about}
- Versions: Python {platform.python_version()}, {libraries}
- {RIGS} rigs, {RIGS * TRIPS_A_RIG} trips, {2 * RIGS * TRIPS_A_RIG} items, {checks:,} rows in Weights

| what | measured | target |
|---|---|---|
| rows reckoned | {min(reckoned):.1f} s | |
| workbook written, drawings made | {min(written):.1f} s | |
| both | {total:.1f} s | {SECONDS:.0f} s |
| size of the workbook | {size / 1e6:.1f} MB | {MEGABYTES:.0f} MB |
"""


def main() -> None:
    about = machine()
    problem, plan = day()
    reckoned, written, data, checks = [], [], b"", 0
    for _ in range(RUNS):
        start = time.perf_counter()
        result = report(problem, plan)
        middle = time.perf_counter()
        data = schedule_workbook(result, Used())
        reckoned.append(middle - start)
        written.append(time.perf_counter() - middle)
        checks = len(result.weights)
    RESULT.write_text(page(about, reckoned, written, len(data), checks), encoding="utf-8")
    print(RESULT.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main()
