"""Times reading a workbook of 300 moves, 300 items, 60 sites and 12 rigs: ``python benchmarks/reading.py``.

The target is three seconds on two cores, imports aside; prints the best and the median of five runs.
"""

from __future__ import annotations

import random
import statistics
import sys
import tempfile
import time
from pathlib import Path

from dispatch.io import layout
from dispatch.io.layout_columns import Sheet
from dispatch.io.read_workbook import read_inputs
from dispatch.io.write_template import write_template

MOVES, SITES, RIGS, RUNS = 300, 60, 12, 5


def example(sheet: Sheet) -> dict[str, object]:
    return {column.header: column.example for column in sheet.columns if column.example}


def day(seed: int = 1) -> dict[str, list[dict[str, object]]]:
    """Rows of an invented day, every column that has an example filled in."""
    draw = random.Random(seed)
    item, site, move, rig = map(example, (layout.ITEMS, layout.SITES, layout.MOVES, layout.RIGS))
    sites = [f"Site {number}" for number in range(SITES)]
    rows: dict[str, list[dict[str, object]]] = {
        "Items": [item | {"Item": f"Item {number}"} for number in range(MOVES)],
        "Trucks": [example(layout.TRUCKS) | {"Truck": f"T-{number}"} for number in range(RIGS)],
        "Trailers": [example(layout.TRAILERS) | {"Trailer": f"G-{number}"} for number in range(RIGS)],
        "Sites": [site | {"Site": name, "Latitude": f"{draw.uniform(40, 41):.4f}"} for name in sites],
    }
    rows["Rigs"] = [
        rig | {"Rig": f"R-{n}", "Truck": f"T-{n}", "Trailer": f"G-{n}", "Driver": f"D-{n}", "Yard": "Site 0"}
        for n in range(RIGS)
    ]
    for number in range(MOVES):
        origin, destination = draw.sample(sites, 2)
        named = {"Move": str(number), "Item": f"Item {number}", "From": origin, "To": destination}
        rows.setdefault("Moves", []).append({key: value for key, value in move.items() if key != "With"} | named)
    return rows


def measure(runs: int = RUNS) -> list[float]:
    """Seconds of each of ``runs`` readings of the invented day."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "day.xlsx"
        write_template(path, day())  # type: ignore[arg-type]
        seconds = []
        for _ in range(runs):
            start = time.perf_counter()
            result = read_inputs([path])
            seconds.append(time.perf_counter() - start)
            if result.problem is None or len(result.problem.moves) != MOVES:
                sys.exit("\n".join(map(str, result.problems)))
    return seconds


def main() -> None:
    seconds = measure()
    print(f"{MOVES} moves: best {min(seconds):.2f} s, median {statistics.median(seconds):.2f} s")


if __name__ == "__main__":
    main()
