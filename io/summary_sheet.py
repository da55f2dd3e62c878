"""The Summary sheet: the day in figures, what is proved, warnings, cautions, what the plan was made from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import TIGHT_USE, Status, status_of
from dispatch.io.output_units import OutputUnits
from dispatch.io.sheet_styles import Shown, Value
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.plan import Level, Outing
from dispatch.report import GENERAL_CAUTIONS, Report, WeightRow
from dispatch.units import MIN_PER_H, TENTHS_PER_MI, clock


@dataclass(frozen=True, slots=True)
class Used:
    """What a plan was made from: input files (name, digest), settings that differ (name, value), warnings."""

    sources: tuple[tuple[str, str], ...] = ()
    changed_settings: tuple[tuple[str, str], ...] = ()
    warnings: tuple[str, ...] = ()
    version: str = ""


WIDTHS = (30, 24, 92)
"""Widths of columns A to C in characters."""
BETWEEN_POINTS = 8.0
"""Height of the empty row after a section."""
Line = tuple[str, Value | Shown, str]
"""Label, value and a remark, in columns A to C."""


def write_summary(sheet: Worksheet, report: Report, used: Used, units: OutputUnits) -> None:
    """Fill the sheet: label in column A, value beside it in B, unit or remark in C."""
    for column, width in zip("ABC", WIDTHS, strict=True):
        sheet.column_dimensions[column].width = width
    day = report.problem.settings.day
    styles.put(sheet.cell(1, 1), f"Plan of the day {day}".strip(), font=styles.TITLE)
    styles.put(sheet.cell(2, 1), answer(report), font=styles.SECTION)
    row = 4
    for title, lines in sections(report, used, units):
        row = write_section(sheet, row, title, lines)
    sheet.freeze_panes = "A2"
    styles.print_landscape(sheet, metric=units.metric_distance)


def answer(report: Report) -> str:
    """The day in one line: trips and what is proved of them, what is hauled, what stays behind."""
    summary = report.summary
    trips = f"{summary.trips} trip{'' if summary.trips == 1 else 's'}"
    claim = f"no plan has fewer than {summary.trips_bound}" if summary.trips_bound else "fewest not proved"
    if summary.fewest_trips_proved:
        claim = "the fewest, proved"
    behind = ", ".join(f"{left.move} ({left.item})" for left in report.left_out)
    hauled = f"{summary.moves_hauled} of {summary.moves_hauled + summary.moves_left_out} moves hauled"
    return f"{trips}: {claim}. {hauled}{f'. LEFT OUT: {behind}' if behind else ', none left out'}."


def sections(report: Report, used: Used, units: OutputUnits) -> Iterable[tuple[str, Sequence[Line]]]:
    """Every section of the sheet: its title and its lines."""
    summary = report.summary
    yield "Result", list(result_lines(report, units))
    if report.left_out:
        yield "Left out", [(left.move, left.item, _change(left.change)) for left in report.left_out]
    yield "First departures", list(departure_lines(report))
    yield "Warnings", _texts("Warning", used.warnings)
    yield "Cautions of the day", _texts("Caution", summary.cautions)
    yield "Notes", _texts("Note", summary.notes)
    yield "Goals, in this order", [_goal_line(level) for level in summary.levels]
    yield "Before anybody drives", [("Caution", "", text) for text in GENERAL_CAUTIONS]
    yield "Made from", list(_used_lines(report, used))


def _texts(label: str, texts: Sequence[str]) -> Sequence[Line]:
    return [(label, number, text) for number, text in enumerate(texts, start=1)] or [("", "none", "")]


def _change(text: str) -> str:
    return f"would change it: {text}" if text else "why not: see the sheet Left out"


def departure_lines(report: Report) -> Iterable[Line]:
    """One line a rig: when it leaves first, with whom, where to, when it is back and must be."""
    outings = {day.rig: day.outings for day in report.plan.rig_days if day.outings}
    for rig in report.problem.rigs:
        if rig.name in outings:
            words = _departure(outings[rig.name], rig.driver, rig.yard, rig.shift_end_min)
            yield rig.name, Shown(styles.clock_value(outings[rig.name][0].leave_min), "hh:mm"), words
        else:
            yield rig.name, "not used", "stays in the yard"


def _departure(outings: Sequence[Outing], driver: str, yard: str, must_be_back_min: int) -> str:
    trips = [trip for outing in outings for trip in outing.trips]
    first, back = trips[0].stops[0], outings[-1].return_min
    count = f"{len(trips)} trip{'' if len(trips) == 1 else 's'}"
    road = f"from {yard}, first pickup {first.site} {clock(first.arrive_min)}"
    return (
        f"{driver or 'no driver named'}, {count}, {road}; back {clock(back)}, must be by {clock(must_be_back_min)}"
    )


def result_lines(report: Report, units: OutputUnits) -> Iterable[Line]:
    """The day in figures; the labels are fixed."""
    summary, totals = report.summary, report.summary.totals
    yield "Trips", summary.trips, ""
    proved = summary.fewest_trips_proved
    words = Shown("yes" if proved else "no", "@", Status.MET if proved else Status.TIGHT)
    yield "Fewest trips proved", words, _trips_remark(report)
    yield "No plan has fewer trips than", summary.trips_bound, "among plans that leave out no more"
    yield "Moves hauled", summary.moves_hauled, ""
    left = Shown(summary.moves_left_out, "0", Status.BROKEN if summary.moves_left_out else Status.MET)
    yield "Moves left out", left, "see below and the sheet Left out" if summary.moves_left_out else ""
    if summary.tightest is not None:
        check = summary.tightest.check
        yield "Tightest check", Shown(check.name, "@", status_of(check)), tightest_text(summary.tightest, units)
    yield "Checks made", len(report.weights), _checks_remark(report)
    yield "Miles loaded", totals.loaded_tenths / TENTHS_PER_MI, "mi"
    yield "Miles empty", totals.empty_tenths / TENTHS_PER_MI, "mi, ways from and to the yard included"
    if units.metric_distance:
        yield "Kilometres loaded", units.to_road(totals.loaded_tenths), "km"
        yield "Kilometres empty", units.to_road(totals.empty_tenths), "km"
    hours = Shown(round(totals.paid_min / MIN_PER_H, 2), "#,##0.00")
    yield "Paid hours", hours, "h, each outing from leaving the yard to returning"
    yield "Cost", Shown(totals.cost_cents / 100, "#,##0.00"), "USD"
    estimated = "pairs of sites driven have a distance from coordinates"
    yield "Estimated distances", summary.estimated_pairs, f"of {summary.driven_pairs} {estimated}"
    yield "Rigs not used", ", ".join(summary.idle_rigs) or "none", ""


def _checks_remark(report: Report) -> str:
    """How the checks of the day stand: ``all met, 12 of them tight (95 % of the limit or more), 3 by permit``."""
    found = [status_of(row.check) for row in report.weights]
    broken, tight, permit = (found.count(one) for one in (Status.BROKEN, Status.TIGHT, Status.PERMIT))
    words = f"{broken} NOT MET" if broken else "all met"
    return f"{words}; {tight} tight ({TIGHT_USE:.0%} of the limit or more), {permit} by permit"


def _trips_remark(report: Report) -> str:
    summary = report.summary
    if summary.fewest_trips_proved:
        return f"no plan that leaves out no more has fewer than {summary.trips_bound} trips"
    if not summary.trips_bound:
        return f"{summary.trips} trips found; whether fewer would do is not known"
    return f"{summary.trips} trips found, no plan with fewer than {summary.trips_bound} exists"


def tightest_text(row: WeightRow, units: OutputUnits) -> str:
    """Where the tightest check of the day lies: ``97.3 % of its limit on trip 3, leg 1``."""
    check = row.check
    where = f"trip {row.trip}, leg {row.leg}" if row.leg else f"trip {row.trip}"
    unit = units.of_check(check.unit)
    places = 0 if check.unit in {"lb", "count"} else 2
    worst, limit = (f"{units.to_check(value, check.unit):,.{places}f}" for value in (check.worst, check.limit))
    return f"{check.use:.1%} used on {where}: worst case {worst} {unit}, limit {limit} {unit}"


def _goal_line(level: Level) -> Line:
    value, bound = level_text(level, level.value), level_text(level, level.bound)
    proved = "proved: no plan is better" if level.proved else f"not proved: no plan is below {bound}"
    return level_label(level), value, proved


def level_label(level: Level) -> str:
    """What a goal minimises, for people."""
    return goal_label(level.name)


def goal_label(name: str) -> str:
    """What the goal of this name minimises, for people; other phases of the search are their own names."""
    labels = {"left out": "Left out (priorities)", "trips": "Number of trips", "cost": "Cost of the day (USD)"}
    return labels.get(name, name)


def level_text(level: Level, value: float) -> str:
    """A goal's value for people: cents as dollars, counts and priorities as they are."""
    return f"{value / 100:,.2f}" if level.name == "cost" else f"{value:g}"


def _used_lines(report: Report, used: Used) -> Iterable[Line]:
    for name, digest in used.sources:
        yield "Input", name, f"SHA-256 {digest}"
    yield "haulday version", used.version, ""
    rules = report.problem.rules
    yield "Limits of law", rules.name, rules.title
    yield "Search", report.summary.outcome, ""
    for name, value in used.changed_settings:
        yield "Setting", name, value
    if not used.changed_settings:
        yield "Settings", "all default", ""


def write_section(sheet: Worksheet, first: int, title: str, lines: Sequence[Line]) -> int:
    """Write a section from row ``first`` on; gives the row where the next one starts."""
    for column in (1, 2, 3):
        sheet.cell(first, column).fill = styles.SECTION_FILL
        sheet.cell(first, column).border = styles.LINE_BELOW
    styles.put(sheet.cell(first, 1), title, font=styles.SECTION)
    for row, (label, value, remark) in enumerate(lines, start=first + 1):
        styles.put(sheet.cell(row, 1), label, font=styles.BOLD, alignment=styles.WRAP)
        _value_cell(sheet, row, value)
        styles.put(sheet.cell(row, 3), remark, alignment=styles.WRAP)
        shown = value.value if isinstance(value, Shown) else value
        texts = ((str(shown), WIDTHS[1]), (remark, WIDTHS[2]))
        sheet.row_dimensions[row].height = max(styles.row_height(text, width) for text, width in texts)
    sheet.row_dimensions[first + len(lines) + 1].height = BETWEEN_POINTS
    return first + len(lines) + 2


def _value_cell(sheet: Worksheet, row: int, shown: Value | Shown) -> None:
    value = shown.value if isinstance(shown, Shown) else shown
    cell = styles.put(sheet.cell(row, 2), value, alignment=styles.WRAP_LEFT)
    if isinstance(shown, Shown):
        cell.number_format = shown.number_format
        if shown.status is not None:
            styles.mark_status(cell, shown.status)
    elif isinstance(value, float):
        cell.number_format = "#,##0.0"
    elif isinstance(value, int):
        cell.number_format = "#,##0"
