"""What scale tickets tell, as sheets of a workbook and as text for a terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from dispatch.io import sheet_styles as styles
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import CHECK_FORMATS, Column, weight, wide, write_sheet
from dispatch.io.sheet_styles import Look, Shown, Value
from dispatch.io.terminal import table
from openpyxl.workbook import Workbook

from dispatch.weighing_results import Comparison, Contradiction, Estimate, NewFigure, Weighing


def _text(name: str, width: float, attribute: str, meaning: str) -> Column:
    return Column(name, Look("@", width), lambda row, _: str(getattr(row, attribute)), meaning)


def _load(name: str, attribute: str, meaning: str) -> Column:
    return Column(name, wide(styles.WEIGHT, 11), weight(attribute), meaning, "weight")


def _figure(name: str, attribute: str, meaning: str) -> Column:
    """A weight or a length, in the unit that the row's column Unit names; blank where there is none."""

    def show(row: Any, units: OutputUnits) -> Value | Shown:
        value = getattr(row, attribute)
        unit = units.of_check(row.unit)
        return None if value is None else Shown(units.to_check(value, row.unit), CHECK_FORMATS[unit])

    return Column(name, styles.FIGURE, show, meaning)


def _verdict(row: Comparison, units: OutputUnits) -> str:
    if row.ok:
        return "within tolerance"
    return f"outside by {units.weight_text(abs(row.outside_lb))}"


def _against_sheet(row: Estimate) -> str:
    return "" if row.agrees is None else "agrees" if row.agrees else "differs"


_UNIT = Column(
    "Unit", Look("@", 7, styles.TOP_CENTRE), lambda row, units: units.of_check(row.unit), "of the figures"
)

TICKETS = (
    _text("Ticket", 10, "ticket", "name of the ticket"),
    _text("Date", 11, "day", "day of the weighing"),
    _text("Rig", 14, "rig", "rig that was weighed"),
    _text("State", 15, "state", "truck alone, empty (hitched) or loaded"),
    _text("Axles", 9, "axles", "front, rear (truck) or trailer axles"),
    _load("Predicted", "predicted_lb", "what the sheets' stated weights give"),
    _load("Predicted least", "low_lb", "least within the tolerances of weights and tape"),
    _load("Predicted most", "high_lb", "most within the tolerances of weights and tape"),
    _load("Weighed", "weighed_lb", "what the ticket says"),
    _load("Scale tolerance", "tolerance_lb", "how far the reading may be off, either way"),
    _load("Difference", "difference_lb", "weighed less predicted"),
    Column(
        "Verdict",
        Look("@", 24),
        _verdict,
        "outside: even with the scale's tolerance the reading misses the predicted range, by so much",
    ),
)

ESTIMATES = (
    _text("Of", 12, "subject", "the sheet that holds the figure; Items together: a sum that the tickets do fix"),
    _text("Name", 18, "name", "the row"),
    _text("Figure", 18, "figure", "the column"),
    _figure("From tickets", "value", "best estimate; blank where the tickets do not fix it"),
    _figure("Plus or minus", "half_width", "half of the 95 % interval, coverage factor 2"),
    _figure("Sheet says", "stated", "what the sheet says now"),
    _UNIT,
    Column("Against the sheet", Look("@", 10), lambda row, _: _against_sheet(row), "whether the two ranges meet"),
    Column("Tickets", Look("@", 24), lambda row, _: ", ".join(row.tickets), "tickets that it rests on"),
    _text("Remark", 50, "remark", "why there is no figure, or why it is not offered"),
)

NEW_ROWS = (
    _text("Sheet", 10, "subject", "sheet to change"),
    _text("Name", 18, "name", "row to change"),
    _text("Column", 18, "column", "column to change"),
    _figure("Now", "now", "what it says now"),
    _figure("New", "value", "what the tickets offer, rounded"),
    _figure("Plus or minus", "half_width", "half of the 95 % interval, coverage factor 2"),
    _UNIT,
    Column("Weight basis", Look("@", 13), lambda row, _: _basis(row), "basis whose tolerance covers it"),
    _text("Remark", 50, "remark", "what to do where no scale ticket's tolerance covers the uncertainty"),
)

CONTRADICTIONS = (
    Column("Tickets", Look("@", 24), lambda row, _: ", ".join(row.tickets), "tickets that cannot all be true"),
    _text("About", 32, "about", "what they contradict each other on"),
    _figure("Apart", "apart", "by how much more than the tolerances allow; chi-square: how far the worst is off"),
    _UNIT,
    _text("Test", 18, "test", "pair within tolerances, or chi-square over a group"),
    _text("What they say", 60, "text", "in numbers, pounds and inches"),
)

TABLES: tuple[tuple[str, str, Sequence[Column], Callable[[Weighing], Iterable[object]]], ...] = (
    ("Tickets", "Tickets", TICKETS, lambda weighing: weighing.comparisons),
    ("Weights from tickets", "WeightsFromTickets", ESTIMATES, lambda weighing: weighing.estimates),
    ("New rows", "NewRows", NEW_ROWS, lambda weighing: weighing.new_figures),
    ("Contradictions", "Contradictions", CONTRADICTIONS, lambda weighing: weighing.contradictions),
)
"""Sheet name, table name, columns and rows, in the order of the workbook."""


def _basis(row: NewFigure) -> str:
    return row.basis.value if row.basis else ""


def ticket_sheets(workbook: Workbook, weighing: Weighing, units: OutputUnits) -> None:
    """Append the sheets Tickets, Weights from tickets, New rows and Contradictions; none without tickets."""
    if not weighing.comparisons:
        return
    for title, name, columns, rows in TABLES:
        write_sheet(workbook, title, name, columns, rows(weighing), units)


def tickets_text(weighing: Weighing, units: OutputUnits) -> str:
    """The same for a terminal: readings that are outside, estimates, contradictions; nothing without tickets."""
    if not weighing.comparisons:
        return ""
    return "\n".join([*_comparison_lines(weighing.comparisons, units), *_estimate_lines(weighing, units)])


def _comparison_lines(rows: Sequence[Comparison], units: OutputUnits) -> Iterator[str]:
    outside = [row for row in rows if not row.ok]
    tickets = len({row.ticket for row in rows})
    yield f"Scale tickets: {tickets}; {len(rows) - len(outside)} of {len(rows)} readings within tolerance."
    for row in outside:
        says = f"{units.weight_text(row.weighed_lb)} weighed, {units.weight_text(row.predicted_lb)} predicted"
        yield f"  {row.ticket}, {row.axles.lower()}: {says}, {_verdict(row, units)}"


def _estimate_lines(weighing: Weighing, units: OutputUnits) -> Iterator[str]:
    heads = ("from tickets", "figure", "value", "+- 95 %", "sheet", "", "remark")
    offered = {(row.subject, row.name, row.column): row for row in weighing.new_figures}
    rows = [
        (
            one.name,
            one.figure,
            *(_shown(value, one.unit, units) for value in (one.value, one.half_width, one.stated)),
            _against_sheet(one),
            _remark(one, offered.get((one.subject, one.name, one.figure))),
        )
        for one in weighing.estimates
    ]
    yield table(heads, rows, last_uncut=True)
    for contradiction in weighing.contradictions:
        yield _contradiction_line(contradiction)


def _shown(value: float | None, unit: str, units: OutputUnits) -> str:
    if value is None:
        return "-"
    if unit == "lb":
        return units.weight_text(value)
    return f"{units.to_position(value):.{3 if units.metric_distance else 1}f} {units.position}"


def _remark(one: Estimate, offer: NewFigure | None) -> str:
    if one.remark or offer is None:
        return one.remark
    basis = f", basis {offer.basis.value}" if offer.basis else ""
    return f"new row{basis}" + (f"; {offer.remark}" if offer.remark else "")


def _contradiction_line(one: Contradiction) -> str:
    return f"CONTRADICTION {', '.join(one.tickets)} on {one.about}: {one.text}"
