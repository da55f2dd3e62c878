"""Pickup and delivery through the product: Li and Lim's group 100, at most three items a trip, against a MILP.

Run ``python benchmarks/lilim.py witness [lc101 ...]`` for the independent answers, then ``python
benchmarks/lilim.py plan [lc101 ...]`` for the product's; both write ``results/lilim.csv`` and ``.md``. Instances
that have their figures already are left out unless they are named. The witness lists trips itself and gives them
all to HiGHS (``tests/external/delivery_milp.py``); product and witness get the same whole minutes.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from open_results import Row, about, keep, kept, median, most  # noqa: E402

from dispatch.solve import solve  # noqa: E402
from dispatch.verify import verify  # noqa: E402
from tests.external.delivery_days import Instance, day_of, instances  # noqa: E402
from tests.external.delivery_milp import fewest_trips  # noqa: E402

TABLE = ROOT / "benchmarks" / "results" / "lilim.csv"
PAGE = TABLE.with_suffix(".md")
LIMIT_S = 600.0
COLUMNS = (
    "instance",
    "requests",
    "minutes_a_unit",
    "witness_trips",
    "witness_proved",
    "witness_sets",
    "witness_processor_seconds",
    "found",
    "bound",
    "proved",
    "seconds",
    "processor_seconds",
)


def witness(instance: Instance) -> dict[str, object]:
    """The fewest trips by listing and MILP."""
    cpu = time.process_time()
    answer = fewest_trips(instance)
    return {
        "requests": len(instance.requests),
        "minutes_a_unit": instance.minutes_a_unit,
        "witness_trips": answer.trips,
        "witness_proved": answer.proved,
        "witness_sets": answer.sets,
        "witness_processor_seconds": f"{time.process_time() - cpu:.1f}",
    }


def plan(instance: Instance) -> dict[str, object]:
    """The fewest trips by the product."""
    problem = day_of(instance)
    wall, cpu = time.perf_counter(), time.process_time()
    found = solve(problem, time_limit_s=LIMIT_S)
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    broken = verify(problem, found)
    if broken or found.left_out:
        sys.exit(f"{instance.name}: left out {len(found.left_out)}; {[str(one) for one in broken][:3]}")
    trips = found.level("trips")
    return {
        "requests": len(instance.requests),
        "minutes_a_unit": instance.minutes_a_unit,
        "found": round(trips.value),
        "bound": round(trips.bound),
        "proved": trips.proved,
        "seconds": f"{wall:.1f}",
        "processor_seconds": f"{cpu:.1f}",
    }


def put(name: str, figures: Mapping[str, object]) -> Row:
    """Adds the figures to the instance's row, and writes the page."""
    row = dict.fromkeys(COLUMNS, "") | dict(kept(TABLE).get(name, {})) | {"instance": name} | dict(figures)
    keep(TABLE, row)
    PAGE.write_text("\n".join(page(list(kept(TABLE).values()))) + "\n", encoding="utf-8")
    return kept(TABLE)[name]


def page(rows: list[Row]) -> Iterator[str]:
    """The results as text."""
    known = [row for row in rows if row["witness_proved"] == "True"]
    run = [row for row in rows if row["found"]]
    both = [row for row in known if row["found"]]
    yield "# Pickup and delivery through the product"
    yield ""
    yield from about("python benchmarks/lilim.py")
    yield (
        "Li and Lim's group 100 (56 instances of 50 to 55 requests): load, then unload, last on first off, at "
        "most three items a trip, a rig for each trip. Time is scaled to whole minutes and every road rounded up, "
        "for the product and the witness alike, so the figures are not those of the unrounded instances. The "
        f"witness lists the trips itself and HiGHS partitions the requests. Limit {LIMIT_S:.0f} s; all plans "
        "verified; *seconds* are wall clock on a machine shared with other work. One row an instance: "
        "[lilim.csv](lilim.csv)."
    )
    yield ""
    yield "| | instances |"
    yield "|---|---|"
    yield f"| fewest trips proved by the witness | {len(known)} of 56 |"
    yield f"| run through the product | {len(run)} of 56 |"
    yield f"| fewest trips proved by the product | {sum(row['proved'] == 'True' for row in run)} of {len(run)} |"
    equal = sum(row["found"] == row["witness_trips"] for row in both)
    yield f"| plan with the witness's number of trips | {equal} of {len(both)} |"
    wrong = sum(int(row["bound"]) > int(row["witness_trips"]) for row in both)
    yield f"| bound above the witness's number (must be none) | {wrong} of {len(both)} |"
    if run:
        times = [f"{median(run, name):.1f}, {most(run, name):.1f}" for name in ("processor_seconds", "seconds")]
        yield ""
        yield f"Product, median and most: {times[0]} processor seconds, {times[1]} seconds of clock."


def main() -> None:
    """Runs what was asked for."""
    step, wanted = sys.argv[1], sys.argv[2:]
    method, column = {"witness": (witness, "witness_trips"), "plan": (plan, "found")}[step]
    for name, instance in instances().items():
        done = bool(kept(TABLE).get(name, {}).get(column))
        if name in wanted or (not wanted and not done):
            print(*put(name, method(instance)).values(), flush=True)


if __name__ == "__main__":
    main()
