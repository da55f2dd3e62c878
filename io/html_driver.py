"""A rig's day in the page: stops, loads with their side views, limits, tie-downs, cautions and checks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dispatch.io.driver_sheets import gear_text
from dispatch.io.house_style import Status, status_of, status_of_use
from dispatch.io.html_parts import (
    Html,
    bullets,
    el,
    folded,
    join,
    lines,
    link,
    section,
    status_mark,
    table,
    use_bar,
    with_phones,
)
from dispatch.io.html_pictures import loaded_rig
from dispatch.io.output_units import OutputUnits

from dispatch.driver_page import CHECKS_ON_THE_ROAD, AxleLoad, DriverPage, DriverStop, DriverTrip
from dispatch.loaded_trips import LoadedLeg, LoadedTrip
from dispatch.report import GENERAL_CAUTIONS, LoadRow, Report, WeightRow, weight_rows
from dispatch.units import clock


def rig_section(report: Report, page: DriverPage, number: int, units: OutputUnits) -> Html:
    """The driver's page: all that one driver needs, from leaving the yard to signing off."""
    name = page.rig.name
    title = name if name.casefold().startswith("rig") else f"Rig {name}"
    body: list[object] = [*_head(report, page, units)]
    if page.trips:
        body += [_overview(report, page), _checks()]
        body += [_trip(report, page, trip, units) for trip in page.trips]
        signs = ("Driver, load checked and secured", "Date and time", "Weights from the scale")
        body.append(el("div", *(el("span", sign) for sign in signs), class_="sign"))
    return section(2, title, *body, to_top(), id_=f"rig-{number}", class_="rig")


def to_top() -> Html:
    """The way back."""
    return el("p", link("top", "To the top of the page"), class_="top small")


def _head(report: Report, page: DriverPage, units: OutputUnits) -> Iterator[Html]:
    rig, day = page.rig, report.problem.settings.day
    gear = f"truck {rig.truck.name}, trailer {rig.trailer.name}"
    yield el("p", f"{day}. " if day else "", el("b", f"Driver {rig.driver or '(none named)'}"), f"; {gear}.")
    if page.leave_min is None or page.back_min is None:
        yield el("p", "No trips today.")
        return
    times = f"Leave {rig.yard} {clock(page.leave_min)}. Planned back at {rig.end} {clock(page.back_min)}. "
    yield el("p", times, el("b", f"Must be back by {clock(page.must_be_back_min)}."), class_="times")
    for start, end in page.breaks:
        yield el("p", f"Break from driving {clock(start)}-{clock(end)}.")
    yield el("p", gear_text(page, units))


def _span(trip: LoadedTrip) -> str:
    return f"{clock(trip.trip.start_min)}-{clock(trip.trip.end_min)}"


def _overview(report: Report, page: DriverPage) -> Html:
    heads = ("Trip", "Time", "From, to", "Items in load order")
    rows = [
        (
            el("b", link(f"trip-{row.trip}", row.trip)),
            f"{clock(row.start_min)}-{clock(row.end_min)}",
            f"{row.origin} to {row.destination}",
            row.items,
        )
        for row in report.schedule
        if row.rig == page.rig.name
    ]
    return section(3, "Trips", table(heads, rows, name=f"Trips of {page.rig.name}", stacked=False))


def _stops(trip: DriverTrip, stops: Sequence[DriverStop]) -> Html:
    heads = ("Stop", "Arrive", "Leave", "Site", "What to do", "Address, hours, contact")
    rows = [
        (
            str(stop.number),
            el("b", clock(stop.arrive_min)),
            clock(stop.leave_min),
            el("b", stop.site.name),
            lines(stop.tasks),
            _site(stop),
        )
        for stop in stops
    ]
    return section(4, "Stops", table(heads, rows, name=f"Stops of trip {trip.loaded.number}"))


def _site(stop: DriverStop) -> Html:
    site = stop.site
    parts: list[object] = [site.address, f"open {stop.hours}" if stop.hours else ""]
    if site.contact:
        parts.append(join(("contact ", with_phones(site.contact))))
    if site.latitude is not None and site.longitude is not None:
        place = f"{site.latitude:.5f},{site.longitude:.5f}"
        parts.append(el("a", place.replace(",", ", "), href=f"geo:{place}"))
    return lines((*parts, site.note))


def _checks() -> Html:
    boxes = [el("label", el("input", type="checkbox"), words) for words in CHECKS_ON_THE_ROAD]
    return section(
        3,
        "Checks before driving and on the road (49 CFR 392.9)",
        bullets(boxes, "checks"),
        el("p", " ".join(GENERAL_CAUTIONS)),
    )


def _trip(report: Report, page: DriverPage, trip: DriverTrip, units: OutputUnits) -> Html:
    loaded = trip.loaded
    stops = loaded.trip.stops
    visits = [stop for stop in page.stops if stop.trip == loaded.number]
    return section(
        3,
        f"Trip {loaded.number}: {_span(loaded)}, {stops[0].site} to {stops[-1].site}",
        *(_beware("PERMIT", words) for words in trip.permits),
        *(_beware("CAUTION", words) for words in trip.cautions),
        *(el("p", el("b", "Note "), note) for note in trip.notes),
        el("p", _facts(trip, units)),
        _stops(trip, visits),
        _places(trip, units),
        *(_leg(report, trip, leg, units) for leg in loaded.legs),
        _all_checks(loaded, units),
        id_=f"trip-{loaded.number}",
        class_="trip",
    )


def _beware(word: str, words: str) -> Html:
    return el("p", el("b", f"{word}: "), words, class_="beware")


def _facts(trip: DriverTrip, units: OutputUnits) -> str:
    loaded, worst = trip.loaded, trip.loaded.tightest
    height = "" if trip.height_in is None else f"Height {units.length_text(trip.height_in)}. "
    chains, straps = (sum(counts) for counts in zip(*((row.chains, row.straps) for row in trip.rows), strict=True))
    gear = _gear(chains, straps) or "no tie-downs"
    return (
        f"{height}Heaviest gross {units.weight_text(loaded.heaviest_gross_lb)}. Tightest check: {worst.name}, "
        f"{worst.use:.1%} of its limit used. Tie-downs: {gear}."
    )


def _gear(chains: int, straps: int) -> str:
    counts = ((chains, "chain"), (straps, "strap"))
    return ", ".join(f"{count} {name}{'s' if count > 1 else ''}" for count, name in counts if count)


def _places(trip: DriverTrip, units: OutputUnits) -> Html:
    heads = ("Order", "Item", "Front edge", "Facing", "Weight", "Tie-downs")
    rows = [_place(row, units) for row in trip.rows]
    return section(
        4,
        "Where each item stands, in the order of loading",
        table(heads, rows, name=f"Places on deck, trip {trip.loaded.number}"),
        el(
            "p", "Front edge: the edge nearest the truck, behind the front of the item's own deck.", class_="small"
        ),
    )


def _place(row: LoadRow, units: OutputUnits) -> tuple[object, ...]:
    each = f", each rated {units.weight_text(row.each_wll_lb)} or more" if row.tie_downs else ""
    return (
        el("b", row.order),
        join((el("b", row.item), f", move {row.move}")),
        join((el("b", units.place_text(row.behind_deck_front_in)), f" on the {row.deck.value} deck")),
        row.facing.value,
        f"{units.weight_text(row.weight_lb)} ({row.basis}), at most {units.weight_text(row.weight_high_lb)}",
        (_gear(row.chains, row.straps) or "none") + each,
    )


def _leg(report: Report, trip: DriverTrip, leg: LoadedLeg, units: OutputUnits) -> Html:
    road, number = leg.leg, trip.loaded.number
    rows = {row.haul: row for row in trip.rows}
    on_deck = ", ".join(f"{rows[placed.haul].order} {rows[placed.haul].item}" for placed in road.on_deck)
    loads = trip.axle_loads[leg.number - 1]
    permit = any(check.waived for check in leg.checks)
    title = (
        f"Leg {leg.number}: {clock(road.depart_min)} {road.origin} to {clock(road.arrive_min)} {road.destination}"
    )
    picture = loaded_rig(
        report.problem,
        trip.loaded.rig,
        [(rows[placed.haul].order, placed) for placed in road.on_deck],
        loads,
        prefix=f"p{number}-{leg.number}",
        title=f"Trip {number}, leg {leg.number}, from the side, to scale: {on_deck}",
    )
    return section(
        4,
        title,
        el("p", f"On deck: {on_deck}. Gross {units.weight_text(leg.loads.gross_lb)}."),
        _beware("PERMIT", "this leg is over a limit of law: drive it within the permit and its hours")
        if permit
        else "",
        picture if leg is trip.loaded.fullest else folded(f"Side view of leg {leg.number}", picture),
        _axles(loads, f"Loads, trip {number}, leg {leg.number}", units),
        class_="leg",
    )


def _axles(loads: Sequence[AxleLoad], name: str, units: OutputUnits) -> Html:
    heads = ("Place", f"Load ({units.weight})", "Worst case", "Limit", "Use")
    rows = [_axle(load, units) for load in loads]
    return table(heads, rows, name=name, figures=(1, 2, 3, 4), stacked=False)


def _axle(load: AxleLoad, units: OutputUnits) -> tuple[object, ...]:
    place = join((load.place, f": {load.note}" if load.note else ""))
    shown = f"{units.to_weight(load.load_lb):,.0f}"
    if load.worst_lb is None or load.limit_lb is None:
        return place, shown, "-", "no rating", "-"
    worst, limit = (f"{units.to_weight(lb):,.0f}" for lb in (load.worst_lb, load.limit_lb))
    use = load.worst_lb / load.limit_lb
    status = Status.PERMIT if load.waived else status_of_use(use)
    return place, shown, worst, limit, join((use_bar(use), status_mark(status)))


def _all_checks(trip: LoadedTrip, units: OutputUnits) -> Html:
    """Every check of the trip, folded: the sheet Weights for this trip."""
    rows = [_check(row, units) for row in weight_rows(trip)]
    heads = ("Leg", "Check", "Value", "Worst case", "Limit", "Unit", "Use", "OK", "Basis of limit")
    checks = table(heads, rows, name=f"Every check of trip {trip.number}", figures=(2, 3, 4, 6), stacked=False)
    return folded(f"Every check of trip {trip.number} ({len(rows)})", checks)


def _check(row: WeightRow, units: OutputUnits) -> tuple[object, ...]:
    check = row.check
    unit = units.of_check(check.unit)
    places = {"%": 1, "ft": 2, "m": 3}.get(unit, 0)
    figures = (
        f"{units.to_check(value, check.unit):,.{places}f}" for value in (check.value, check.worst, check.limit)
    )
    least = " (least)" if check.sense.value == "least" else ""
    return (
        str(row.leg or "all"),
        check.name,
        *figures,
        unit + least,
        use_bar(check.use),
        join(("yes" if check.ok else "no", status_mark(status_of(check)))),
        check.basis,
    )
