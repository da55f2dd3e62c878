"""Where the time of a search goes: seconds of each step of planning a day of the suite.

``python -m benchmarks.steps play 48/8 2 60 [NOTE]`` plans the day under that limit and adds a line to
``results/steps.jsonl``; ``python -m benchmarks.steps report`` writes ``results/steps.md``. Steps are timed around
the functions that do them. Work done beside other work counts in full, so steps may add up to more than the clock;
what a second process does counts only while this one waits for it. For an older commit, run this file in a
checkout of that (without the lines on what it lacks) and put the line it adds beside the others.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import dispatch.branching
import dispatch.floors
import dispatch.levels
import dispatch.neighbourhoods
import dispatch.pricing
import dispatch.solve
from benchmarks.about_machine import computer
from benchmarks.generator import Size, day
from dispatch.master import Master
from dispatch.planning_day import PricerShelf
from dispatch.trip_stock import TripStock

RESULTS = Path(__file__).resolve().parent / "results"
LINES, PAGE = RESULTS / "steps.jsonl", RESULTS / "steps.md"
LISTING, ORDERS, ARRAYS = "list the trips", "judge the listed trips", "trips as arrays"
HASTY, EXACT, EVERY = "price days hastily", "price days exactly", "list days for a proof"
MIX, PARTITION, CHOICE = "solve the mix (HiGHS)", "partition over sets (HiGHS)", "choose among days"
TRYING = "try decisions (HiGHS)"
STEPS = (LISTING, ORDERS, ARRAYS, HASTY, EXACT, EVERY, MIX, TRYING, PARTITION, CHOICE)
BOUND_BY = {
    LISTING: "Python's work on each set and load (some 130 microseconds a set and kind of rigs)",
    ORDERS: "the walk over orders, compiled, on all cores; then Python's work on each load asked",
    ARRAYS: "numpy: copies of some hundred thousand rows a rig",
    HASTY: "the floors that rule trips out, anew at every price: memory and the number of trips",
    EXACT: "comparing labels that may stand for each other, compiled",
    EVERY: "the number of days within the gap between plan and floor",
    MIX: "simplex steps of a degenerate programme",
    TRYING: "simplex steps, some sixty for each way of a decision",
    PARTITION: "simplex steps; tens of thousands of columns",
    CHOICE: "branching",
}


class Clock:
    """Seconds and calls by step, of whatever thread."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self.seconds: dict[str, float] = defaultdict(float)
        self.calls: dict[str, int] = defaultdict(int)

    def around(self, owner: object, name: str, step: str | Callable[..., str]) -> None:
        """Times every call of the function ``name`` of a module or class from now on."""
        inner = getattr(owner, name)

        def timed(*given: Any, **named: Any) -> Any:
            begun = time.perf_counter()
            try:
                return inner(*given, **named)
            finally:
                which = step if isinstance(step, str) else step(*given)
                with self._lock:
                    self.seconds[which] += time.perf_counter() - begun
                    self.calls[which] += 1

        setattr(owner, name, timed)


def kind_of_pricing(*given: Any) -> str:
    """Which search the labels are grown for."""
    wanted = given[4]
    return HASTY if wanted.crowd else EVERY if wanted.listing else EXACT


def play(size: Size, seed: int, limit_s: float, note: str) -> dict[str, Any]:
    """Plans the day with every step timed."""
    clock = Clock()
    clock.around(dispatch.solve, "find_trips", LISTING)
    clock.around(TripStock, "judge_all", ORDERS)
    clock.around(PricerShelf, "_new", ARRAYS)
    clock.around(dispatch.pricing, "labels", kind_of_pricing)
    clock.around(Master, "solve", MIX)
    clock.around(dispatch.floors, "fewest_trips", PARTITION)
    clock.around(dispatch.branching.BranchMaster, "tried", TRYING)
    clock.around(dispatch.branching, "choose", CHOICE)
    clock.around(dispatch.levels, "choose", CHOICE)
    clock.around(dispatch.levels, "from_pool", CHOICE)
    clock.around(dispatch.neighbourhoods, "best_days", CHOICE)
    problem = day(size, seed)
    begun = time.perf_counter()
    plan = dispatch.solve.solve(problem, time_limit_s=limit_s)
    return {
        "day": str(size), "seed": seed, "limit_s": limit_s, "seconds": round(time.perf_counter() - begun, 1),
        "steps": {step: [round(clock.seconds[step], 1), clock.calls[step]] for step in STEPS},
        "levels": [[level.name, level.value, level.bound] for level in plan.levels],
        "commit": commit(), "note": note, "machine": computer(), "date": str(date.today()),
    }  # fmt: skip


def commit() -> str:
    """The code's commit."""
    asked = ["git", "rev-parse", "--short", "HEAD"]
    return subprocess.run(asked, cwd=RESULTS, capture_output=True, text=True, check=True).stdout.strip()


def page(lines: list[dict[str, Any]]) -> Iterator[str]:
    """The page, line by line."""
    yield "# Where the time goes"
    yield ""
    machines = "; ".join(dict.fromkeys(one["machine"] for one in lines))
    dates = ", ".join(dict.fromkeys(one["date"] for one in lines))
    yield f"Written by `python -m benchmarks.steps report`; {machines}; {dates}. Seconds and calls of each step;"
    yield "what is done beside other work counts in full. Days of the suite."
    yield ""
    heads = [
        f"{one['day']} seed {one['seed']}, {one['limit_s']:g} s, {one['note']} ({one['commit']})" for one in lines
    ]
    yield "| step | " + " | ".join(heads) + " | what bounds it |"
    yield "|---" * (len(lines) + 2) + "|"
    for step in STEPS:
        cells = [f"{one['steps'][step][0]:g} s, {one['steps'][step][1]:,}" for one in lines]
        yield f"| {step} | " + " | ".join(cells) + f" | {BOUND_BY[step]} |"
    yield "| whole | " + " | ".join(f"{one['seconds']:g} s" for one in lines) + " | |"
    for place, name in enumerate(("left out", "trips", "cost")):
        cells = [f"{one['levels'][place][1]:g}, bound {one['levels'][place][2]:g}" for one in lines]
        yield f"| {name} | " + " | ".join(cells) + " | |"
    yield ""
    for one, head in zip(lines, heads, strict=True):
        slowest = sorted(STEPS, key=lambda step: -one["steps"][step][0])[:3]
        yield f"- {head}: slowest are {', '.join(slowest)}."


def main(asked: list[str]) -> None:
    """Plays a day, or writes the page."""
    if asked[0] == "report":
        lines = [json.loads(line) for line in LINES.read_text(encoding="utf-8").splitlines()]
        PAGE.write_text("\n".join(page(lines)) + "\n", encoding="utf-8")
        return
    line = play(Size.read(asked[1]), int(asked[2]), float(asked[3]), " ".join(asked[4:]) or "now")
    with LINES.open("a", encoding="utf-8") as file:
        file.write(json.dumps(line) + "\n")


if __name__ == "__main__":
    main(sys.argv[1:])
