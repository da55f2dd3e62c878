"""Compares fleets over a history: the method's table of contents."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from dispatch.comparison.adoption import Standing, settle_day
from dispatch.comparison.candidate_search import Searched, search_candidates
from dispatch.comparison.differences import Difference, difference, total
from dispatch.comparison.history import DayVariant, History, contains
from dispatch.comparison.jobs import Effort, Job, Runner
from dispatch.comparison.limiting import DayLimit, limits_of
from dispatch.comparison.outcomes import DayOutcome, day_outcome
from dispatch.comparison.yearly import Yearly, yearly
from dispatch.plan import Plan


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that was found. ``outcomes`` and ``differences`` by variant in the order of the input, then by day.

    ``candidates``: trailers on offer, the best first.
    """

    history: History
    effort: Effort
    outcomes: tuple[DayOutcome, ...]
    differences: tuple[Difference, ...]
    totals: tuple[Difference, ...]
    limits: tuple[DayLimit, ...]
    years: tuple[Yearly, ...]
    candidates: tuple[Searched, ...] = ()

    def outcome(self, day: str, variant: str) -> DayOutcome:
        """The day under the variant; raises KeyError when there is none."""
        for one in self.outcomes:
            if (one.day, one.variant) == (day, variant):
                return one
        raise KeyError(f"{day}, {variant}")

    def days_of(self, variant: str) -> tuple[DayOutcome, ...]:
        """The variant's days in order."""
        return tuple(one for one in self.outcomes if one.variant == variant)


def compare(
    history: History, effort: Effort, run: Runner, tell: Callable[[str], None] = lambda _: None
) -> Comparison:
    """Plans every day under every variant, asks what limits the days that a larger fleet leaves as they are, and
    looks for the right trailer among the candidates.

    Raises PlanRefused when the verifier disagrees with a plan and BoundContradicted when bounds do.
    """
    tell("days under every fleet")
    standings = standings_of(history, plans_of(history, effort, run))
    outcomes = _outcomes(history, standings)
    differences = differences_of(history, outcomes)
    base = {day: DayVariant(day, history.base.name) for day in history.days}
    candidates = search_candidates(
        history,
        {day: standings[place] for day, place in base.items()},
        [outcomes[place] for place in base.values()],
        effort,
        run,
        tell,
    )
    tell("what limits the days that do not change")
    return Comparison(
        history=history,
        effort=effort,
        outcomes=tuple(outcomes.values()),
        differences=differences,
        totals=tuple(
            total(variant.name, [one for one in differences if one.variant == variant.name])
            for variant in history.others
        ),
        limits=limits_of(history, outcomes, effort, run),
        years=tuple(_year(history, outcomes, number, effort.seed) for number in range(1, len(history.variants))),
        candidates=candidates,
    )


def plans_of(history: History, effort: Effort, run: Runner) -> dict[DayVariant, Plan]:
    """The plan of every day under every variant, each searched with the same effort."""
    places = [DayVariant(day, variant.name) for day in history.days for variant in history.variants]
    jobs = [Job(f"{place.day}, {place.variant}", history.problems[place], effort) for place in places]
    return dict(zip(places, run(jobs), strict=True))


def standings_of(history: History, plans: Mapping[DayVariant, Plan]) -> dict[DayVariant, Standing]:
    """The best plan known of every day under every variant; larger fleets are never worse."""
    names = [variant.name for variant in history.variants]
    found = {}
    for day in history.days:
        problems = {name: history.problem(day, name) for name in names}
        settled = settle_day(problems, {name: plans[DayVariant(day, name)] for name in names})
        found.update({DayVariant(day, name): settled[name] for name in names})
    return found


def outcomes_of(history: History, plans: Mapping[DayVariant, Plan]) -> dict[DayVariant, DayOutcome]:
    """The figures of every day under every variant, by variant and day; larger fleets are never worse."""
    return _outcomes(history, standings_of(history, plans))


def _outcomes(history: History, standings: Mapping[DayVariant, Standing]) -> dict[DayVariant, DayOutcome]:
    places = [DayVariant(day, variant.name) for variant in history.variants for day in history.days]
    return {
        place: day_outcome(place.day, place.variant, history.problems[place], standings[place], history.outside)
        for place in places
    }


def differences_of(history: History, outcomes: dict[DayVariant, DayOutcome]) -> tuple[Difference, ...]:
    """Every day of every other variant against the base's."""
    base = history.base.name
    return tuple(
        difference(
            outcomes[DayVariant(day, base)],
            outcomes[DayVariant(day, variant.name)],
            contained=contains(history.problem(day, variant.name), history.problem(day, base)),
        )
        for variant in history.others
        for day in history.days
    )


def _year(history: History, outcomes: dict[DayVariant, DayOutcome], number: int, seed: int) -> Yearly:
    variant, base = history.variants[number], history.base
    ours = [outcomes[DayVariant(day, variant.name)] for day in history.days]
    theirs = [outcomes[DayVariant(day, base.name)] for day in history.days]
    return yearly(variant, base, ours, theirs, seed=seed)
