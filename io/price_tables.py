"""The tables of a price: lines, trips, own against outside, assumptions, alternatives."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import Status
from dispatch.io.output_units import OutputUnits
from dispatch.io.price_sheet import cents_cell
from dispatch.io.schedule_sheets import Column, wide, write_sheet
from dispatch.io.sheet_styles import Shown, Value
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.mobilisation.alternatives import Alternative
from dispatch.mobilisation.bid_report import BidReport
from dispatch.mobilisation.job_price import BidTrip, Haulier
from dispatch.money.amounts import usd_text
from dispatch.money.lines import Amounts, ItemLine, Way
from dispatch.money.outside_haul import NoOutsidePrice, OutsidePrice

Cell = Value | Shown
SUMS = (
    ("In", "in_cents", "share of the hauls to the job"),
    ("Out", "out_cents", "share of the hauls from the job"),
    ("Load", "load_cents", "share of loading and unloading"),
    ("Permit", "permit_cents", "share of the permits"),
    ("Escort", "escort_cents", "share of the escorts"),
    ("Standby", "standby_cents", "standby days on the job"),
    ("Overhead", "overhead_cents", "share of the overhead, by direct cost"),
    ("Contingency", "contingency_cents", "share of the contingency, by direct cost"),
    ("Profit", "profit_cents", "share of the profit, by direct cost"),
    ("Minimum", "minimum_cents", "share of what the minimum per bid adds"),
    ("Rounding", "rounding_cents", "share of what rounding the lump sum adds or takes"),
    ("Total", "total_cents", "the line's price; the lines add up to the lump sum to the cent"),
)
"""Amounts of a line: header, field and meaning."""
MONEY, SUM = wide(styles.MONEY, 10.5), wide(styles.MONEY, 13)


@dataclass(frozen=True, slots=True)
class _LineRow:
    """A line of the price with the ways of its machine that have no price."""

    line: ItemLine
    ways: tuple[Way, ...]


def _amount(field: str) -> Callable[[Any, OutputUnits], Cell]:
    return lambda row, _: cents_cell(getattr(row.line.amounts, field))


def _machine(row: _LineRow, _: OutputUnits) -> Cell:
    name = row.line.item.name
    return Shown(f"{name}: NOT PRICED {', '.join(row.ways)}", "@", Status.BROKEN) if row.ways else name


LINES = (
    Column("Item", wide(styles.TEXT, 26), _machine, "machine, or kind not chosen yet"),
    Column("Phase", wide(styles.TEXT, 11), lambda row, _: row.line.item.phase, "phase that it moves in"),
    *(Column(name, SUM, _amount(field), meaning, "USD") for name, field, meaning in SUMS),
)


def _rig(trip: BidTrip, _: OutputUnits) -> Cell:
    if trip.haulier is Haulier.OWN and trip.facts is not None:
        return trip.facts.rig.name
    return trip.haulier.value


def _day(trip: BidTrip, _: OutputUnits) -> Cell:
    return trip.facts.day if trip.haulier is Haulier.OWN and trip.facts is not None else None


def _own(show: Callable[[Any], int]) -> Callable[[Any, OutputUnits], Cell]:
    """Cents of a trip that the own rigs make; blank for others."""
    return lambda trip, _: cents_cell(show(trip.own)) if trip.haulier is Haulier.OWN else None


def _price(trip: BidTrip, _: OutputUnits) -> Cell:
    if trip.haulier is Haulier.NOBODY:
        return Shown("no price", "@", Status.BROKEN)
    return cents_cell(trip.cents)


def _hours(minutes: int) -> Shown:
    return Shown(round(minutes / 60, 2), "0.00")


HOURS = replace(styles.ROAD, width=8)
TRIPS = (
    Column("Trip", styles.COUNT, lambda trip, _: trip.number, "number of the trip"),
    Column("Phase", wide(styles.TEXT, 11), lambda trip, _: trip.phase, "phase"),
    Column("Way", wide(styles.TEXT, 6), lambda trip, _: trip.direction.value, "in: to the job; out: from it"),
    Column("Day", styles.COUNT, _day, "day of the phase, from 1"),
    Column("Rig", wide(styles.TEXT, 15), _rig, "own rig, or outside"),
    Column(
        "Items (load order)", wide(styles.LONG_TEXT, 26), lambda trip, _: ", ".join(trip.machines), "what rides"
    ),
    Column("From", wide(styles.TEXT, 12), lambda trip, _: trip.origin, "first pickup"),
    Column("To", wide(styles.TEXT, 12), lambda trip, _: trip.destination, "last drop"),
    Column("Loaded", styles.ROAD, lambda trip, units: units.to_road(trip.loaded_tenths), "loaded road", "road"),
    Column(
        "Empty",
        styles.ROAD,
        lambda trip, units: units.to_road(trip.facts.empty_tenths) if trip.haulier is Haulier.OWN else None,
        "its share of the outing's empty road, ways from and to the yard included",
        "road",
    ),
    Column(
        "Road time",
        HOURS,
        lambda trip, _: _hours(trip.facts.paid_min - trip.facts.work_min) if trip.haulier is Haulier.OWN else None,
        "hours on the road and waiting",
        "h",
    ),
    Column(
        "Work time",
        HOURS,
        lambda trip, _: _hours(trip.facts.work_min) if trip.haulier is Haulier.OWN else None,
        "hours loading and unloading",
        "h",
    ),
    Column(
        "Haul", MONEY, _own(lambda own: own.cost.haul_cents), "hours, miles, waiting, what a minimum adds", "USD"
    ),
    Column("Load", MONEY, _own(lambda own: own.cost.load_cents), "loading and unloading", "USD"),
    Column("Permit", MONEY, _own(lambda own: own.permit_cents), "permits", "USD"),
    Column("Escort", MONEY, _own(lambda own: own.escort_cents), "escorts", "USD"),
    Column("Price", MONEY, _price, "cost of the trip before mark-ups", "USD"),
    Column(
        "Worked out",
        wide(styles.LONG_TEXT, 40),
        lambda trip, _: workings(trip),
        "permits, escorts, minimum, offer",
    ),
)


def workings(trip: BidTrip) -> str:
    """How a trip's price comes about, where that is more than hours and miles."""
    if trip.haulier is not Haulier.OWN or trip.own is None:
        return trip.reason if trip.haulier is Haulier.NOBODY else _offer_text(trip)
    words = list(trip.own.workings)
    if trip.own.cost.minimum_added_cents:
        words.append(f"{usd_text(trip.own.cost.minimum_added_cents)} of it tops up to the minimum per trip")
    return "; ".join((*words, *trip.own.cautions))


def _offer_text(trip: BidTrip) -> str:
    return trip.offer.working if isinstance(trip.offer, OutsidePrice) else trip.offer.reason


def _own_cents(trip: BidTrip, _: OutputUnits) -> Cell:
    if trip.own is None:
        return "no own rig"
    return "not priced" if trip.own.faults else cents_cell(trip.own.cents)


def _outside_cents(trip: BidTrip, _: OutputUnits) -> Cell:
    return cents_cell(trip.offer.cents) if isinstance(trip.offer, OutsidePrice) else "no price"


def _difference(trip: BidTrip, _: OutputUnits) -> Cell:
    if trip.own is None or trip.own.faults or isinstance(trip.offer, NoOutsidePrice):
        return None
    return cents_cell(trip.offer.cents - trip.own.cents)


def _choice(trip: BidTrip, _: OutputUnits) -> Cell:
    return Shown(trip.haulier.value, "@", Status.BROKEN if trip.haulier is Haulier.NOBODY else None)


COMPARED = (
    Column("Trip", styles.COUNT, lambda trip, _: trip.number, "number of the trip"),
    Column("Phase", wide(styles.TEXT, 12), lambda trip, _: trip.phase, "phase"),
    Column("Way", wide(styles.TEXT, 7), lambda trip, _: trip.direction.value, "in or out"),
    Column("Items", wide(styles.LONG_TEXT, 30), lambda trip, _: ", ".join(trip.machines), "what rides"),
    Column(
        "Load high",
        styles.WEIGHT,
        lambda trip, units: units.to_weight(sum(one.weight_high_lb for one in trip.carried)),
        "everything on deck at its heaviest: what the outside haulier's table is asked for",
        "weight",
    ),
    Column("Loaded", styles.ROAD, lambda trip, units: units.to_road(trip.loaded_tenths), "loaded road", "road"),
    Column("Own", MONEY, _own_cents, "with the own rig, permits and escorts included", "USD"),
    Column("Outside", MONEY, _outside_cents, "what the haulier asks, permits and escorts in it", "USD"),
    Column("Outside less own", MONEY, _difference, "negative: outside is cheaper", "USD"),
    Column("Hauled by", wide(styles.TEXT, 11), _choice, "own where both cost the same"),
    Column("Why", wide(styles.LONG_TEXT, 56), lambda trip, _: trip.reason, "why this haulier"),
)

ASSUMPTIONS = (
    Column("About", wide(styles.TEXT, 13), lambda row, _: row.about, "rate, rig, road, weight, rule ..."),
    Column("What", wide(styles.LONG_TEXT, 30), lambda row, _: row.what, "what is assumed"),
    Column("Value", wide(styles.LONG_TEXT, 40), lambda row, _: row.value, "as it was used"),
    Column("Source", wide(styles.LONG_TEXT, 34), lambda row, _: row.source, "where it is from"),
    Column("Date", wide(styles.TEXT, 11), lambda row, _: str(row.dated or ""), "when it held"),
    Column("Remark", wide(styles.LONG_TEXT, 56), lambda row, _: row.remark, "address, tolerance, caution"),
)


@dataclass(frozen=True, slots=True)
class _OtherLine:
    """An alternative beside the bid's own price."""

    other: Alternative
    price_cents: int
    whole: bool


def _other_price(row: _OtherLine, _: OutputUnits) -> Cell:
    if row.other.price_cents is None:
        return "none" if row.other.trips is None else "no price"
    return cents_cell(row.other.price_cents)


def _other_difference(row: _OtherLine, _: OutputUnits) -> Cell:
    if row.other.price_cents is None or not row.whole:
        return None
    return cents_cell(row.other.price_cents - row.price_cents)


ALTERNATIVES = (
    Column("Alternative", wide(styles.LONG_TEXT, 36), lambda row, _: row.other.name, "what is done otherwise"),
    Column("Price", wide(MONEY, 13), _other_price, "lump sum then, rounded like the bid's", "USD"),
    Column("Difference", wide(MONEY, 12), _other_difference, "to the bid's lump sum", "USD"),
    Column("Trips", styles.COUNT, lambda row, _: row.other.trips, "trips then"),
    Column(
        "Remark",
        wide(styles.LONG_TEXT, 80),
        lambda row, _: row.other.remark,
        "what it takes, or why there is none",
    ),
)


def write_price_tables(workbook: Workbook, report: BidReport, units: OutputUnits) -> None:
    """Append the sheets Lines and Trips."""
    lines = [_LineRow(line, report.ways_without_price(line.item.name)) for line in report.lines]
    write_sheet(workbook, "Lines", "Lines", LINES, lines, units)
    _total(workbook["Lines"], report.priced.price.total)
    write_sheet(workbook, "Trips", "Trips", TRIPS, report.priced.trips, units)


def write_reasons(workbook: Workbook, report: BidReport, units: OutputUnits) -> None:
    """Append the sheets Assumptions, Own against outside and Alternatives."""
    write_sheet(workbook, "Assumptions", "Assumptions", ASSUMPTIONS, report.assumptions, units)
    write_sheet(workbook, "Own against outside", "OwnOutside", COMPARED, report.priced.trips, units)
    price = report.priced.price
    rows = [_OtherLine(one, price.price_cents, price.whole) for one in report.alternatives]
    write_sheet(workbook, "Alternatives", "Alternatives", ALTERNATIVES, rows, units)


def _total(sheet: Worksheet, total: Amounts) -> None:
    """The sum of the lines under their table, outside of its filter."""
    row = sheet.max_row + 1
    styles.put(sheet.cell(row, 1), "Together", font=styles.BOLD, alignment=styles.TABLE_TEXT)
    for number, (_, field, _) in enumerate(SUMS, start=3):
        shown = cents_cell(getattr(total, field))
        cell = styles.put(sheet.cell(row, number), shown.value, font=styles.BOLD, alignment=styles.TOP_RIGHT)
        cell.number_format = shown.number_format
    for number in range(1, len(LINES) + 1):
        sheet.cell(row, number).border = styles.HEADER_LINE


TABLES: tuple[tuple[str, Sequence[Column]], ...] = (
    ("Lines", LINES),
    ("Trips", TRIPS),
    ("Assumptions", ASSUMPTIONS),
    ("Own against outside", COMPARED),
    ("Alternatives", ALTERNATIVES),
)
"""Every table with its columns, for the documentation."""
