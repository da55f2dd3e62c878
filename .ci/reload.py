"""Loads a schedule workbook and the same plan as JSON; fails unless both are whole and agree."""

import sys
from pathlib import Path

from dispatch.io.plan_document import PlanDocument
from openpyxl import load_workbook

SHEETS = ["Summary", "Schedule", "Stops", "Load plan", "Weights", "Left out", "Timeline", "Map and use"]

workbook = load_workbook(sys.argv[1])
assert workbook.sheetnames[: len(SHEETS)] == SHEETS, workbook.sheetnames
assert len(workbook.sheetnames) > len(SHEETS), "no page for a driver"

plan = PlanDocument.model_validate_json(Path(sys.argv[2]).read_bytes(), strict=True)
shown = {row[0]: row[1] for row in workbook["Summary"].iter_rows(max_col=2, values_only=True) if row[0]}
summary = plan.summary
same = {
    "Trips": summary.trips,
    "Fewest trips proved": "yes" if summary.fewest_trips_proved else "no",
    "No plan has fewer trips than": summary.no_plan_has_fewer_trips_than,
    "Moves hauled": summary.moves_hauled,
    "Moves left out": summary.moves_left_out,
}
for label, value in same.items():
    assert shown[label] == value, f"{label}: {shown[label]} in the workbook, {value} in the JSON"
    print(f"{label}: {value}")
assert len(plan.trips) == summary.trips
assert len(plan.left_out) == summary.moves_left_out
