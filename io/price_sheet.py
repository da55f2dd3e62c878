"""The first sheet of a price: lump sum, how it is made, unit prices, phases, what is not priced."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import Status
from dispatch.io.sheet_styles import Shown
from dispatch.io.summary_sheet import WIDTHS, Line, Used, write_section
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.mobilisation.bid_report import BidReport
from dispatch.mobilisation.job_price import Haulier
from dispatch.money.amounts import usd, usd_text
from dispatch.money.mark_ups import Step
from dispatch.report import GENERAL_CAUTIONS

MONEY_FORMAT = "#,##0.00"


def write_price(sheet: Worksheet, report: BidReport, used: Used, *, metric: bool) -> None:
    """Fill the sheet: label in column A, value beside it in B, remark in C."""
    for column, width in zip("ABC", WIDTHS, strict=True):
        sheet.column_dimensions[column].width = width
    name = report.priced.bid.name
    styles.put(sheet.cell(1, 1), f"Mobilisation of bid {name}", font=styles.TITLE)
    styles.put(sheet.cell(2, 1), price_line(report), font=styles.SECTION)
    row = 4
    for title, lines in sections(report, used):
        row = write_section(sheet, row, title, lines)
    sheet.freeze_panes = "A2"
    styles.print_landscape(sheet, metric=metric)


def price_line(report: BidReport) -> str:
    """The price in one line, with what is missing from it."""
    price = report.priced.price
    if report.whole:
        return f"Lump sum {usd_text(price.price_cents)} USD, in and out."
    gaps = ", ".join(dict.fromkeys(f"{gap.item} ({gap.way})" for gap in price.not_priced))
    return f"NO LUMP SUM: not priced: {gaps}. The rest comes to {usd_text(price.price_cents)} USD."


def cents_cell(cents: int, status: Status | None = None) -> Shown:
    """Whole cents as a cell in dollars: the nearest binary number to an exact amount, shown with two places."""
    return Shown(float(usd(cents)), MONEY_FORMAT, status)


def sections(report: BidReport, used: Used) -> Iterable[tuple[str, Sequence[Line]]]:
    """Every section of the sheet: its title and its lines."""
    yield "Result", list(_result(report))
    if not report.whole:
        gaps = report.priced.price.not_priced
        yield "Not priced", [(f"{gap.item} {gap.way}", "no price", gap.reason) for gap in gaps]
    yield "How the price is made (USD)", list(_steps(report))
    yield "Unit prices (USD)", list(_units(report))
    yield "Phases (USD)", list(_phases(report))
    yield "Warnings", _texts(used.warnings)
    yield "Before anybody signs", [("Caution", "", text) for text in CAUTIONS]
    yield "Made from", list(_made_from(report, used))


CAUTIONS = (
    "The price is planned on the rigs and roads of the input; whoever signs the bid checks it.",
    *GENERAL_CAUTIONS,
)


def _result(report: BidReport) -> Iterable[Line]:
    priced, price = report.priced, report.priced.price
    status = Status.MET if report.whole else Status.BROKEN
    label = "Lump sum" if report.whole else "Sum of what is priced"
    yield label, cents_cell(price.price_cents, status), f"USD; rounding: {_rounding(report)}"
    span = report.span.span
    if report.whole:
        words = f"USD, 10 and 90 of 100 draws; likely {usd_text(span.likely_cents)}: see the sheet Range"
        yield "Low to high", f"{usd_text(span.low_cents)} to {usd_text(span.high_cents)}", words
    yield "Machines", len(priced.machines), f"in {_counted(len(priced.bid.phases), 'phase')}"
    outside = sum(1 for trip in priced.trips if trip.haulier is Haulier.OUTSIDE)
    nobody = sum(1 for trip in priced.trips if trip.haulier is Haulier.NOBODY)
    words = f"{outside} of them by an outside haulier" + (f", {nobody} WITHOUT A PRICE" if nobody else "")
    yield "Trips", len(priced.trips), words
    proved = Shown("yes" if priced.proved else "no", "@", Status.MET if priced.proved else Status.TIGHT)
    claims = "; ".join(f"{job.job.phase} {job.job.direction}: {job.claim}" for job in priced.jobs)
    yield "Fewest trips proved", proved, claims
    if report.share is not None:
        share = report.share.share
        mark = Shown(f"{share.percent} %", "@", Status.TIGHT if share.warning else Status.MET)
        yield "Share of the contract", mark, share.warning or f"within {report.share.guide.name}'s guide"


def _rounding(report: BidReport) -> str:
    return f"to the nearest {usd_text(report.priced.terms.rules.price_step_cents)} USD, halves up"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"


def _steps(report: BidReport) -> Iterable[Line]:
    total = report.priced.price.total
    parts = (
        ("In", total.in_cents, "hauls to the job, own and outside"),
        ("Out", total.out_cents, "hauls from the job"),
        ("Load and unload", total.load_cents, "of the own rigs; an outside haulier's is in his price"),
        ("Permits", total.permit_cents, ""),
        ("Escorts", total.escort_cents, ""),
        ("Standby", total.standby_cents, ""),
    )
    for label, cents, remark in parts:
        yield label, cents_cell(cents), remark
    yield "Direct cost", cents_cell(total.direct_cents), "sum of the above"
    for step in report.priced.price.steps:
        yield step.addition.value, cents_cell(step.added_cents), _step_remark(step)


def _step_remark(step: Step) -> str:
    percent = "" if step.percent is None else f"{step.percent} % of the sum before; "
    return f"{percent}{usd_text(step.sum_cents)} so far"


def _units(report: BidReport) -> Iterable[Line]:
    """The unit price of every row of the bid."""
    for row in report.units:
        unit = row.unit
        if row.gaps:
            rest = usd_text(unit.extended_cents + unit.rest_cents)
            remark = f"phase {row.phase}; not priced: {', '.join(row.gaps)}; the rest comes to {rest}"
            yield row.item, Shown("no price", "@", Status.BROKEN), remark
            continue
        remark = (
            f"phase {row.phase}; {unit.quantity} x {usd_text(unit.unit_cents)} = {usd_text(unit.extended_cents)}"
        )
        if unit.rest_cents:
            remark += f", {usd_text(unit.rest_cents)} left by the rounding of the unit price"
        yield row.item, cents_cell(unit.unit_cents), remark


def _phases(report: BidReport) -> Iterable[Line]:
    for phase, amounts in report.phases:
        days = ", ".join(
            f"{job.job.direction} {_counted(job.own.days, 'day')}, {_counted(len(job.trips), 'trip')}"
            for job in report.priced.jobs
            if job.job.phase == phase
        )
        gaps = [gap for row in report.units if row.phase == phase for gap in row.gaps]
        words = f"; WITHOUT {', '.join(gaps)}" if gaps else ""
        yield phase, cents_cell(amounts.total_cents), f"{days}{_dates(report, phase)}{words}"
    words = "the lump sum" if report.whole else "what is priced: no lump sum"
    yield "Together", cents_cell(report.priced.price.total.total_cents), words


def _dates(report: BidReport, phase: str) -> str:
    line = next(iter(report.priced.bid.in_phase(phase)))
    words = f"; in by {line.in_by}" if line.in_by else ""
    return words + (f"; out after {line.out_after}" if line.out_after else "")


def _texts(texts: Sequence[str]) -> Sequence[Line]:
    return [("Warning", number, text) for number, text in enumerate(texts, start=1)] or [("", "none", "")]


def _made_from(report: BidReport, used: Used) -> Iterable[Line]:
    for name, digest in used.sources:
        yield "Input", name, f"SHA-256 {digest}"
    yield "haulday version", used.version, ""
    yield "Day of the price", report.priced.fleet.settings.day, ""
    rules = report.priced.fleet.rules
    yield "Limits of law", rules.name, rules.title
    for name, value in used.changed_settings:
        yield "Setting", name, value
