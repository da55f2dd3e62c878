"""How many ordered pairs and triples a second placement decides, on one core and on two, with its profile.

Run ``python benchmarks/placement.py``; writes ``benchmarks/results/placement.md``. Each request is new to the
placer (its memory of answers starts empty, and what the core remembers of items is forgotten), all legality rules
are in, and every decision is exact: the loads found together are compared with those found one by one.
"""

from __future__ import annotations

import cProfile
import io
import os
import platform
import pstats
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from itertools import permutations
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from dispatch import allocation, load_tables  # noqa: E402
from dispatch.placement import DeckState, Load, LoadRequest, Placer  # noqa: E402
from dispatch.problem import Problem  # noqa: E402
from tests import factories as make  # noqa: E402

RESULT = ROOT / "benchmarks" / "results" / "placement.md"
ITEMS, SINGLY, TOGETHER, ROUNDS = 24, 3_000, 12_000, 3
AIM = 20_000


def day() -> Problem:
    """One gooseneck with a dovetail and 24 machines of 2,500 to 10,000 lb, off-centre, either way round."""
    rng = random.Random(0)
    items = [
        make.item(
            f"m{number}",
            rng.choice([2_500, 3_000, 4_500, 6_000, 7_500, 8_500, 10_000]),
            rng.randint(80, 130),
            contact_from_in=10.0,
            contact_length_in=60.0,
            cg_in=rng.uniform(30, 55),
        )
        for number in range(ITEMS)
    ]
    trailer = make.trailer(
        deck_length_in=384.0, gvwr_lb=30_000.0, dovetail_length_in=144.0, dovetail_rating_lb=10_000.0
    )
    return make.problem([make.move(f"M{n}", item) for n, item in enumerate(items)], [make.rig(trailer=trailer)])


def requests(count: int, every_prefix: bool, seed: int, most: int = SINGLY) -> list[LoadRequest]:
    """Ordered sets of ``count`` items; a leg with all of them, or one after every item that comes on."""
    orders = list(permutations(range(ITEMS), count))
    random.Random(seed).shuffle(orders)
    chosen = []
    for order in orders[:most]:
        sizes = range(1, count + 1) if every_prefix else (count,)
        legs = tuple(DeckState(order[:size], "a", "b") for size in sizes)
        chosen.append(LoadRequest(order, order[::-1], legs))
    return chosen


@dataclass(frozen=True)
class Timed:
    """What a run decided, and in how many seconds by the clock and of processor time."""

    decided: int
    loads: list[Load | None]
    clock_s: float
    cpu_s: float

    @property
    def legal(self) -> int:
        return sum(load is not None for load in self.loads)


def forget() -> None:
    """Empties what the core remembers beyond a placer, so that no round gains by the one before."""
    for memory in (load_tables._beyond, allocation._allocate, allocation.ways_to_hold):
        memory.cache_clear()


def decide(count: int, every_prefix: bool, seed: int, together: bool) -> Timed:
    """One round on one core."""
    problem, batch = day(), requests(count, every_prefix, seed, TOGETHER if together else SINGLY)
    forget()
    placer, rig = Placer(problem), problem.rigs[0]
    start, cpu = time.perf_counter(), time.process_time()
    loads = placer.find_many(rig, batch) if together else [placer.find(rig, request) for request in batch]
    return Timed(len(batch), loads, time.perf_counter() - start, time.process_time() - cpu)


def warm() -> None:
    """Loads the compiled search, which a process does once."""
    problem = day()
    Placer(problem).find_many(problem.rigs[0], requests(2, False, 0)[:2])


def on_two(count: int, every_prefix: bool, together: bool) -> tuple[float, float]:
    """Decisions a second of two warm processes: by the clock, and by the processor time of the slower one."""
    with ProcessPoolExecutor(2, initializer=warm) as pool:
        list(pool.map(time.sleep, (0.5, 0.5)))
        start = time.perf_counter()
        done = list(pool.map(decide, (count,) * 2, (every_prefix,) * 2, (2, 3), (together,) * 2))
        seconds = time.perf_counter() - start
    decided = sum(one.decided for one in done)
    return decided / seconds, decided / max(one.cpu_s for one in done)


def row(count: int, every_prefix: bool, together: bool) -> tuple[str, float, float]:
    """A row of the table, each figure the best of the rounds; and two processes' by clock and processor."""
    one = [decide(count, every_prefix, 1, together) for _ in range(ROUNDS)]
    two = [on_two(count, every_prefix, together) for _ in range(ROUNDS)]
    first, clock, processor = one[0], max(rate for rate, _ in two), max(rate for _, rate in two)
    figures = (
        first.decided / min(run.clock_s for run in one),
        first.decided / min(run.cpu_s for run in one),
        clock,
        processor,
    )
    what = (
        f"{'pairs' if count == 2 else 'triples'}, {'a leg after every item' if every_prefix else 'one full leg'}"
    )
    how = "together" if together else "one by one"
    cells = [what, how, f"{first.decided:,}", f"{first.legal:,}", *(f"{figure:,.0f}" for figure in figures)]
    return f"| {' | '.join(cells)} |", clock, processor


def same(count: int, every_prefix: bool) -> bool:
    """Whether the requests get the same loads together and one by one, from two placers."""
    problem = day()
    rig, batch = problem.rigs[0], requests(count, every_prefix, 1)
    single = Placer(problem)
    return Placer(problem).find_many(rig, batch) == [single.find(rig, request) for request in batch]


def first_use() -> tuple[float, float]:
    """Seconds of processor time until a process has its search: compiling it, and loading it compiled."""
    program = (
        "import time; from benchmarks.placement import warm; start = time.process_time(); warm(); "
        "print(time.process_time() - start)"
    )
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {"NUMBA_CACHE_DIR": folder, "PYTHONPATH": str(ROOT)}
        command = [sys.executable, "-c", program]
        compiled, loaded = (
            float(subprocess.run(command, env=environment, check=True, capture_output=True, text=True).stdout)
            for _ in range(2)
        )
    return compiled, loaded


def profile(run: Callable[[], object]) -> str:
    profiler = cProfile.Profile()
    forget()
    profiler.runcall(run)
    text = io.StringIO()
    pstats.Stats(profiler, stream=text).strip_dirs().sort_stats("tottime").print_stats(12)
    lines = text.getvalue().splitlines()
    return "\n".join(line.rstrip() for line in lines if line.strip() and "Ordered by" not in line)


def verdict(rate: float) -> str:
    return "met" if rate >= AIM else "missed"


def main() -> None:
    load = os.getloadavg()[0]
    warm()
    cases = [(count, every_prefix) for count in (2, 3) for every_prefix in (False, True)]
    rows = [row(*case, together) for case in cases for together in (False, True)]
    triples = [rates for text, *rates in rows if "triples" in text and "together" in text]
    clock, processor = (min(rates) for rates in zip(*triples, strict=True))
    alike = all(same(*case) for case in cases)
    compiled, loaded = first_use()
    problem, batch = day(), requests(3, True, 1, TOGETHER)
    placer = Placer(problem)
    text = [
        "# Placement, timed",
        "",
        f"Written by `python benchmarks/placement.py` on {date.today()}.",
        "",
        f"- Machine: {platform.machine()}, {os.cpu_count()} cores, shared with other work; load average before "
        f"{load:.1f}, after {os.getloadavg()[0]:.1f}",
        f"- Versions: Python {platform.python_version()}, haulday {version('haulday')}, numpy {version('numpy')}, "
        f"numba {version('numba')}",
        f"- Each figure is the best of {ROUNDS} rounds, each with a new placer. Clock: decisions a second as time "
        "passed; processor: a second of processor time, which other work on the machine lengthens less.",
        "- Two processes: both warm, each with requests of its own; processor: all decisions by the time of the "
        "slower one.",
        "",
        "| ordered | how | requests | legal | one core, clock | one core, processor | two processes, clock | "
        "two processes, processor |",
        "|---|---|---|---|---|---|---|---|",
        *(line for line, *_ in rows),
        "",
        "The aim was 20,000 ordered triples a second or better on two cores. The slower kind of triple, decided",
        f"together, came to {processor:,.0f} by processor time ({verdict(processor)}) and to {clock:,.0f} by the",
        f"clock ({verdict(clock)}); where the load average stands well above the number of cores, the clock tells",
        "more of the other work than of this.",
        f"Loads found together and one by one are {'the same' if alike else 'NOT the same'} for the pairs and the "
        f"first {SINGLY:,} triples of both kinds.",
        "",
        "*One by one* is `Placer.find`, *together* is `Placer.find_many`: the same compiled search for places, "
        "entered once for many requests instead of once for every order and facing. The few pairs pay most "
        "for the tables of the 24 items, which are worked out once a placer.",
        f"A process loads the compiled search in {loaded:.1f} s; after an installation it is compiled once, in "
        f"{compiled:.0f} s (processor time).",
        "",
        "Where the time goes, triples with a leg after every item, decided together (the profiler itself slows "
        "Python, not the compiled search, `first_lines`):",
        "",
        "```",
        profile(lambda: placer.find_many(problem.rigs[0], batch)),
        "```",
        "",
    ]
    RESULT.parent.mkdir(exist_ok=True)
    RESULT.write_text("\n".join(text), encoding="utf-8")
    sys.stdout.write("\n".join(text))


if __name__ == "__main__":
    main()
