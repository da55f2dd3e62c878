"""The tables of the comparison: Days, Differences, Limits and Use; what each column means."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from dispatch.io import sheet_styles as styles
from dispatch.io.output_units import OutputUnits
from dispatch.io.schedule_sheets import Column, plain, wide, write_sheet
from dispatch.io.sheet_styles import Look, Shown, Value
from openpyxl.workbook import Workbook

from dispatch.comparison.answer import limit_name, work_saved
from dispatch.comparison.compare import Comparison
from dispatch.comparison.differences import Difference
from dispatch.comparison.glance import use_lines
from dispatch.comparison.limiting import DayLimit, Relaxation
from dispatch.comparison.outcomes import DayOutcome
from dispatch.comparison.relaxations import MEANING
from dispatch.units import MIN_PER_H

ALL_DAYS = "all days"
MOST_NAMED, EVERYTHING = 2, "everything"
COUNT = Look("0.##", 9, styles.TOP_CENTRE)
LONG_COUNT = wide(COUNT, 13)
HOURS = Look("#,##0.00", 11.5, styles.TOP_RIGHT)
DAY = wide(styles.TEXT, 12)
VARIANT = replace(styles.TEXT, whole=True)
Get = Callable[[Any, OutputUnits], Value | Shown]


def hours(attribute: str) -> Get:
    """Minutes of the row as hours."""
    return lambda row, _: round(getattr(row, attribute) / MIN_PER_H, 2)


def cents(attribute: str) -> Get:
    """Cents of the row as dollars."""
    return lambda row, _: getattr(row, attribute) / 100


def road(attribute: str) -> Get:
    """Tenths of a mile of the row in mi or km."""
    return lambda row, units: units.to_road(getattr(row, attribute))


def _own(row: DayOutcome, _: OutputUnits) -> Value:
    return row.own.cents / 100


def _search(row: DayOutcome, _: OutputUnits) -> Value:
    words = "cut short by the clock" if row.cut else "ended of itself"
    return f"{words}; plan of {row.taken_from}" if row.taken_from else words


def _proved(row: DayOutcome, _: OutputUnits) -> Value:
    return "yes" if row.left_out.proved and row.trips.proved else "no"


def _names(row: DayOutcome, _: OutputUnits) -> Value:
    return ", ".join(row.moves_left_out)


DAYS = (
    Column("Day", DAY, plain("day"), "the day of the history"),
    Column("Variant", VARIANT, plain("variant"), "the fleet that it was planned with"),
    Column("Moves", COUNT, plain("moves"), "moves of the day"),
    Column("Trips", COUNT, lambda row, _: row.trips.value, "trips of the fleet's own rigs"),
    Column(
        "No plan has fewer",
        COUNT,
        lambda row, _: row.trips.least,
        "no plan that leaves out no more has fewer trips; blank: not known, as what is left out is not proved",
    ),
    Column("Left out", COUNT, lambda row, _: len(row.moves_left_out), "moves that the fleet cannot haul"),
    Column("Priorities left out", LONG_COUNT, lambda row, _: row.left_out.value, "their priorities together"),
    Column(
        "No plan leaves out less",
        COUNT,
        lambda row, _: row.left_out.least,
        "priorities that every plan of the fleet leaves out at least",
    ),
    Column(
        "Proved", wide(styles.COUNT, 10.5), _proved, "yes: no plan of the fleet leaves out less or has fewer trips"
    ),
    Column(
        "Outside hauls", COUNT, lambda row, _: len(row.outside), "trips of an outside haulier for what is left out"
    ),
    Column(
        "Without price",
        COUNT,
        lambda row, _: len(row.not_priced),
        "outside hauls that the sheet Outside haul has no row for",
    ),
    Column(
        "Outside haul", styles.MONEY, cents("outside_cents"), "what they cost, as far as they have a price", "USD"
    ),
    Column("Loaded", styles.ROAD, road("loaded_tenths"), "road with something on deck", "road"),
    Column(
        "Empty",
        styles.ROAD,
        road("empty_tenths"),
        "road with an empty deck, ways from and to the yard included",
        "road",
    ),
    Column("Paid", HOURS, hours("paid_min"), "paid hours of all rigs", "h"),
    Column("Overtime", HOURS, hours("overtime_min"), "of these past the rigs' overtime limits", "h"),
    Column("Own cost", styles.MONEY, _own, "hours, miles, trips and permits of the fleet", "USD"),
    Column("Cost in all", styles.MONEY, cents("cents"), "own cost and outside haul", "USD"),
    Column("Moves left out", wide(styles.TEXT, 18), _names, "which moves are left out"),
    Column(
        "Search",
        wide(styles.TEXT, 19),
        _search,
        "how it ended; the smaller fleet whose plan was taken over where the own search found no better one",
    ),
)


def _day(row: Difference, _: OutputUnits) -> Value:
    return row.day or ALL_DAYS


def _ends(which: str, end: str) -> Get:
    return lambda row, _: getattr(getattr(row, which), end)


DIFFERENCES = (
    Column("Day", DAY, _day, "the day; all days: the sum of the days"),
    Column("Variant", VARIANT, plain("variant"), "the fleet, against the first row of Variants"),
    Column("Trips saved", COUNT, _ends("trips", "found"), "own trips fewer; negative: that many more"),
    Column(
        "At least",
        COUNT,
        _ends("trips", "least"),
        "the best plans of both fleets differ by no less; blank: not known",
    ),
    Column("At most", COUNT, _ends("trips", "most"), "and by no more; blank: not known"),
    Column("Priorities saved", LONG_COUNT, _ends("left_out", "found"), "priorities left out fewer"),
    Column("Saved at least", COUNT, _ends("left_out", "least"), "by no less; blank: not known"),
    Column("Saved at most", COUNT, _ends("left_out", "most"), "by no more; blank: not known"),
    Column("Outside hauls saved", COUNT, plain("outside_hauls"), "trips of outside hauliers fewer"),
    Column("Road saved", styles.ROAD, road("tenths"), "road of the own rigs less", "road"),
    Column("Paid saved", HOURS, hours("paid_min"), "paid hours less", "h"),
    Column("Overtime saved", HOURS, hours("overtime_min"), "overtime less", "h"),
    Column("Own cost saved", wide(styles.MONEY, 12), cents("own_cents"), "own cost less; negative: more", "USD"),
    Column("Outside saved", styles.MONEY, cents("outside_cents"), "outside haul less", "USD"),
    Column("Saved in all", styles.MONEY, cents("cents"), "both together, before ownership", "USD"),
    Column("In words", wide(styles.TEXT, 30), lambda row, _: work_saved(row), "trips and outside hauls in words"),
)


@dataclass(frozen=True, slots=True)
class LimitLine:
    """One relaxation of one day that did not change; ``now`` is the day as it is."""

    limit: DayLimit
    now: DayOutcome
    tried: Relaxation


def _more(row: LimitLine, _: OutputUnits) -> Value:
    resources = row.tried.resources
    return " and ".join(resources) if len(resources) <= MOST_NAMED else EVERYTHING


def _meaning(row: LimitLine, _: OutputUnits) -> Value:
    resources = row.tried.resources
    return "; ".join(MEANING[one] for one in resources) if len(resources) <= MOST_NAMED else "all of it at once"


def _limit(row: LimitLine, _: OutputUnits) -> Value:
    return ", ".join(limit_name(one) if one else "the work itself" for one in row.limit.limits or ((),))


LIMITS = (
    Column("Day", DAY, lambda row, _: row.limit.day, "a day that the fleet leaves as it is"),
    Column("Variant", VARIANT, lambda row, _: row.limit.variant, "the fleet"),
    Column(
        "The limit is",
        wide(styles.TEXT, 20),
        _limit,
        "what keeps the larger fleet from hauling more or with fewer trips",
    ),
    Column("With more", wide(styles.TEXT, 16), _more, "what there was more of"),
    Column("That is", wide(styles.LONG_TEXT, 67), _meaning, "how much more"),
    Column("Left out now", COUNT, lambda row, _: row.now.left_out.value, "priorities left out as the day is"),
    Column("Left out then", COUNT, lambda row, _: row.tried.left_out, "priorities left out with more of it"),
    Column("Trips now", COUNT, lambda row, _: row.now.trips.value, "trips as the day is"),
    Column("Trips then", COUNT, lambda row, _: row.tried.trips, "trips with more of it"),
    Column(
        "Changes it",
        wide(styles.COUNT, 12),
        lambda row, _: "yes" if row.tried.changes else "no",
        "yes: less is left out, or as much with fewer trips",
    ),
)


USE = (
    Column("Variant", VARIANT, plain("variant"), "the fleet"),
    Column("Trailer", VARIANT, plain("trailer"), "the trailer"),
    Column("Days used", COUNT, plain("used_days"), "days on which it left the yard"),
    Column("Of days", COUNT, plain("days"), "days of the history"),
    Column("Out", HOURS, hours("out_min"), "hours out of the yard, all days together", "h"),
    Column(
        "Out on a day", HOURS, lambda row, _: round(row.out_min / row.days / MIN_PER_H, 2), "mean of all days", "h"
    ),
    Column("Trips", COUNT, plain("trips"), "trips, all days together"),
    Column(
        "Hauled",
        wide(styles.WEIGHT, 12),
        lambda row, units: units.to_weight(row.weight_lb),
        "stated weights",
        "weight",
    ),
    Column(
        "On a trip",
        styles.WEIGHT,
        lambda row, units: units.to_weight(row.weight_lb / row.trips) if row.trips else None,
        "mean weight hauled on a trip; blank: no trip",
        "weight",
    ),
)


def limit_lines(comparison: Comparison) -> Iterator[LimitLine]:
    """Every relaxation of every day that did not change."""
    for limit in comparison.limits:
        now = comparison.outcome(limit.day, limit.variant)
        for tried in limit.tried:
            yield LimitLine(limit, now, tried)


def difference_rows(comparison: Comparison) -> list[Difference]:
    """The sums first, then the days."""
    return [*comparison.totals, *comparison.differences]


def write_days(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """The sheet Days: the variants of a day under each other."""
    places = {one.name: number for number, one in enumerate(comparison.history.variants)}
    days = {day: number for number, day in enumerate(comparison.history.days)}
    rows = sorted(comparison.outcomes, key=lambda one: (days[one.day], places[one.variant]))
    write_sheet(workbook, "Days", "Days", DAYS, rows, units, dense=True)


def write_differences(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """The sheet Differences."""
    write_sheet(
        workbook, "Differences", "Differences", DIFFERENCES, difference_rows(comparison), units, dense=True
    )


def write_limits(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """The sheet Limits."""
    write_sheet(workbook, "Limits", "Limits", LIMITS, limit_lines(comparison), units, dense=True)


def write_use(workbook: Workbook, comparison: Comparison, units: OutputUnits) -> None:
    """The sheet Use."""
    write_sheet(workbook, "Use", "Use", USE, use_lines(comparison), units)
