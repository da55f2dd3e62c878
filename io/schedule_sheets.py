"""The tables of the schedule workbook: which columns each sheet has, what they mean, where values come from."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import Status, status_of, status_of_use
from dispatch.io.output_units import OutputUnits
from dispatch.io.sheet_styles import Look, Shown, Value
from openpyxl.workbook import Workbook

from dispatch.report import Report
from dispatch.units import feet_inches


@dataclass(frozen=True, slots=True)
class Column:
    """One column: header without unit, how it looks, the value of a row, what it means (for the docs).

    ``unit`` names the property of ``OutputUnits`` that completes the header, or is the unit itself.
    """

    name: str
    look: Look
    value: Callable[[Any, OutputUnits], Value | Shown]
    meaning: str
    unit: str = ""

    def header(self, units: OutputUnits) -> str:
        """The header with its unit: ``Weight (lb)``."""
        if not self.unit:
            return self.name
        return f"{self.name} ({getattr(units, self.unit, self.unit)})"


def _time(attribute: str) -> Callable[[Any, OutputUnits], Value]:
    return lambda row, _: styles.clock_value(getattr(row, attribute))


def plain(attribute: str) -> Callable[[Any, OutputUnits], Value]:
    """A field of the row as it is."""
    return lambda row, _: getattr(row, attribute)


def weight(attribute: str) -> Callable[[Any, OutputUnits], Value]:
    """A weight of the row, pounds, in lb or kg."""
    return lambda row, units: units.to_weight(getattr(row, attribute))


def _road(attribute: str) -> Callable[[Any, OutputUnits], Value]:
    return lambda row, units: units.to_road(getattr(row, attribute))


def place(attribute: str) -> Callable[[Any, OutputUnits], Shown]:
    """A place on deck, inches, in in or m; a field that is ``None`` stays blank."""

    def show(row: Any, units: OutputUnits) -> Shown:
        inches = getattr(row, attribute)
        if inches is None:
            return Shown(None, "General")
        value = units.to_position(inches)
        return Shown(value, "0.000" if units.metric_distance else "0.##" if value % 1 else "0")

    return show


def feet_inches_text(attribute: str) -> Callable[[Any, OutputUnits], Value]:
    """A place on deck in feet and inches for people."""
    return lambda row, _: feet_inches(getattr(row, attribute))


def linked(width: float) -> Look:
    """The look of a text that leads somewhere, at least so wide in characters."""
    return replace(styles.TEXT, width=width, whole=True)


def wide(look: Look, width: float) -> Look:
    """The look with another width, characters."""
    return replace(look, width=width)


SCHEDULE = (
    Column("Trip", styles.COUNT, plain("trip"), "number of the trip: rigs in input order, then by time"),
    Column("Rig", linked(10), plain("rig"), "rig that makes the trip"),
    Column("Truck", wide(styles.TEXT, 10), plain("truck"), "its truck"),
    Column("Trailer", wide(styles.TEXT, 10), plain("trailer"), "its trailer"),
    Column("Driver", wide(styles.TEXT, 11), plain("driver"), "its driver"),
    Column("Start", styles.TIME, _time("start_min"), "arrival at the first pickup"),
    Column("End", styles.TIME, _time("end_min"), "the last item is off"),
    Column("Items (load order)", wide(styles.LONG_TEXT, 26), plain("items"), "what is carried, first on first"),
    Column("From", wide(styles.TEXT, 11), plain("origin"), "site of the first pickup"),
    Column("To", wide(styles.TEXT, 11), plain("destination"), "site of the last drop"),
    Column("Loaded", styles.ROAD, _road("loaded_tenths"), "road with something on deck", "road"),
    Column(
        "Empty before",
        styles.ROAD,
        _road("empty_before_tenths"),
        "empty road from the yard or from the end of the trip before it; the way home is in the Summary only",
        "road",
    ),
    Column(
        "Heaviest gross",
        styles.WEIGHT,
        weight("heaviest_gross_lb"),
        "greatest gross of the combination on any leg, for the stated (nominal) weights",
        "weight",
    ),
    Column(
        "Tightest check",
        linked(14),
        plain("tightest"),
        "check on weights or shares with the greatest use on any leg of the trip",
    ),
    Column(
        "Use",
        styles.PERCENT,
        lambda row, _: Shown(
            round(row.use * 100, 2), styles.PERCENT.number_format, _tight(status_of_use(row.use))
        ),
        "use of the tightest check in the worst case",
        "%",
    ),
    Column(
        "Cost",
        styles.MONEY,
        lambda row, _: row.cost_cents / 100,
        "the trip's hours and miles from the end of the trip before it (or the yard) to its own end, cost "
        "per trip and permits; the way home and overtime are in the Summary only",
        "USD",
    ),
    Column("Permit", wide(styles.TEXT, 18), plain("permit"), "permits entered on the moves, with travel hours"),
)

STOPS = (
    Column("Trip", styles.COUNT, plain("trip"), "number of the trip"),
    Column("Stop", styles.COUNT, plain("stop"), "number of the stop within the trip"),
    Column("Rig", linked(14), plain("rig"), "rig that makes the trip"),
    Column("Arrive", styles.TIME, _time("arrive_min"), "the rig is at the gate; waiting may follow"),
    Column("Leave", styles.TIME, _time("leave_min"), "the rig leaves; waiting may lie before"),
    Column("Site", wide(styles.TEXT, 18), plain("site"), "where"),
    Column("Action", wide(styles.TEXT, 9), lambda row, _: row.action.value, "load or unload"),
    Column(
        "Move",
        wide(styles.TEXT, 12),
        plain("move"),
        "the move; for a companion the move that it rides along with",
    ),
    Column("Item", wide(styles.TEXT, 20), plain("item"), "what comes on or off"),
    Column(
        "On deck after",
        wide(styles.LONG_TEXT, 40),
        plain("on_deck"),
        "what stands on deck afterwards, in load order",
    ),
)

LOAD_PLAN = (
    Column("Trip", styles.COUNT, plain("trip"), "number of the trip"),
    Column(
        "Move",
        wide(styles.TEXT, 9),
        plain("move"),
        "the move; for a companion the move that it rides along with",
    ),
    Column("Item", wide(styles.TEXT, 17), plain("item"), "what stands there"),
    Column("Order", styles.COUNT, plain("order"), "1 is loaded first"),
    Column(
        "Front edge behind coupler",
        wide(styles.FIGURE, 12),
        place("behind_coupler_in"),
        "edge nearest the truck, behind the coupler (negative: ahead of it)",
        "position",
    ),
    Column(
        "Front edge behind deck front",
        wide(styles.FIGURE, 12),
        place("behind_deck_front_in"),
        "edge nearest the truck, behind the front of the item's own deck: whole inches",
        "position",
    ),
    Column(
        "Front edge behind coupler (ft in)",
        wide(styles.TEXT, 12),
        feet_inches_text("behind_coupler_in"),
        "the same in feet and inches",
    ),
    Column(
        "Front edge behind deck front (ft in)",
        wide(styles.TEXT, 12),
        feet_inches_text("behind_deck_front_in"),
        "the same in feet and inches",
    ),
    Column("Facing", wide(styles.TEXT, 9), lambda row, _: row.facing.value, "forward: nose to the truck"),
    Column("Deck", wide(styles.TEXT, 7), lambda row, _: row.deck.value, "main or neck"),
    Column("Weight", styles.WEIGHT, weight("weight_lb"), "stated weight", "weight"),
    Column(
        "Weight high", styles.WEIGHT, weight("weight_high_lb"), "greatest true weight within tolerance", "weight"
    ),
    Column("Tie-downs", wide(styles.COUNT, 7), plain("tie_downs"), "chains and straps that hold the item"),
    Column(
        "Least WLL",
        styles.WEIGHT,
        weight("least_wll_lb"),
        "aggregate working load limit that the item needs: half its greatest true weight",
        "weight",
    ),
    Column("Weight basis", wide(styles.TEXT, 11), plain("basis"), "where the weight comes from"),
    Column("Chains", wide(styles.COUNT, 7), plain("chains"), "of these chains"),
    Column("Straps", wide(styles.COUNT, 7), plain("straps"), "of these straps"),
    Column(
        "Least WLL each",
        styles.WEIGHT,
        weight("each_wll_lb"),
        "rating of every one of these tie-downs that gives the aggregate",
        "weight",
    ),
    Column("Rig", linked(10), plain("rig"), "rig that makes the trip"),
)

CHECK_FORMATS = {"lb": "#,##0", "kg": "#,##0", "%": "0.0", "ft": "0.00", "m": "0.000", "count": "0"}


def figure(attribute: str) -> Callable[[Any, OutputUnits], Shown]:
    """A figure of the row's check in the check's unit."""

    def show(row: Any, units: OutputUnits) -> Shown:
        unit = row.check.unit
        return Shown(units.to_check(getattr(row.check, attribute), unit), CHECK_FORMATS[units.of_check(unit)])

    return show


def use_pct(row: Any, _: OutputUnits) -> Shown:
    """The use of the row's check, per cent, marked unless plainly met; blank for a broken limit of 0."""
    use = None if row.check.use == float("inf") else round(row.check.use * 100, 2)
    return Shown(use, styles.PERCENT.number_format, _tight(status_of(row.check)))


def yes_or_no(row: Any, _: OutputUnits) -> Shown:
    """Whether the row's check is met, with the shape of its status."""
    return Shown("yes" if row.check.ok else "no", "@", status_of(row.check))


def _tight(status: Status) -> Status | None:
    return None if status is Status.MET else status


WEIGHTS = (
    Column("Trip", styles.COUNT, plain("trip"), "number of the trip"),
    Column(
        "Leg",
        styles.COUNT,
        lambda row, _: row.leg or "all",
        "number of the leg within the trip; `all` for a check made once a trip",
    ),
    Column("From", wide(styles.TEXT, 19), plain("origin"), "where the leg begins"),
    Column("To", wide(styles.TEXT, 19), plain("destination"), "where the leg ends"),
    Column("Check", wide(styles.TEXT, 23), lambda row, _: row.check.name, "name of the check"),
    Column("Value", styles.FIGURE, figure("value"), "for the stated (nominal) weights"),
    Column("Worst case", styles.FIGURE, figure("worst"), "over every true weight within tolerance"),
    Column("Limit", styles.FIGURE, figure("limit"), "what it may not exceed, or not fall below"),
    Column(
        "Unit",
        replace(styles.TEXT, width=7, alignment=styles.TOP_CENTRE),
        lambda row, units: units.of_check(row.check.unit),
        "unit of the figures",
    ),
    Column("Margin", styles.FIGURE, figure("margin"), "from the worst case to the limit; negative when broken"),
    Column("Use", wide(styles.PERCENT, 11), use_pct, "worst case / limit (lower limit: limit / worst case)", "%"),
    Column(
        "OK",
        replace(styles.TEXT, width=8, alignment=styles.TOP_CENTRE),
        yes_or_no,
        "yes or no; over a limit of law under the move's permit is yes, and the basis says so",
    ),
    Column(
        "Basis of limit",
        wide(styles.LONG_TEXT, 66),
        lambda row, _: row.check.basis,
        "sheet and column, or regulation",
    ),
)


@dataclass(frozen=True, slots=True)
class LeftOutRow:
    """One move left out and what one rig says to it."""

    move: str
    item: str
    rig: str
    reason: str
    change: str


LEFT_OUT = (
    Column("Move", wide(styles.TEXT, 14), plain("move"), "the move left out"),
    Column("Item", wide(styles.TEXT, 20), plain("item"), "its item"),
    Column("Rig", wide(styles.TEXT, 16), plain("rig"), "rig that the reason is about"),
    Column("Reason", wide(styles.LONG_TEXT, 70), plain("reason"), "why this rig does not carry it, in numbers"),
    Column(
        "What would change it", wide(styles.LONG_TEXT, 50), plain("change"), "the least change that would help"
    ),
)


def left_out_rows(report: Report) -> Iterable[LeftOutRow]:
    """One row a move left out and rig; the change is repeated on each so that any filter keeps it."""
    for left in report.left_out:
        for reason in left.reasons:
            yield LeftOutRow(left.move, left.item, reason.rig, reason.text, left.change)
        if not left.reasons:
            yield LeftOutRow(left.move, left.item, "", "", left.change)


TABLES: tuple[tuple[str, str, Sequence[Column], Callable[[Report], Iterable[object]]], ...] = (
    ("Schedule", "Schedule", SCHEDULE, lambda report: report.schedule),
    ("Stops", "Stops", STOPS, lambda report: report.stops),
    ("Load plan", "LoadPlan", LOAD_PLAN, lambda report: report.load_plan),
    ("Weights", "Weights", WEIGHTS, lambda report: report.weights),
    ("Left out", "LeftOut", LEFT_OUT, left_out_rows),
)
"""Sheet name, table name, columns and rows, in the order of the workbook."""


def write_tables(workbook: Workbook, report: Report, units: OutputUnits) -> None:
    """Append every table's sheet to the workbook; the weights of a trip print on one page where one holds them."""
    for title, name, columns, rows in TABLES:
        write_sheet(workbook, title, name, columns, rows(report), units, dense=title == "Weights")
    trips = [row.trip for row in report.weights]
    starts = [2 + i for i, trip in enumerate(trips) if i == 0 or trips[i - 1] != trip]
    styles.keep_groups_together(workbook["Weights"], starts, len(trips) + 1, metric=units.metric_distance)


def write_sheet(
    workbook: Workbook,
    title: str,
    name: str,
    columns: Sequence[Column],
    rows: Iterable[object],
    units: OutputUnits,
    *,
    dense: bool = False,
) -> None:
    """Append one sheet with one table, ``name`` in the workbook."""
    heads = [(column.header(units), column.look) for column in columns]
    values = [[column.value(row, units) for column in columns] for row in rows]
    styles.write_table(workbook.create_sheet(title), name, heads, values, dense=dense)
    styles.print_landscape(workbook[title], titles="1:1", metric=units.metric_distance)
