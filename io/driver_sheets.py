"""One printable page a rig for its driver: stops, loads with a side view each, limits, cautions and checks."""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.drawings import side_view
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import LAST, Page
from openpyxl.workbook import Workbook

from dispatch.driver_page import CHECKS_ON_THE_ROAD, AxleLoad, DriverPage, DriverStop, DriverTrip, driver_pages
from dispatch.problem import Problem
from dispatch.report import GENERAL_CAUTIONS, LoadRow, Report
from dispatch.units import clock

RULES_POINTS = 100.0
"""Height of the block of checks before driving, which stays on one page."""


def write_driver_sheets(workbook: Workbook, report: Report, units: OutputUnits) -> None:
    """Append one sheet a rig, in input order."""
    for number, content in enumerate(driver_pages(report), start=1):
        name = content.rig.name
        title = name if name.casefold().startswith("rig") else f"Rig {name}"
        sheet = workbook.create_sheet(styles.sheet_title(workbook, title or f"Rig {number}"))
        page = Page(sheet, metric=units.metric_distance)
        _head(page, report, content)
        if content.trips:
            _stops(page, content)
            _rules(page)
        for trip in content.trips:
            _trip(page, report, trip, units)


def _head(page: Page, report: Report, content: DriverPage) -> None:
    rig, day = content.rig, report.problem.settings.day
    page.line(f"{rig.name}  {day}".strip(), styles.TITLE)
    gear = f"truck {rig.truck.name}, trailer {rig.trailer.name}, {rig.chains} chains, {rig.straps} straps"
    page.line(f"Driver {rig.driver or '(none named)'}, {gear}", styles.BOLD)
    page.end_titles()
    if content.leave_min is None or content.back_min is None:
        page.line("No trips today.")
        return
    times = f"Leave {rig.yard} {clock(content.leave_min)}. Planned back at {rig.end} {clock(content.back_min)}."
    page.line(f"{times} MUST BE BACK BY {clock(content.must_be_back_min)}.", styles.BOLD)
    for start, end in content.breaks:
        page.line(f"Break from driving {clock(start)}-{clock(end)}.")


def _stops(page: Page, content: DriverPage) -> None:
    page.section("Stops")
    heads = [("Trip, stop", 1), ("Arrive", 1), ("Leave", 1), ("Site", 2), ("What to do", 3)]
    heads.append(("Address, hours, contact", 4))
    rows = [
        [
            f"{stop.trip}.{stop.number}",
            clock(stop.arrive_min),
            clock(stop.leave_min),
            stop.site.name,
            "\n".join(stop.tasks),
            _site_text(stop),
        ]
        for stop in content.stops
    ]
    page.table(heads, rows)


def _site_text(stop: DriverStop) -> str:
    site = stop.site
    hours = f"open {stop.hours}" if stop.hours else ""
    contact = f"contact {site.contact}" if site.contact else ""
    return "; ".join(part for part in (site.address, hours, contact, site.note) if part)


def _rules(page: Page) -> None:
    page.keep_together(RULES_POINTS)
    page.section("Checks before driving and on the road (49 CFR 392.9)")
    for text in CHECKS_ON_THE_ROAD:
        page.line(f"[  ]  {text}")
    page.line(" ".join(GENERAL_CAUTIONS))


def _trip(page: Page, report: Report, trip: DriverTrip, units: OutputUnits) -> None:
    page.new_page()
    loaded, leg = trip.loaded, trip.loaded.fullest.leg
    page.section(f"Trip {loaded.number}: {clock(loaded.trip.start_min)}-{clock(loaded.trip.end_min)}")
    road = f"Loaded from {leg.origin} to {leg.destination}"
    write_loaded_rig(page, report.problem, trip, road, units)


def write_loaded_rig(page: Page, problem: Problem, trip: DriverTrip, road: str, units: OutputUnits) -> None:
    """One load: what to beware of, the side view of the fullest leg, its items and every leg's axle loads."""
    loaded, leg = trip.loaded, trip.loaded.fullest
    for text in _urgent(trip):
        page.line(text, styles.BOLD)
    order = {row.haul: row.order for row in trip.rows}
    on_deck = [(order[placed.haul], placed) for placed in leg.leg.on_deck]
    loads = trip.axle_loads[leg.number - 1]
    for text in trip.notes:
        page.line(f"Note {text}")
    height = "" if trip.height_in is None else f", height {units.length_text(trip.height_in)}"
    page.line(f"{road}{height}.")
    page.line("Drawn to scale; distances run from the front of the item's own deck.", styles.SMALL)
    page.picture(side_view(problem, loaded.rig, on_deck, loads))
    _items(page, trip.rows, units)
    _axles(page, trip, units)


def _urgent(trip: DriverTrip) -> Sequence[str]:
    """Permits and cautions of a trip, each one line."""
    return [f"PERMIT: {text}" for text in trip.permits] + [f"CAUTION: {text}" for text in trip.cautions]


def _items(page: Page, rows: Sequence[LoadRow], units: OutputUnits) -> None:
    heads = [("Order", 1), ("Move", 1), ("Item", 2), ("Front edge", 1), ("Facing, deck", 2)]
    heads += [("Weight", 1), ("Basis", 1), ("Tie-downs", 2), ("Least WLL each", 1)]
    page.table(heads, [_item_texts(row, units) for row in rows])


def _item_texts(row: LoadRow, units: OutputUnits) -> list[str]:
    counts = ((row.chains, "chain"), (row.straps, "strap"))
    gear = [f"{count} {name}{'s' if count > 1 else ''}" for count, name in counts if count]
    return [
        str(row.order),
        row.move,
        row.item,
        units.place_text(row.behind_deck_front_in),
        f"{row.facing.value}, {row.deck.value} deck",
        units.weight_text(row.weight_lb),
        row.basis,
        ", ".join(gear),
        units.weight_text(row.each_wll_lb),
    ]


def _axles(page: Page, trip: DriverTrip, units: OutputUnits) -> None:
    """Loads of every leg, a column an axle, so that nobody needs to read the picture for them."""
    places = [load.place for load in trip.axle_loads[0]]
    heads = [("Loads: nominal (worst case) of limit, use", max(2, LAST - len(places)))]
    heads += [(f"{place} ({units.weight})", 1) for place in places]
    rows = []
    for leg, loads in zip(trip.loaded.legs, trip.axle_loads, strict=True):
        road = f"leg {leg.number}, {leg.leg.origin} to {leg.leg.destination}"
        rows.append([road, *(_load_text(load, units) for load in loads)])
    page.table(heads, rows, small=True)


def _load_text(load: AxleLoad, units: OutputUnits) -> str:
    shown = f"{units.to_weight(load.load_lb):,.0f}"
    if load.worst_lb is None or load.limit_lb is None:
        return f"{shown}\nno rating given"
    worst, limit = f"{units.to_weight(load.worst_lb):,.0f}", f"{units.to_weight(load.limit_lb):,.0f}"
    permit = "\nby permit" if load.waived else ""
    return f"{shown} ({worst})\nof {limit}, {load.worst_lb / load.limit_lb:.0%}{permit}"
