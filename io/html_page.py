"""The whole plan as one page of HTML that needs nothing else: no network, no script, no other file.

The same facts as the schedule workbook, for a telephone in the cab, for a screen and for paper. The bytes are the
same for the same plan.
"""

from __future__ import annotations

from collections.abc import Iterator

from dispatch.io.house_style import status_of, status_of_use
from dispatch.io.html_driver import rig_section, to_top
from dispatch.io.html_parts import (
    Html,
    bullets,
    el,
    folded,
    join,
    link,
    section,
    status_mark,
    table,
    text,
    use_bar,
)
from dispatch.io.html_style import STYLE
from dispatch.io.html_timeline import in_words, legend, rigs_picture, sites_picture
from dispatch.io.output_units import OutputUnits
from dispatch.io.summary_sheet import Used, answer, level_label, level_text, tightest_text

from dispatch.driver_page import DriverPage, driver_pages
from dispatch.explain import LeftOut
from dispatch.plan import Level
from dispatch.report import GENERAL_CAUTIONS, Report, ScheduleRow
from dispatch.units import MIN_PER_H, clock

POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'"
"""What a browser may load and run for this page: its own styles alone (W3C, Content Security Policy 3)."""


def plan_html(report: Report, used: Used) -> bytes:
    """The page as UTF-8, in the units that Settings asks for."""
    units = OutputUnits.of(report.problem.settings)
    title = f"Plan of the day {report.problem.settings.day}".strip()
    pages = driver_pages(report)
    body = el("body", _header(report, title, pages), "\n", _main(report, used, pages, units), _footer())
    page = join((Html("<!DOCTYPE html>\n"), el("html", _head(title), "\n", body, lang="en"), "\n"))
    return page.encode("utf-8")


def _head(title: str) -> Html:
    return el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=POLICY),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("meta", name="format-detection", content="telephone=no"),
        el("link", rel="icon", href="data:,"),
        el("title", title),
        el("style", Html(STYLE)),
    )


def _header(report: Report, title: str, pages: tuple[DriverPage, ...]) -> Html:
    places = [link("summary", "Summary"), link("timeline", "Timeline"), link("schedule", "Schedule")]
    if report.left_out:
        places.append(link("left-out", f"Left out ({len(report.left_out)})"))
    places += [link(f"rig-{number}", page.rig.name) for number, page in enumerate(pages, start=1)]
    return el("header", el("h1", title), el("nav", bullets(places), aria_label="Parts of the page"), id_="top")


def _main(report: Report, used: Used, pages: tuple[DriverPage, ...], units: OutputUnits) -> Html:
    return el(
        "main",
        _summary(report, used, pages, units),
        _timeline(report),
        _schedule(report, units),
        _left_out(report.left_out),
        *(rig_section(report, page, number, units) for number, page in enumerate(pages, start=1)),
    )


def _footer() -> Html:
    return el("footer", el("p", GENERAL_CAUTIONS[0], class_="small"))


def _summary(report: Report, used: Used, pages: tuple[DriverPage, ...], units: OutputUnits) -> Html:
    summary = report.summary
    warned = [el("p", el("b", "WARNING: "), words, class_="beware") for words in used.warnings]
    return section(
        2,
        "Summary",
        el("p", answer(report), class_="claim"),
        _key_figures(report, units),
        el("p", _tightest(report, units)),
        _rigs(pages),
        *warned,
        section(3, "Cautions of the day", bullets(summary.cautions) or el("p", "None.")),
        section(3, "Before anybody drives", bullets(GENERAL_CAUTIONS)),
        section(3, "Goals, in this order", bullets(_goal(level) for level in summary.levels), *_notes(report)),
        folded("What the plan was made from", *_made_from(report, used)),
        to_top(),
        id_="summary",
    )


def _key_figures(report: Report, units: OutputUnits) -> Html:
    summary, totals = report.summary, report.summary.totals
    bound = summary.trips_bound or "not known"
    estimated = f"of {summary.driven_pairs} pairs of sites driven have a distance from coordinates"
    boxes: tuple[tuple[str, object, str], ...] = (
        ("Trips", summary.trips, ""),
        ("Fewest trips proved", "yes" if summary.fewest_trips_proved else "no", ""),
        ("No plan has fewer trips than", bound, "among plans that leave out no more"),
        ("Moves hauled", summary.moves_hauled, ""),
        ("Moves left out", summary.moves_left_out, ""),
        ("Loaded", f"{units.to_road(totals.loaded_tenths):,.1f} {units.road}", ""),
        ("Empty", f"{units.to_road(totals.empty_tenths):,.1f} {units.road}", "ways from and to the yard included"),
        ("Paid hours", f"{totals.paid_min / MIN_PER_H:,.2f} h", "each outing, from leaving to returning"),
        ("Cost", f"{totals.cost_cents / 100:,.2f} USD", ""),
        ("Estimated distances", summary.estimated_pairs, estimated),
    )
    shown = (
        el("div", el("dt", name), el("dd", value, el("small", remark) if remark else ""))
        for name, value, remark in boxes
    )
    return el("dl", *shown, class_="key-figures")


def _tightest(report: Report, units: OutputUnits) -> Html:
    row = report.summary.tightest
    if row is None:
        return text("No check was needed.")
    words = link(f"trip-{row.trip}", f"{row.check.name}, {tightest_text(row, units)}")
    return join((el("b", "Tightest check of the day: "), words, status_mark(status_of(row.check))))


def _rigs(pages: tuple[DriverPage, ...]) -> Html:
    heads = ("Rig", "Driver", "Leaves", "Planned back", "Must be back by", "Trips")
    rows = []
    for number, page in enumerate(pages, start=1):
        trips = [link(f"trip-{trip.loaded.number}", trip.loaded.number) for trip in page.trips]
        used = page.leave_min is not None and page.back_min is not None
        rows.append(
            (
                el("b", link(f"rig-{number}", page.rig.name)),
                page.rig.driver,
                clock(page.leave_min or 0) if used else "stays in the yard",
                clock(page.back_min or 0) if used else "",
                clock(page.must_be_back_min) if used else "",
                join(trips, ", "),
            )
        )
    return section(3, "Rigs", table(heads, rows, name="Rigs of the day"))


def _goal(level: Level) -> Html:
    value, bound = level_text(level, level.value), level_text(level, level.bound)
    proved = "proved: no plan is better" if level.proved else f"not proved: no plan is below {bound}"
    return join((f"{level_label(level)}: ", el("b", value), f" ({proved})"))


def _notes(report: Report) -> Iterator[Html]:
    for note in report.summary.notes:
        yield el("p", el("b", "Note "), note)


def _made_from(report: Report, used: Used) -> Iterator[Html]:
    for name, digest in used.sources:
        yield el("p", f"Input {name}, SHA-256 ", el("span", digest, class_="digest"))
    rules = report.problem.rules
    yield el("p", f"haulday version {used.version}. Limits of law: {rules.name}, {rules.title}.")
    yield el("p", f"Search: {report.summary.outcome}.")
    changed = [f"{name}: {value}" for name, value in used.changed_settings]
    yield el("p", "Settings that differ from their default: ", "" if changed else "none.")
    yield bullets(changed)


def _timeline(report: Report) -> Html:
    words = [part for rig, lines in in_words(report) if lines for part in (el("h4", rig), bullets(lines))]
    sites = sites_picture(report)
    hours = "Frame: the hours that a site is open. Figures: numbers of trips."
    return section(
        2,
        "Timeline",
        rigs_picture(report),
        legend(),
        section(3, "Hours of the sites", sites, el("p", hours, class_="small")) if sites else "",
        folded("The timeline in words", *words),
        to_top(),
        id_="timeline",
    )


def _schedule(report: Report, units: OutputUnits) -> Html:
    road = units.road
    heads = ["Trip", "Rig", "Start", "End", "Items (load order)", "From", "To", f"Loaded ({road})"]
    heads += [f"Empty before ({road})", f"Heaviest gross ({units.weight})", "Tightest check", "Use"]
    heads += ["Cost (USD)", "Permit"]
    numbers = {rig.name: number for number, rig in enumerate(report.problem.rigs, start=1)}
    rows = [_scheduled(row, numbers[row.rig], units) for row in report.schedule]
    shown = table(heads, rows, name="Schedule", figures=(7, 8, 9, 12))
    return section(2, "Schedule", shown if rows else el("p", "No trips."), to_top(), id_="schedule")


def _scheduled(row: ScheduleRow, rig: int, units: OutputUnits) -> tuple[object, ...]:
    crew = ", ".join(part for part in (row.truck, row.trailer, row.driver) if part)
    return (
        el("b", link(f"trip-{row.trip}", row.trip)),
        el("span", link(f"rig-{rig}", row.rig), el("br"), el("span", crew, class_="small")),
        clock(row.start_min),
        clock(row.end_min),
        row.items,
        row.origin,
        row.destination,
        f"{units.to_road(row.loaded_tenths):,.1f}",
        f"{units.to_road(row.empty_before_tenths):,.1f}",
        f"{units.to_weight(row.heaviest_gross_lb):,.0f}",
        row.tightest,
        join((use_bar(row.use), status_mark(status_of_use(row.use)))),
        f"{row.cost_cents / 100:,.2f}",
        row.permit,
    )


def _left_out(moves: tuple[LeftOut, ...]) -> Html:
    if not moves:
        return Html()
    parts = []
    for left in moves:
        heads = ("Rig", "Reason")
        rows = [(el("b", reason.rig), reason.text) for reason in left.reasons]
        change = el("p", el("b", "Would change it: "), left.change) if left.change else ""
        reasons = table(heads, rows, name=f"Why move {left.move} is left out", stacked=False) if rows else ""
        parts.append(section(3, f"Move {left.move}: {left.item}", change, reasons))
    return section(2, "Left out", *parts, to_top(), id_="left-out")
