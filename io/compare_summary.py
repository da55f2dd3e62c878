"""The sheet Summary of a comparison: the answer, on which days, what is the limit, the money, how sure it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.house_style import Status
from dispatch.io.output_units import OutputUnits
from dispatch.io.sheet_styles import Shown
from dispatch.io.summary_sheet import WIDTHS, Line, Used, write_section
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.comparison.answer import answer, changed_days, limit_name, variant_answer, work_saved
from dispatch.comparison.candidate_answer import search_words, trial_words, which_trailer
from dispatch.comparison.compare import Comparison
from dispatch.comparison.limiting import Resources
from dispatch.comparison.yearly import CONFIDENCE_PCT, SWING_PCT, Yearly
from dispatch.report import GENERAL_CAUTIONS

HOW = "How it was compared"
"""The section that begins a new printed page."""
NOTES = (
    "Every day was planned under every fleet with the same time and the same seed; every plan was verified. A "
    "fleet that contains another takes over the other's plan where its own search found none better.",
    "What a fleet leaves out goes to the outside haulier, every move as a trip of its own, at the weight that it "
    "may have at most; what must ride together goes as one trip. The haulier's empty ways are in the price. Which "
    "of equally important moves stays behind is chosen by trips and own cost, not by what the haulier asks.",
    "The mean day of the history stands for every day of the year. Ownership is what the fleet costs beyond the "
    "first row of Variants.",
    f"When a figure is moved (sheet Money, Tornado: {SWING_PCT} % down and up) the plans stay as they are; "
    "planned anew under other prices, both fleets might do a little better.",
    "Limits are found by planning the day again with more of one thing: one truck or driver more for the trailer "
    "that was added (one trailer more where that is what it shares), an hour more of shifts or of site hours, "
    "weights a tenth higher.",
)
CANDIDATE_NOTES = (
    "Every candidate was planned on every day in the first fleet, with the sets of options that the sheet "
    "Candidates lists; where it is one trailer more, the day is never worse than without it. What it makes legal "
    "is asked of the legality checks, not of the plans: a move alone on the deck, a pair with both aboard, times "
    "aside.",
)
CAUTIONS = (
    GENERAL_CAUTIONS[0],
    "The days of the history speak for the work that was offered then; they know nothing of work that is to come.",
)


def write_compare_summary(sheet: Worksheet, comparison: Comparison, used: Used, units: OutputUnits) -> None:
    """Fill the sheet: label in column A, value beside it in B, remark in C."""
    for column, width in zip("ABC", WIDTHS, strict=True):
        sheet.column_dimensions[column].width = width
    count = len(comparison.history.days)
    title = f"Fleets compared over {count} day{'' if count == 1 else 's'}"
    styles.put(sheet.cell(1, 1), title, font=styles.TITLE)
    sheet.merge_cells("A2:C2")
    words = answer(comparison) or which_trailer(comparison.candidates)
    styles.put(sheet.cell(2, 1), words, font=styles.SECTION, alignment=styles.WRAP_LEFT)
    sheet.row_dimensions[2].height = styles.row_height(words, sum(WIDTHS) / 1.25, 16.0)
    row = 4
    for name, lines in sections(comparison, used):
        if name == HOW:
            styles.break_before(sheet, row)
        row = write_section(sheet, row, name, lines)
    sheet.freeze_panes = "A2"
    styles.print_landscape(sheet, metric=units.metric_distance)


def sections(comparison: Comparison, used: Used) -> Iterator[tuple[str, Sequence[Line]]]:
    """Every section of the sheet: its title and its lines."""
    yield "Does it pay?", list(_answers(comparison))
    if comparison.candidates:
        yield "Which trailer?", list(_candidates(comparison))
    if comparison.history.others:
        yield "On these days something changes", list(_changed(comparison))
    limits = list(_limits(comparison))
    if limits:
        yield "On the other days the limit is", limits
    for year in comparison.years:
        yield f"Money a year: {year.variant}", list(_money(year))
    yield "How sure it is", list(_sure(comparison))
    yield "Warnings", _texts("Warning", used.warnings)
    yield HOW, _texts("Note", (*NOTES, *(CANDIDATE_NOTES if comparison.candidates else ())))
    yield "Before anybody buys", [("Caution", "", text) for text in CAUTIONS]
    yield "Made from", list(_used_lines(comparison, used))


def _texts(label: str, texts: Sequence[str]) -> Sequence[Line]:
    return [(label, number, text) for number, text in enumerate(texts, start=1)] or [("", "none", "")]


def _answers(comparison: Comparison) -> Iterator[Line]:
    for year in comparison.years:
        status = Shown("yes" if year.pays else "no", "@", Status.MET if year.pays else Status.TIGHT)
        words = variant_answer(comparison, year.variant) if len(comparison.years) > 1 else "see above"
        yield year.variant, status, words
    for variant in comparison.history.variants:
        what = "fleet compared with" if variant is comparison.history.base else "fleet"
        yield what, variant.name, variant.description or "not described"


def _candidates(comparison: Comparison) -> Iterator[Line]:
    """The best, then every candidate in a line of its own."""
    words = which_trailer(comparison.candidates)
    yield "Of the candidates", "", words if answer(comparison) else "see above"
    for one in comparison.candidates:
        pays = one.best.year.pays
        status = Shown("yes" if pays else "no", "@", Status.MET if pays else Status.TIGHT)
        said = "" if len(comparison.candidates) == 1 else f"{trial_words(one.best)}. "
        search = search_words(one)
        yield one.candidate.name, status, f"{said}{search[0].upper()}{search[1:]}."


def _changed(comparison: Comparison) -> Iterator[Line]:
    for variant in comparison.history.others:
        days = [one for one in comparison.differences if one.variant == variant.name]
        changed = changed_days(days)
        alike: dict[str, list[str]] = {}
        for one in changed:
            alike.setdefault(work_saved(one), []).append(one.day)
        words = "; ".join(f"{saved}: {', '.join(names)}" for saved, names in alike.items()) or "on none"
        yield variant.name, f"{len(changed)} of {len(days)} days", words


def _limits(comparison: Comparison) -> Iterator[Line]:
    for variant in comparison.history.others:
        days: dict[Resources, list[str]] = {}
        for one in comparison.limits:
            if one.variant == variant.name:
                for limit in one.limits or ((),):
                    days.setdefault(limit, []).append(one.day)
        for limit in sorted(days, key=lambda limit: (-len(days[limit]), limit)):
            name = limit_name(limit) if limit else "the work itself"
            remark = ", ".join(days[limit]) + ("" if limit else ": more of anything changes nothing")
            count = f"{len(days[limit])} day{'' if len(days[limit]) == 1 else 's'}"
            yield variant.name, f"{name}, {count}", remark


def _money(year: Yearly) -> Iterator[Line]:
    def usd(cents: int) -> Shown:
        return Shown(cents / 100, "#,##0.00")

    whole = "" if year.priced else "; some outside hauls have no price and count as nothing"
    days = f"{float(year.days_per_year):g} days a year"
    yield "Saved a day", usd(year.saving_per_day_cents), f"USD, mean of {year.days} days{whole}"
    yield "Saved a year", usd(year.saving_cents), f"USD, {days}"
    yield "Ownership a year", usd(year.ownership_cents), "USD, beyond the first row's fleet"
    yield "Net a year", usd(year.net_cents), "USD"
    sure = year.confidence
    share = (
        f"{sure.share_positive:.0%} of {sure.draws:,} histories drawn anew from these days pay (seed {sure.seed})"
    )
    between = (
        f"{sure.low_cents / 100:,.2f} to {sure.high_cents / 100:,.2f} USD, middle {CONFIDENCE_PCT} %; {share}"
    )
    yield "Net, as the days fall", "", between
    trips = "outside hauls avoided a year from which owning pays"
    yield "Break-even hauls", year.break_even_trips if year.break_even_trips is not None else "none", trips
    never = "never" if year.break_even_days is None else year.break_even_days
    yield "Break-even days", never, "such days a year from which owning pays"
    if year.payback_years is not None:
        yield "Payback", Shown(round(float(year.payback_years), 1), "0.0"), "years"
    widest = year.tornado[0]
    low, high = widest.low_cents / 100, widest.high_cents / 100
    yield "Hangs most on", widest.figure, f"net {low:,.2f} USD with it {SWING_PCT} % lower, {high:,.2f} higher"


def _sure(comparison: Comparison) -> Iterator[Line]:
    plans = comparison.outcomes
    proved = sum(one.left_out.proved and one.trips.proved for one in plans)
    yield "Plans proved", f"{proved} of {len(plans)}", "nothing less left out and no fewer trips possible"
    cut = sum(one.cut for one in plans)
    yield "Searches cut short", cut, "by the clock; a longer --time-limit may find more" if cut else ""
    trials = [trial for one in comparison.candidates for trial in one.trials]
    if trials:
        count = sum(len(trial.days) for trial in trials)
        yield "Candidates' plans proved", f"{sum(trial.proved for trial in trials)} of {count}", "likewise"
        yield "Their searches cut short", sum(trial.cut for trial in trials), ""
    taken = sum(bool(one.taken_from) for one in plans)
    yield "Plans taken over", taken, "from a smaller fleet, where the own search found none better"


def _used_lines(comparison: Comparison, used: Used) -> Iterable[Line]:
    for name, digest in used.sources:
        yield "Input", name, f"SHA-256 {digest}"
    yield "haulday version", used.version, ""
    limit = comparison.effort.time_limit_s
    yield (
        "Longest search",
        "no limit" if limit is None else f"{limit:g} s",
        f"a day; seed {comparison.effort.seed}",
    )
    problem = next(iter(comparison.history.problems.values()))
    yield "Limits of law", problem.rules.name, problem.rules.title
    for name, value in used.changed_settings:
        yield "Setting", name, value
