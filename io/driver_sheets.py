"""One or two printed pages a rig for its driver: what to take, checks, then each trip on one block.

A block has stops, a side view, how each item stands and is held, and the loads after each stop.
"""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.drawings import side_view
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import Page
from dispatch.io.sheet_links import PagePlaces
from openpyxl.workbook import Workbook

from dispatch.driver_page import CHECKS_ON_THE_ROAD, AxleLoad, DriverPage, DriverStop, DriverTrip, driver_pages
from dispatch.problem import Problem
from dispatch.report import GENERAL_CAUTIONS, LoadRow, Report
from dispatch.units import clock

RULES_POINTS = 100.0
"""Height of the block of checks before driving, which stays on one page."""
LINKS = (
    ("Summary", "Summary"),
    ("Schedule", "Schedule"),
    ("Stops", "Stops"),
    ("Load plan", "Load plan"),
    ("Weights", "Weights"),
    ("Timeline", "Timeline"),
    ("Map and use", "Map and use"),
)
SIGNATURE = (
    "Load, tie-downs and this page checked.   Driver ____________________   Date, time ____________________"
)


def write_driver_sheets(workbook: Workbook, report: Report, units: OutputUnits) -> PagePlaces:
    """Append one sheet a rig, in input order; gives where rigs and trips are."""
    places = PagePlaces()
    for number, content in enumerate(driver_pages(report), start=1):
        name = content.rig.name
        title = name if name.casefold().startswith("rig") else f"Rig {name}"
        sheet = workbook.create_sheet(styles.sheet_title(workbook, title or f"Rig {number}"))
        places.sheets[name] = sheet.title
        page = Page(sheet, metric=units.metric_distance, upright=True)
        _head(page, report, content, units)
        for trip in content.trips:
            places.trips[trip.loaded.number] = (sheet.title, page.row)
            with page.block():
                _trip(page, report, content, trip, units)
                if trip is content.trips[-1]:
                    page.line(SIGNATURE, page.bold)
    return places


def _head(page: Page, report: Report, content: DriverPage, units: OutputUnits) -> None:
    rig, day = content.rig, report.problem.settings.day
    page.line(f"{rig.name}  {day}".strip(), styles.TITLE)
    gear = f"truck {rig.truck.name}, trailer {rig.trailer.name}"
    page.line(f"Driver {rig.driver or '(none named)'}, {gear}", page.bold)
    page.end_titles()
    page.links(LINKS)
    if content.leave_min is None or content.back_min is None:
        page.line("No trips today.")
        return
    times = f"Leave {rig.yard} {clock(content.leave_min)}. Planned back at {rig.end} {clock(content.back_min)}."
    page.line(f"{times} MUST BE BACK BY {clock(content.must_be_back_min)}.", page.bold)
    for start, end in content.breaks:
        page.line(f"Break from driving {clock(start)}-{clock(end)}.", page.bold)
    page.line(gear_text(content, units))
    if len(content.trips) > 1:
        _overview(page, report, content)
    _rules(page)


def gear_text(content: DriverPage, units: OutputUnits) -> str:
    """What to take for tie-downs, of what the rig carries."""
    gear, rig = content.gear, content.rig
    words = []
    if gear.chains:
        words.append(f"{gear.chains} of {rig.chains} chains rated {units.weight_text(gear.chain_wll_lb)} or more")
    if gear.straps:
        words.append(f"{gear.straps} of {rig.straps} straps rated {units.weight_text(gear.strap_wll_lb)} or more")
    return "Take for tie-downs: " + ", ".join(words or ["nothing"]) + "."


def _overview(page: Page, report: Report, content: DriverPage) -> None:
    heads = [("Trip", 2), ("Start", 2), ("End", 2), ("From", 5), ("To", 5), ("Items in load order", 8)]
    rows = [
        [
            str(row.trip),
            clock(row.start_min),
            clock(row.end_min),
            row.origin,
            row.destination,
            row.items,
        ]
        for row in report.schedule
        if row.rig == content.rig.name
    ]
    page.table(heads, rows, small=True)


def _rules(page: Page) -> None:
    page.keep_together(RULES_POINTS)
    page.section("Checks before driving and on the road (49 CFR 392.9)")
    for text in CHECKS_ON_THE_ROAD:
        page.line(f"[  ]  {text}")
    page.line(" ".join(GENERAL_CAUTIONS), page.small)


def _trip(page: Page, report: Report, content: DriverPage, trip: DriverTrip, units: OutputUnits) -> None:
    loaded, leg = trip.loaded, trip.loaded.fullest.leg
    span = f"{clock(loaded.trip.start_min)}-{clock(loaded.trip.end_min)}"
    page.section(f"Trip {loaded.number}: {span}, {loaded.trip.stops[0].site} to {loaded.trip.stops[-1].site}")
    road = f"Drawn: from {leg.origin} to {leg.destination}"
    for text in _urgent(trip):
        page.line(text, page.bold)
    _stops(page, [stop for stop in content.stops if stop.trip == loaded.number])
    _loaded_rig(page, report.problem, trip, road, units)


def write_loaded_rig(page: Page, problem: Problem, trip: DriverTrip, road: str, units: OutputUnits) -> None:
    """One load: what to beware of, the side view of the fullest leg, its items and every leg's axle loads."""
    for text in _urgent(trip):
        page.line(text, page.bold)
    _loaded_rig(page, problem, trip, road, units)


def _loaded_rig(page: Page, problem: Problem, trip: DriverTrip, road: str, units: OutputUnits) -> None:
    loaded, leg = trip.loaded, trip.loaded.fullest
    order = {row.haul: row.order for row in trip.rows}
    on_deck = [(order[placed.haul], placed) for placed in leg.leg.on_deck]
    loads = trip.axle_loads[leg.number - 1]
    height = "" if trip.height_in is None else f"LOADED HEIGHT {units.length_text(trip.height_in)}, "
    gross = f"gross {units.weight_text(leg.loads.gross_lb)}"
    page.line(" ".join([f"{height}{gross}. {road}.", *(f"Note {text}." for text in trip.notes)]))
    png = side_view(problem, loaded.rig, on_deck, loads, width_in=page.width_in)
    page.picture(png)
    _items(page, trip.rows, units)
    if len(trip.axle_loads) > 1:
        _states(page, trip, order, units)


def _urgent(trip: DriverTrip) -> Sequence[str]:
    """Permits and cautions of a trip, each one line."""
    return [f"PERMIT: {text}" for text in trip.permits] + [f"CAUTION: {text}" for text in trip.cautions]


def _stops(page: Page, stops: Sequence[DriverStop]) -> None:
    heads = [("Stop", 2), ("Arrive, leave", 3), ("Where", 10), ("What to do", 9)]
    rows = [
        [
            f"{stop.trip}.{stop.number}",
            f"{clock(stop.arrive_min)}-{clock(stop.leave_min)}",
            _site_text(stop),
            "\n".join(stop.tasks),
        ]
        for stop in stops
    ]
    page.table(heads, rows, small=True)


def _site_text(stop: DriverStop) -> str:
    site = stop.site
    hours = f"open {stop.hours}" if stop.hours else ""
    contact = f"contact {site.contact}" if site.contact else ""
    details = "; ".join(part for part in (site.address, hours, contact, site.note) if part)
    return f"{site.name.upper()}: {details}" if details else site.name.upper()


def _items(page: Page, rows: Sequence[LoadRow], units: OutputUnits) -> None:
    heads = [("Order", 2), ("Item, move", 5), ("Front edge", 3), ("Facing, deck", 4)]
    heads += [("Weight, basis", 4), ("Tie-downs", 3), ("Each rated", 3)]
    page.table(heads, [_item_texts(row, units) for row in rows], small=True)


def _item_texts(row: LoadRow, units: OutputUnits) -> list[str]:
    counts = ((row.chains, "chain"), (row.straps, "strap"))
    gear = [f"{count} {name}{'s' if count > 1 else ''}" for count, name in counts if count]
    return [
        str(row.order),
        f"{row.item}, {row.move}" if row.move else row.item,
        units.place_text(row.behind_deck_front_in),
        f"{row.facing.value}, {row.deck.value}",
        f"{units.weight_text(row.weight_lb)}, {row.basis}",
        ", ".join(gear),
        units.weight_text(row.each_wll_lb),
    ]


def _states(page: Page, trip: DriverTrip, order: dict[int, int], units: OutputUnits) -> None:
    """Loads of every leg, a column a place: what the rig carries after each stop; one leg is in the picture."""
    places = trip.axle_loads[0]
    span = 2 if len(places) > 6 else 3
    heads = [(f"After each stop, {units.weight}: load (worst) of limit", page.columns - span * len(places))]
    heads += [(load.place, span) for load in places]
    rows = []
    for leg, loads in zip(trip.loaded.legs, trip.axle_loads, strict=True):
        aboard = ", ".join(str(order[placed.haul]) for placed in leg.leg.on_deck)
        state = (
            f"{leg.leg.origin} to {leg.leg.destination}: {aboard} on, gross {_weight(leg.loads.gross_lb, units)}"
        )
        rows.append([state, *(_load_text(load, units) for load in loads)])
    page.table(heads, rows, small=True)


def _weight(lb: float, units: OutputUnits) -> str:
    return f"{units.to_weight(lb):,.0f}"


def _load_text(load: AxleLoad, units: OutputUnits) -> str:
    shown = _weight(load.load_lb, units)
    if load.worst_lb is None or load.limit_lb is None:
        return f"{shown}\nno rating given"
    permit = "\nby permit" if load.waived else ""
    use = f"{load.worst_lb / load.limit_lb:.0%}"
    return f"{shown} ({_weight(load.worst_lb, units)})\nof {_weight(load.limit_lb, units)}, {use}{permit}"
