"""The answer in words: whether a fleet pays, on which days it changes something, what limits the others."""

from __future__ import annotations

from collections.abc import Sequence

from dispatch.comparison.compare import Comparison
from dispatch.comparison.differences import NOT_PROVED, Difference, saves
from dispatch.comparison.limiting import Resources, tally
from dispatch.comparison.relaxations import Resource
from dispatch.comparison.yearly import CONFIDENCE_PCT, Yearly
from dispatch.money.amounts import usd_text

NOTHING = "the day's work itself (more gear or hours would change nothing)"
_TOGETHER: dict[Resources, str] = {
    (Resource.TRUCKS, Resource.DRIVERS): "trucks together with drivers",
    (Resource.SHIFTS, Resource.SITE_HOURS): "shift hours together with site hours",
}


def answer(comparison: Comparison) -> str:
    """The whole comparison in one sentence: the variant that is worth most a year; empty where there is none."""
    if not comparison.years:
        return ""
    best = max(comparison.years, key=lambda year: year.net_cents)
    return variant_answer(comparison, best.variant)


def variant_answer(comparison: Comparison, variant: str) -> str:
    """One variant in a sentence: yes or no, what it saves on how many days, its worth, and the limit."""
    year = next(one for one in comparison.years if one.variant == variant)
    days = [one for one in comparison.differences if one.variant == variant]
    whole = next(one for one in comparison.totals if one.variant == variant)
    changed = changed_days(days)
    count = len(days)
    limit = limit_words(comparison, variant)
    if not changed:
        return _nothing_changed(year, whole, count, limit)
    rest = f" On the other days the limit is: {limit}." if limit else ""
    saved = f"{variant} {work_saved(whole)} on {len(changed)} of {count} days"
    return f"{'Yes' if year.pays else 'No'}: {saved}; {money_words(year)}{unpriced(year)}.{rest}"


def _nothing_changed(year: Yearly, whole: Difference, days: int, limit: str) -> str:
    """The sentence where the fleet does the same work in as many trips: it may still cost less, or more."""
    every = "the one day" if days == 1 else f"any of {days} days"
    tail = f": {limit}" if limit else ""
    owned = f"; owning it costs {usd_text(year.ownership_cents)} USD a year" if year.ownership_cents > 0 else ""
    if year.saving_cents:
        owned = f"; {_cheaper(whole)}: {money_words(year)}"
    yes = "Yes" if year.pays else "No"
    return f"{yes}: {year.variant} hauls no more and saves no trip on {every}{tail}{owned}{unpriced(year)}."


def _cheaper(whole: Difference) -> str:
    """``its own trips cost 20.00 USD less and the other moves that stay behind 62.50 USD less outside``."""
    parts = (
        ("its own trips cost", whole.own_cents, ""),
        ("the other moves that stay behind cost", whole.outside_cents, " outside"),
    )
    said = [
        f"{what} {usd_text(abs(cents))} USD {'less' if cents > 0 else 'more'}{where}"
        for what, cents, where in parts
        if cents
    ]
    return f"over these days {' and '.join(said) or 'nothing is saved'}"


def changed_days(days: Sequence[Difference]) -> list[Difference]:
    """The days on which the fleet hauls something else, or in another number of trips."""
    return [one for one in days if not one.same_work]


def work_saved(whole: Difference) -> str:
    """``saves 2 to 3 trips and 4 outside hauls``; ``saves 6 outside hauls (with 6 trips more of its own)``."""
    words, hauls = saves(whole.trips, "trip", "trips"), whole.outside_hauls
    if not hauls:
        return words
    outside = f"{abs(hauls)} outside haul{'' if abs(hauls) == 1 else 's'}"
    if hauls < 0:
        return f"{words}, with {outside} more"
    if whole.trips.found > 0:
        return f"{words} and {outside}"
    if not whole.trips.found:
        return f"saves {outside}"
    own, unproved = words.removesuffix(NOT_PROVED), words.endswith(NOT_PROVED)
    return f"saves {outside} ({own.replace('needs', 'with')} of its own{',' + NOT_PROVED if unproved else ''})"


def money_words(year: Yearly) -> str:
    """``that is 16,056.40 USD a year, 10,485.77 USD more than 5,570.63 USD of ownership``, and how sure."""
    saving = f"{usd_text(year.saving_cents)} USD a year"
    owned = f"{usd_text(year.ownership_cents)} USD of ownership"
    sure = year.confidence
    between = f"{usd_text(sure.low_cents)} to {usd_text(sure.high_cents)}"
    word = "more" if year.pays else "less"
    net = f"{usd_text(abs(year.net_cents))} USD {word} than"
    return f"that is {saving}, {net} {owned} ({CONFIDENCE_PCT} % of resampled histories: net {between})"


def unpriced(year: Yearly) -> str:
    """That some outside hauls have no price; nothing where all have."""
    return "" if year.priced else "; some outside hauls have no price, so the money is not whole"


def limit_words(comparison: Comparison, variant: str) -> str:
    """What limits the days that the variant leaves as they are: ``trucks (18 days), weights (2 days)``."""
    counts = tally(comparison.limits, variant)
    ordered = sorted(counts, key=lambda limit: (-counts[limit], limit))
    return ", ".join(f"{limit_name(one)} on {counts[one]} day{'' if counts[one] == 1 else 's'}" for one in ordered)


def limit_name(limit: Resources) -> str:
    """A limit for people."""
    if not limit:
        return NOTHING
    return _TOGETHER.get(limit, " together with ".join(limit))
