"""The printed pages of a price: side views of the loads, the range, pay schedule and share of the contract."""

from __future__ import annotations

from dispatch.io import sheet_styles as styles
from dispatch.io.driver_sheets import write_loaded_rig
from dispatch.io.output_units import OutputUnits
from dispatch.io.printed_page import Page
from openpyxl.workbook import Workbook

from dispatch.mobilisation.bid_report import BidReport, GuideShare, PaySchedule
from dispatch.money.amounts import usd_text
from dispatch.report import GENERAL_CAUTIONS


def write_load_plans(workbook: Workbook, report: BidReport, units: OutputUnits) -> None:
    """One block a trip of the own rigs: side view, items, axle loads of every leg."""
    page = Page(workbook.create_sheet("Load plans"), metric=units.metric_distance, upright=True)
    page.line(f"Load plans of bid {report.priced.bid.name}", styles.TITLE)
    page.line(" ".join(GENERAL_CAUTIONS), styles.SMALL)
    page.end_titles()
    if not report.pictures:
        page.line("No trip of the own rigs.")
    for picture in report.pictures:
        trip, leg = picture.trip, picture.page.loaded.fullest.leg
        with page.block():
            page.section(
                f"Trip {trip.number}: phase {trip.phase}, {trip.direction}, {picture.page.loaded.rig.name}"
            )
            road = f"Drawn: from {leg.origin} to {leg.destination}"
            write_loaded_rig(page, picture.problem, picture.page, road, units)


def write_range(workbook: Workbook, report: BidReport, units: OutputUnits) -> None:
    """Low, likely and high, what each tolerance does by itself, and how they are worked out."""
    page = Page(workbook.create_sheet("Range"), metric=units.metric_distance)
    span = report.span.span
    page.line("How far the price may lie from the stated one", styles.TITLE)
    page.end_titles()
    if not report.whole:
        page.line("Of what is priced: the bid is not priced in full.", styles.BOLD)
    rows = [
        ["Low: 10 of 100 draws are no higher", usd_text(span.low_cents)],
        ["Likely: half of the draws are no higher", usd_text(span.likely_cents)],
        ["High: 90 of 100 draws are no higher", usd_text(span.high_cents)],
        ["As stated", usd_text(span.stated_cents)],
    ]
    page.table([("Price", 5), ("USD", 2)], rows)
    page.section("What each tolerance does by itself")
    spreads = {spread.name: spread for spread in report.span.spreads}
    swings = [
        [
            swing.name,
            f"{spreads[swing.name].under_pct} under, {spreads[swing.name].over_pct} over",
            usd_text(swing.least_cents),
            usd_text(swing.most_cents),
        ]
        for swing in report.span.swings
    ]
    page.table([("What", 4), ("Tolerance (%)", 3), ("Price from (USD)", 2), ("to (USD)", 2)], swings)
    for text in range_words(span.draws, span.seed):
        page.line(text)


def range_words(draws: int, seed: int) -> tuple[str, ...]:
    """How the range is worked out, for people."""
    return (
        f"{draws:,} draws, seed {seed}: the same input gives the same range. The chance of each figure rises "
        "evenly from either end of its tolerance to the stated figure.",
        "The hours of all trips move together, and so do the miles of all trips that drive an estimated road, and "
        "the weights of one basis (they move permit fees). Hours are worked out in steps of half a per cent.",
        "Taken as they are: measured roads, escorts, standby, the outside haulier's prices, and which trips are "
        "made. A trip at its minimum gets no cheaper. A tolerance to one side can put the stated price outside "
        "low and high.",
        "Tolerances: Settings, Hours over and under, Estimated miles over and under; weights by their basis. The "
        "defaults of hours and miles are common practice, no source.",
    )


def write_payment(workbook: Workbook, report: BidReport, units: OutputUnits) -> None:
    """When the item is paid, and its share of the contract against a published guide."""
    page = Page(workbook.create_sheet("Pay schedule"), metric=units.metric_distance)
    page.line("When mobilisation is paid, and its share of the contract", styles.TITLE)
    page.end_titles()
    _schedule(page, report.schedule)
    page.section("Share of the contract")
    contract = report.priced.terms.rules.contract_usd
    if report.share is None or contract is None:
        page.line("Not worked out: " + (report.schedule.refused or "the contract sum is not known") + ".")
        return
    for text in share_words(report.share, f"{contract:,.2f}"):
        page.line(text)


def _schedule(page: Page, schedule: PaySchedule) -> None:
    rule = schedule.rule
    page.section(f"Pay schedule: {rule.name}")
    page.line(f"{rule.says} Source: {rule.basis}, {read_how(rule.evidence)}. The contract's own words govern.")
    if schedule.refused:
        page.line(f"Not worked out: {schedule.refused}.", styles.BOLD)
        return
    rows = [[one.when, usd_text(one.cents), usd_text(one.to_date_cents), one.working] for one in schedule.payments]
    page.table([("When", 3), ("Paid (USD)", 2), ("To date (USD)", 2), ("Worked out", 5)], rows)


def read_how(evidence: str) -> str:
    """How far a source was read, for people."""
    return {"seen": "read in a copy of the source", "common practice": "no published source"}.get(
        evidence, evidence
    )


def share_words(found: GuideShare, contract: str) -> tuple[str, ...]:
    """The share, what the guide expects, and its source."""
    share, guide = found.share, found.guide
    expected = f"{share.expected.least_pct} to {share.expected.most_pct} %"
    verdict = f"WARNING: {share.warning}." if share.warning else "Within the guide's range."
    return (
        f"The price is {share.percent} % of the contract of {contract} USD.",
        f"{guide.name} expects {expected} for {share.expected.work}. {verdict}",
        f"Source: {guide.basis}, {read_how(guide.evidence)}. A guide, not a limit.",
    )
