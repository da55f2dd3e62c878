"""Times a bid of 25 machines in 3 phases: ``python benchmarks/pricing_bid.py``. Writes ``results/pricing_bid.md``.

Target on two cores: the whole ``haulday price`` in 120 s, with alternatives, range, workbook and JSON. The bid is
made of the demo's machines on the demo's fleet; two kinds have no machine chosen, one machine needs a permit and
an escort.
"""

from __future__ import annotations

import csv
import json
import platform
import tempfile
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from demo import MORNING, Run, machine, run

BID = MORNING.parent / "bid"
RESULT = Path(__file__).parent / "results" / "pricing_bid.md"
SECONDS = 120.0
HEAD = ("Bid", "Item", "Kind", "Quantity", "From", "To", "Phase", "Standby days", "Permit", "Weight (lb)")
SIZE = ("Length (ft)", "Width (ft)", "Height (ft)")
ROWS = (
    # phase, item or kind, quantity, from, permit
    ("clearing", "D-8", 1, "Home yard", "state single trip"),
    ("clearing", "EX-7", 1, "Home yard", ""),
    ("clearing", "SS-2", 2, "Home yard", ""),
    ("clearing", "ME-4", 2, "Home yard", ""),
    ("clearing", "BK-24", 1, "Home yard", ""),
    ("drains", "ME-2", 3, "Home yard", ""),
    ("drains", "CTL-1", 2, "Home yard", ""),
    ("drains", "TB-1", 2, "Home yard", ""),
    ("drains", "WP-3", 1, "Repair shop", ""),
    ("paving", "kind: roller, 84 in drum", 2, "Home yard", ""),
    ("paving", "R-2", 2, "Home yard", ""),
    ("paving", "kind: broom tractor", 2, "Home yard", ""),
    ("paving", "TH-1", 1, "Substation 4", ""),
    ("paving", "GS-1", 2, "Grain Terminal", ""),
    ("paving", "SS-2", 1, "Home yard", ""),
)
KINDS = {
    "roller, 84 in drum": (23_500, 18.5, 7.6, 9.8),
    "broom tractor": (6_400, 11.0, 6.2, 8.0),
}


def write_bid(folder: Path) -> int:
    """The sheet Mobilisation of the bid; gives the number of machines."""
    with (folder / "Mobilisation.csv").open("w", newline="", encoding="utf-8") as target:
        sheet = csv.writer(target)
        sheet.writerow((*HEAD, *SIZE))
        for phase, what, quantity, origin, permit in ROWS:
            kind = what.removeprefix("kind: ") if what.startswith("kind: ") else ""
            weight, *size = KINDS.get(kind, ("", "", "", ""))
            item = "" if kind else what
            row = ("L-3", item, kind, quantity, origin, "Levee Pad", phase, 2 if permit else 0, permit, weight)
            sheet.writerow((*row, *size))
    return sum(row[2] for row in ROWS)


def price() -> tuple[Run, int, dict[str, object]]:
    """The whole command on the bid: the run, how many machines, and the document that it wrote."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        count = write_bid(folder)
        others = [path for path in sorted(BID.glob("*.csv")) if path.name != "Mobilisation.csv"]
        outputs = [str(folder / "price.xlsx"), "--json", str(folder / "price.json")]
        inputs = [str(MORNING), *map(str, others), str(folder / "Mobilisation.csv")]
        done = run(["price", *inputs, "-o", *outputs])
        text = (folder / "price.json").read_text(encoding="utf-8") if done.code == 0 else "{}"
        return done, count, json.loads(text)


def told(done: Run, count: int, document: dict[str, object]) -> str:
    """The page of results."""
    versions = ", ".join(f"{name} {version(name)}" for name in ("haulday", "ortools", "highspy", "numpy"))
    jobs = document["jobs"]
    lines = [f"- phase {job['phase']} {job['way']}: {job['trips']} trips, {job['claim']}" for job in jobs]  # type: ignore[attr-defined]
    return "\n".join(
        (
            "# A bid, timed",
            "",
            f"Written by `python benchmarks/pricing_bid.py` on {datetime.now(UTC).date()}.",
            "",
            f"- Machine: {MACHINE}",
            f"- Versions: Python {platform.python_version()}, {versions}",
            "",
            f"{count} machines in {len({row[0] for row in ROWS})} phases, in and out, with alternatives, range,",
            "workbook and JSON. One process a core.",
            "",
            "| what | measured | target |",
            "|---|---|---|",
            f"| `haulday price`, wall clock | {done.wall_s:.1f} s | {SECONDS:.0f} s |",
            f"| the same, processor time | {done.cpu_s:.1f} s | |",
            f"| the same, peak memory | {done.peak_mb:.0f} MB | |",
            "",
            "What it said of the trips:",
            "",
            *lines,
            "",
            f"Lump sum {document['price_usd']} USD.",
            "",
        )
    )


if __name__ == "__main__":
    MACHINE = machine()
    found = price()
    if found[0].code != 0:
        raise SystemExit(f"haulday price ended with {found[0].code}:\n{found[0].out}")
    page = told(*found)
    RESULT.write_text(page, encoding="utf-8")
    print(page)
    if found[0].wall_s > SECONDS:
        raise SystemExit(f"over the target of {SECONDS:.0f} s")
