"""The item-by-rig table of ``haulday check``: for the terminal, and as a sheet."""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import CHECK_FORMATS, Column, write_sheet
from dispatch.io.sheet_styles import Shown, Value
from dispatch.io.terminal import table
from openpyxl.workbook import Workbook

from dispatch.explain import Ride


def _figure(attribute: str, ride: Ride, units: OutputUnits) -> Value | Shown:
    check = ride.tightest
    if check is None:
        return None
    shown = units.to_check(getattr(check, attribute), check.unit)
    return Shown(shown, CHECK_FORMATS[units.of_check(check.unit)])


def _use_pct(ride: Ride) -> float | None:
    if ride.tightest is None or ride.tightest.use == float("inf"):
        return None
    return round(ride.tightest.use * 100, 2)


COLUMNS = (
    Column("Item", styles.Look("@", 24), lambda ride, _: ride.item, "what would be carried"),
    Column("Rig", styles.Look("@", 18), lambda ride, _: ride.rig, "on what"),
    Column(
        "Rides alone",
        styles.Look("@", 9, styles.TOP_CENTRE),
        lambda ride, _: "yes" if ride.ok else "no",
        "yes: some place on deck is legal; site limits and hours are left aside",
    ),
    Column(
        "Tightest check",
        styles.Look("@", 20),
        lambda ride, _: ride.tightest.name if ride.tightest else "",
        "at the best place",
    ),
    Column("Use", styles.PERCENT, lambda ride, _: _use_pct(ride), "worst case / limit of that check", "%"),
    Column("Worst case", styles.FIGURE, lambda ride, units: _figure("worst", ride, units), "its worst case"),
    Column("Limit", styles.FIGURE, lambda ride, units: _figure("limit", ride, units), "its limit"),
    Column(
        "Unit",
        styles.Look("@", 7, styles.TOP_CENTRE),
        lambda ride, units: units.of_check(ride.tightest.unit) if ride.tightest else "",
        "unit of the figures",
    ),
    Column("Best place", styles.Look("@", 30), lambda ride, _: ride.place, "where the least margin is largest"),
    Column("Why not", styles.Look("@", 60), lambda ride, _: ride.why_not, "what forbids it, in numbers"),
)


def write_ride_sheet(workbook: Workbook, rides: Sequence[Ride], units: OutputUnits) -> None:
    """Append the table."""
    write_sheet(workbook, "Item by rig", "ItemByRig", COLUMNS, rides, units)


def rides_text(rides: Sequence[Ride]) -> str:
    """The table for a terminal: item, rig, verdict, tightest check and its use, or why not."""
    heads = ("item", "rig", "rides", "tightest check", "use %", "where, or why not")
    rows = [_line(ride) for ride in rides]
    return table(heads, rows, last_uncut=True)


def _line(ride: Ride) -> tuple[str, ...]:
    use = _use_pct(ride)
    name = ride.tightest.name if ride.tightest else ""
    shown = "" if use is None else f"{use:.1f}"
    return ride.item, ride.rig, "yes" if ride.ok else "no", name, shown, ride.place if ride.ok else ride.why_not
