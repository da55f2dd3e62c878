"""The item-by-rig table of ``haulday check``: for the terminal, and as a workbook."""

from __future__ import annotations

import io
from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import CHECK_FORMATS, Column
from dispatch.io.sheet_styles import Shown, Value
from dispatch.io.terminal import table

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


def checks_workbook(rides: Sequence[Ride], units: OutputUnits) -> bytes:
    """The table as the bytes of an ``.xlsx`` file."""
    workbook = styles.new_workbook()
    sheet = styles.first_sheet(workbook, "Item by rig")
    heads = [(column.header(units), column.look) for column in COLUMNS]
    rows = [[column.value(ride, units) for column in COLUMNS] for ride in rides]
    styles.write_table(sheet, "ItemByRig", heads, rows)
    styles.print_landscape(sheet, titles="1:1", metric=units.metric_distance)
    buffer = io.BytesIO()
    workbook.save(buffer)
    return buffer.getvalue()


def checks_text(rides: Sequence[Ride]) -> str:
    """The table for a terminal: item, rig, verdict, tightest check and its use, or why not."""
    heads = ("item", "rig", "rides", "tightest check", "use %", "where, or why not")
    rows = [_line(ride) for ride in rides]
    return table(heads, rows, last_uncut=True)


def _line(ride: Ride) -> tuple[str, ...]:
    use = _use_pct(ride)
    name = ride.tightest.name if ride.tightest else ""
    shown = "" if use is None else f"{use:.1f}"
    return ride.item, ride.rig, "yes" if ride.ok else "no", name, shown, ride.place if ride.ok else ride.why_not
