"""How long a day takes to plan and prove: seeded invented days with every load check in.

Run ``python benchmarks/days.py``; writes ``benchmarks/results/days.md``. One thread, the everyday limit of 60 s.
Every plan is checked by the independent verifier.
"""

from __future__ import annotations

import os
import platform
import random
import statistics
import sys
import time
from datetime import date
from importlib.metadata import version
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from dispatch.plan import Plan  # noqa: E402
from dispatch.problem import Problem  # noqa: E402
from dispatch.solve import solve  # noqa: E402
from dispatch.verify import verify  # noqa: E402
from tests import factories as make  # noqa: E402

RESULT = ROOT / "benchmarks" / "results" / "days.md"
SIZES = ((12, 3, 10), (16, 4, 5), (24, 5, 3))
"""Moves, rigs, seeds."""


def day(moves: int, rigs: int, seed: int) -> Problem:
    """A county of nine sites; machines of 3,000 to 11,000 lb; half of the moves with a window of 3 to 6 h."""
    rng = random.Random(seed)
    names = [f"site {number}" for number in range(8)]
    sites = [make.site("yard", latitude=40.0, longitude=-95.0)]
    for name in names:
        place = {"latitude": 40 + rng.uniform(-0.3, 0.3), "longitude": -95 + rng.uniform(-0.3, 0.3)}
        sites.append(make.site(name, **place))
    wanted = []
    for number in range(moves):
        origin, destination = rng.sample([*names, "yard"], 2)
        weight_lb = rng.choice([3_000, 4_500, 6_000, 8_000, 9_500, 11_000])
        item = make.item(f"machine {number}", weight_lb, rng.choice([90, 110, 130, 150, 170]))
        ready = rng.choice([None, None, 420, 480, 600])
        due = (ready or 420) + rng.choice([180, 240, 360]) if rng.random() < 0.5 else None
        road = {"origin": origin, "destination": destination}
        wanted.append(make.move(f"move {number}", item, ready_min=ready, due_min=due, **road))
    fleet = [
        make.rig(
            f"rig {number}",
            driver=f"driver {number}",
            trailer=make.trailer(f"trailer {number}", deck_length_in=rng.choice([300.0, 336.0, 360.0])),
        )
        for number in range(rigs)
    ]
    return make.problem(wanted, fleet, sites=sites, roads=[])


def planned(problem: Problem) -> tuple[Plan, float]:
    start = time.perf_counter()
    plan = solve(problem, time_limit_s=60)
    seconds = time.perf_counter() - start
    violations = verify(problem, plan)
    if violations:
        raise SystemExit("\n".join(str(one) for one in violations))
    return plan, seconds


def main() -> None:
    rows = []
    for moves, rigs, seeds in SIZES:
        results = [planned(day(moves, rigs, seed)) for seed in range(seeds)]
        times = [seconds for _, seconds in results]
        proved = {
            name: sum(plan.level(name).proved for plan, _ in results) for name in ("left out", "trips", "cost")
        }
        shown = " | ".join(f"{count} of {seeds}" for count in proved.values())
        rows.append(f"| {moves} / {rigs} | {shown} | {statistics.median(times):.1f} | {max(times):.1f} |")
    load = os.getloadavg()[0]
    text = "\n".join(
        [
            "# Days, timed",
            "",
            f"Written by `python benchmarks/days.py` on {date.today()}.",
            "",
            f"- Machine: {platform.machine()}, {os.cpu_count()} cores, one used; load average {load:.1f}",
            f"- Versions: Python {platform.python_version()}, haulday {version('haulday')}, "
            f"ortools {version('ortools')}, highspy {version('highspy')}",
            "- Limit 60 s a day; every plan passed the verifier",
            "",
            "| moves / rigs | left out proved | trips proved | cost proved | median s | longest s |",
            "|---|---|---|---|---|---|",
            *rows,
            "",
        ]
    )
    RESULT.write_text(text, encoding="utf-8")
    sys.stdout.write(text)


if __name__ == "__main__":
    main()
