"""Bin packing through the whole product: Falkenauer's triplets and uniform instances as days of one site pair.

Run ``python benchmarks/binpacking.py [t60 u120 t249_00 ...]``; writes ``results/binpacking.csv`` and ``.md``.
Instances already in the table are left out, unless they are named in full. Every plan is checked by the
independent verifier; the optimum is the literature's.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from open_results import Row, about, keep, kept, median, most  # noqa: E402

from dispatch.solve import solve  # noqa: E402
from dispatch.verify import verify  # noqa: E402
from tests.external.packing_days import Instance, day_of, instances  # noqa: E402

TABLE = ROOT / "benchmarks" / "results" / "binpacking.csv"
PAGE = TABLE.with_suffix(".md")
FAMILIES = {
    "t60": 10,
    "u120": None,
    "t120": 40,
    "t249": None,
    "t501": None,
    "u250": None,
    "u500": None,
    "u1000": None,
}
"""Seconds within which every instance of the family is to be at the optimum, where a target was set."""
LIMIT_S = 1_800.0


def run(instance: Instance) -> dict[str, object]:
    """Plans the instance's day, and reports the trips with their bound."""
    problem = day_of(instance)
    wall, cpu = time.perf_counter(), time.process_time()
    plan = solve(problem, time_limit_s=LIMIT_S)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    broken = verify(problem, plan)
    if broken or plan.left_out:
        sys.exit(f"{instance.name}: left out {len(plan.left_out)}; {[str(one) for one in broken][:3]}")
    trips = plan.level("trips")
    if trips.bound > instance.fewest:
        sys.exit(f"{instance.name}: bound {trips.bound} above the optimum {instance.fewest}")
    return {
        "instance": instance.name,
        "moves": instance.size,
        "optimum": instance.fewest,
        "found": round(trips.value),
        "bound": round(trips.bound),
        "trips_proved": trips.proved,
        "all_proved": all(level.proved for level in plan.levels),
        "seconds": f"{wall:.1f}",
        "processor_seconds": f"{cpu:.1f}",
    }


def page(rows: dict[str, Row]) -> Iterator[str]:
    """The results as text."""
    yield "# Bin packing through the product"
    yield ""
    yield from about("python benchmarks/binpacking.py")
    yield (
        "Falkenauer's instances as days of one site pair and one class of rigs, payload binding, every axle, law "
        f"and gear check in; limit {LIMIT_S:.0f} s; all plans verified. *Seconds* are wall clock on a machine "
        "that was shared with other work, *processor* is what the planner itself used. One row an instance: "
        "[binpacking.csv](binpacking.csv)."
    )
    yield ""
    yield (
        "| family | run | at the optimum | fewest trips proved | cost proved too | processor s, median, most "
        "| seconds, median, most | target |"
    )
    yield "|---|---|---|---|---|---|---|---|"
    for family, target in FAMILIES.items():
        own = [row for name, row in rows.items() if name.startswith(f"{family}_")]
        if own:
            yield line(family, own, target)


def line(family: str, rows: list[Row], target: int | None) -> str:
    """A family's row."""
    best = sum(row["found"] == row["optimum"] for row in rows)
    proved = [sum(row[column] == "True" for row in rows) for column in ("trips_proved", "all_proved")]
    times = [
        f"{median(rows, column):.1f}, {most(rows, column):.1f}" for column in ("processor_seconds", "seconds")
    ]
    cells = [family, len(rows), best, *proved, *times, "" if target is None else f"{target} s each"]
    return "| " + " | ".join(str(cell) for cell in cells) + " |"


def main() -> None:
    """Runs what was asked for and writes table and page."""
    wanted = sys.argv[1:] or list(FAMILIES)
    known = instances("triplets") | instances("uniform")
    for word in wanted:
        for name, instance in known.items():
            again = word == name
            if again or (name.startswith(f"{word}_") and name not in kept(TABLE)):
                keep(TABLE, row := run(instance))
                print(*row.values(), flush=True)
                PAGE.write_text("\n".join(page(dict(kept(TABLE)))) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
