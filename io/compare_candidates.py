"""The sheet Candidates of a comparison: which trailer, with which options, and every set that was tried."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dispatch.io import sheet_styles as styles
from dispatch.io.compare_money import BETWEEN_ROWS, SUM, YEARS
from dispatch.io.compare_tables import COUNT, VARIANT, Get
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import Column, wide
from dispatch.io.sheet_styles import Value
from openpyxl.workbook import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from dispatch.comparison.candidate_answer import load_words, search_words
from dispatch.comparison.candidate_search import Searched
from dispatch.comparison.candidate_trials import Trial
from dispatch.comparison.compare import Comparison
from dispatch.comparison.differences import Span
from dispatch.comparison.yearly import CONFIDENCE_PCT

TITLE = "Candidates"
WORDS = wide(styles.LONG_TEXT, 21)


@dataclass(frozen=True, slots=True)
class CandidateLine:
    """A candidate with its place in the ranking."""

    rank: int
    searched: Searched

    @property
    def trial(self) -> Trial:
        """Its best set of options."""
        return self.searched.best


@dataclass(frozen=True, slots=True)
class SetLine:
    """A set of options that was tried."""

    rank: int
    trial: Trial


def _cents(found: int | None) -> Value:
    return None if found is None else found / 100


def _options(row: CandidateLine | SetLine, _: OutputUnits) -> Value:
    return ", ".join(row.trial.build.options) or "none"


def _year(attribute: str) -> Get:
    return lambda row, _: getattr(row.trial.year, attribute) / 100


def _helps(row: CandidateLine, _: OutputUnits) -> Value:
    return ", ".join(day.day for day in row.trial.helps)


def _span(span: Span) -> Value:
    """What was found, and in brackets what is proved where that is something else."""
    if span.exact:
        return span.found
    ends = ["not known" if end is None else f"{end:g}" for end in (span.least, span.most)]
    return f"{span.found:g} ({ends[0]} to {ends[1]})"


def _payback(row: CandidateLine, _: OutputUnits) -> Value:
    years = row.trial.year.payback_years
    return None if years is None else round(float(years), 1)


def _use(row: CandidateLine, _: OutputUnits) -> Value:
    candidate = row.searched.candidate
    how = "in place of the trailer of" if candidate.replaces else "takes turns behind"
    return f"{how} {', '.join(candidate.behind)}"


_MONEY = (
    Column("Price", SUM, lambda row, _: float(row.trial.build.price_usd), "price with these options", "USD"),
    Column("Saved a year", SUM, _year("saving_cents"), "mean day's saving x days a year, before ownership", "USD"),
    Column("Ownership a year", SUM, _year("ownership_cents"), "what owning it costs a year", "USD"),
    Column("Net a year", SUM, _year("net_cents"), "saved less ownership", "USD"),
)
_COUNTS = (
    Column(
        "Left out saved",
        COUNT,
        lambda row, _: _span(row.trial.whole.left_out),
        "priorities left out fewer over the history, in brackets what is proved",
    ),
    Column(
        "Outside hauls saved",
        COUNT,
        lambda row, _: row.trial.whole.outside_hauls,
        "trips of outside hauliers fewer",
    ),
    Column(
        "Days helped", COUNT, lambda row, _: len(row.trial.helps), "days of the history that cost less with it"
    ),
    Column(
        "New moves",
        COUNT,
        lambda row, _: len(row.trial.makes_legal),
        "moves of the history that no rig of the first fleet may carry and one with it may",
    ),
    Column(
        "Options weigh",
        wide(styles.WEIGHT, 10),
        lambda row, units: units.to_weight(row.trial.adds_lb),
        "what the options add to the empty weight: payload lost where the plate stays as it is",
        "weight",
    ),
    Column(
        "Payload by plate",
        wide(styles.WEIGHT, 10),
        lambda row, units: units.to_weight(row.trial.build.payload_lb),
        "GVWR less empty weight; what rides legally may be less",
        "weight",
    ),
)

CANDIDATES = (
    Column(
        "Rank", COUNT, lambda row, _: row.rank, "by net a year; of equals the cheaper to own, then fewer options"
    ),
    Column("Candidate", VARIANT, lambda row, _: row.searched.candidate.name, "the trailer on offer"),
    Column("Best options", wide(styles.TEXT, 20), _options, "the set of options that is worth most a year"),
    Column(
        "Pays",
        wide(styles.COUNT, 7),
        lambda row, _: "yes" if row.trial.year.pays else "no",
        "yes: net a year is more than nothing",
    ),
    *_MONEY,
    Column(
        "Net at least",
        SUM,
        lambda row, _: row.trial.year.confidence.low_cents / 100,
        f"lower end of the middle {CONFIDENCE_PCT} % of histories drawn anew from these days",
        "USD",
    ),
    Column(
        "Net at most", SUM, lambda row, _: row.trial.year.confidence.high_cents / 100, "upper end of it", "USD"
    ),
    Column(
        "Net proved least",
        SUM,
        lambda row, _: _cents(row.trial.proof.least_cents),
        "if the first fleet's plans that are not proved were as good as their bounds; blank: not known",
        "USD",
    ),
    Column(
        "Net proved most",
        SUM,
        lambda row, _: _cents(row.trial.proof.most_cents),
        "if the candidate's plans were as good as theirs; outside hauls as found; blank: not known",
        "USD",
    ),
    Column("Payback", YEARS, _payback, "price / (saved less licence, insurance and tax); blank: never", "years"),
    Column(
        "Hangs most on",
        wide(styles.TEXT, 16),
        lambda row, _: row.trial.year.tornado[0].figure,
        "the figure that moves the answer most",
    ),
    Column(
        "Money is whole",
        wide(styles.COUNT, 9),
        lambda row, _: "yes" if row.trial.year.priced else "no",
        "no: some outside hauls have no price and count as nothing",
    ),
)

WORK = (
    Column("Rank", COUNT, lambda row, _: row.rank, "as above"),
    Column("Candidate", VARIANT, lambda row, _: row.searched.candidate.name, "with its best options"),
    Column("Use", wide(styles.TEXT, 20), _use, "how it works in the first fleet"),
    Column(
        "Trips saved",
        COUNT,
        lambda row, _: _span(row.trial.whole.trips),
        "own trips fewer, in brackets what is proved; negative: more",
    ),
    *_COUNTS,
    Column("Helps on", wide(styles.LONG_TEXT, 30), _helps, "the days that cost less with it"),
    Column(
        "Makes legal",
        WORDS,
        lambda row, _: load_words(row.trial.makes_legal),
        "items of the moves that no rig of the first fleet may carry, alone on the deck, and one with it may",
    ),
    Column(
        "Pairs made legal",
        WORDS,
        lambda row, _: load_words(row.searched.new_pairs),
        "items that each ride today and that only it may carry together; moves that share a place",
    ),
    Column(
        "Makes illegal",
        WORDS,
        lambda row, _: load_words(row.trial.loses),
        "items that only the trailer which it replaces could carry",
    ),
    Column("Search", wide(styles.TEXT, 21), lambda row, _: search_words(row.searched), "which sets were tried"),
)

SETS = (
    Column("Rank", COUNT, lambda row, _: row.rank, "among the sets of the candidate"),
    Column("Candidate", VARIANT, lambda row, _: row.trial.candidate.name, "the trailer on offer"),
    Column("Options", wide(styles.TEXT, 20), _options, "the set of options"),
    *_MONEY,
    *_COUNTS,
)


def write_candidates(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """Money, work, then every set of options that was tried; no sheet where there are no candidates."""
    if not comparison.candidates:
        return
    sheet = workbook.create_sheet(TITLE)
    lines = [CandidateLine(rank, one) for rank, one in enumerate(comparison.candidates, start=1)]
    last = _table(sheet, "Candidates", CANDIDATES, lines, units, top=1)
    last = _table(sheet, "CandidateWork", WORK, lines, units, top=last + BETWEEN_ROWS)
    sets = [
        SetLine(rank, trial) for one in comparison.candidates for rank, trial in enumerate(one.trials, start=1)
    ]
    _table(sheet, "OptionSets", SETS, sets, units, top=last + BETWEEN_ROWS)
    styles.print_landscape(sheet, metric=units.metric_distance)


def _table(
    sheet: Worksheet, name: str, columns: Sequence[Column], rows: Iterable[object], units: OutputUnits, *, top: int
) -> int:
    heads = [(column.header(units), column.look) for column in columns]
    values = [[column.value(row, units) for column in columns] for row in rows]
    return styles.write_table(sheet, name, heads, values, dense=True, top=top)
