"""One candidate with one set of options over the whole history: what it saves, costs, helps on and makes legal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from dispatch.comparison.adoption import Standing, settle_day
from dispatch.comparison.candidates import Build, Candidate, fleet_with
from dispatch.comparison.differences import Difference, difference, total
from dispatch.comparison.history import History, Purchase, Variant, contains
from dispatch.comparison.jobs import Effort, Job, Runner
from dispatch.comparison.newly_legal import DayLegality, NewLoad
from dispatch.comparison.option_sets import EXACT_SETS
from dispatch.comparison.outcomes import DayOutcome, day_outcome
from dispatch.comparison.yearly import Yearly, ownership_of, yearly
from dispatch.money.amounts import round_cents
from dispatch.placement import Placer
from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.trips import may_ride, units_of


@dataclass(frozen=True, slots=True)
class NetRange:
    """Net saving of a year, cents, if every plan that is not proved were as good as its bound allows.

    ``None``: not known. What goes outside is as found.
    """

    least_cents: int | None
    most_cents: int | None


@dataclass(frozen=True, slots=True)
class Trial:
    """A candidate with a set of options, planned over the history. ``days``: its days against the base's.

    ``makes_legal``: moves that no rig of the base fleet may carry; ``loses``: those that only replaced rigs could.
    ``proved``: days on which nothing less can be left out and no trip saved; ``cut``: searches cut by the clock.
    """

    candidate: Candidate
    build: Build
    year: Yearly
    days: tuple[Difference, ...]
    whole: Difference
    proof: NetRange
    makes_legal: tuple[NewLoad, ...]
    loses: tuple[NewLoad, ...]
    proved: int = 0
    cut: int = 0

    @property
    def label(self) -> str:
        """The candidate with its options, for people."""
        return self.candidate.label(self.build)

    @property
    def helps(self) -> tuple[Difference, ...]:
        """The days that cost less with it."""
        return tuple(day for day in self.days if day.cents > 0)

    @property
    def adds_lb(self) -> float:
        """What its options add to the empty weight, pounds."""
        return self.candidate.adds_lb(self.build)


def purchase_of(candidate: Candidate, build: Build) -> Variant:
    """What buying it costs, as a fleet beside a base that costs nothing more."""
    bought = Purchase(build.price_usd, candidate.life_years, candidate.salvage_pct, candidate.interest_pct)
    return Variant(
        candidate.label(build),
        purchase=bought,
        fixed_usd=candidate.fixed_usd,
        days_per_year=candidate.days_per_year,
    )


class Bench:
    """Where candidates are tried: the base fleet's days with their plans, and all that has been tried on them."""

    def __init__(
        self,
        history: History,
        standings: Mapping[str, Standing],
        outcomes: Sequence[DayOutcome],
        effort: Effort,
        run: Runner,
    ) -> None:
        """``standings`` and ``outcomes``: the base fleet's, by day and in the order of the days."""
        self._history, self._standings, self._outcomes = history, standings, outcomes
        self._effort, self._run = effort, run
        self._base = {day: history.problem(day, history.base.name) for day in history.days}
        self._legality = {
            one.day: DayLegality(one.day, self._base[one.day], _carried(self._base[one.day], one))
            for one in outcomes
        }
        self._idle: dict[tuple[str, str, tuple[str, ...]], bool] = {}
        self.trials: dict[tuple[str, tuple[str, ...]], Trial] = {}

    def known(self, candidate: Candidate, build: Build) -> Trial | None:
        """What was found of it; ``None`` while it has not been tried."""
        return self.trials.get((candidate.name, build.options))

    def try_all(self, wanted: Iterable[tuple[Candidate, Build]]) -> None:
        """Plans every day with each of these that has not been tried, all of them in one batch."""
        by_key = {(candidate.name, build.options): (candidate, build) for candidate, build in wanted}
        new = [one for one in by_key.values() if self.known(*one) is None]
        problems = [{day: fleet_with(self._base[day], *one) for day in self._history.days} for one in new]
        places = [
            (number, day)
            for number, one in enumerate(new)
            for day in self._history.days
            if not self.is_idle(day, *one)
        ]
        jobs = [
            Job(f"{day}, {new[number][0].label(new[number][1])}", problems[number][day], self._effort)
            for number, day in places
        ]
        plans: list[dict[str, Plan]] = [{} for _ in new]
        for (number, day), plan in zip(places, self._run(jobs), strict=True):
            plans[number][day] = plan
        for (candidate, build), days, found in zip(new, problems, plans, strict=True):
            self.trials[candidate.name, build.options] = self._trial(candidate, build, days, found)

    def is_idle(self, day: str, candidate: Candidate, build: Build) -> bool:
        """Whether the candidate cannot be used on the day, for certain: then the base fleet's plan is the day's.

        No unit of the day may ride on its rigs (Only rigs, Not rigs, lifts, length of a site) or is of a length
        and weight that any load can take. A replaced trailer is never idle: the day lacks it.
        """
        key = (day, candidate.name, build.options)
        if key not in self._idle:
            self._idle[key] = not candidate.replaces and _no_use(
                self._base[day], fleet_with(self._base[day], candidate, build)
            )
        return self._idle[key]

    def ceiling_cents(self, candidate: Candidate, build: Build) -> Fraction:
        """What the net saving of a year cannot be above: no day can save more than it costs with the base fleet.

        Costs are not negative. A day on which the candidate is idle saves nothing: asked where sets are few.
        """
        few = len(candidate.builds) <= EXACT_SETS
        spent = sum(one.cents for one in self._outcomes if not (few and self.is_idle(one.day, candidate, build)))
        bought = purchase_of(candidate, build)
        return Fraction(spent, len(self._outcomes)) * Fraction(bought.days_per_year) - ownership_of(bought)[0]

    def new_pairs(self, trial: Trial) -> tuple[NewLoad, ...]:
        """Pairs of moves that ride today and that only the candidate may carry together."""
        return tuple(
            load
            for day in self._history.days
            for load in self._legality[day].new_pairs(fleet_with(self._base[day], trial.candidate, trial.build))
        )

    def _trial(
        self, candidate: Candidate, build: Build, problems: Mapping[str, Problem], plans: Mapping[str, Plan]
    ) -> Trial:
        label = candidate.label(build)
        ours = [
            day_outcome(
                day, label, problems[day], self._standing(day, label, problems[day], plans), self._history.outside
            )
            for day in self._history.days
        ]
        days = tuple(
            difference(base, one, contained=contains(problems[one.day], self._base[one.day]))
            for base, one in zip(self._outcomes, ours, strict=True)
        )
        bought = purchase_of(candidate, build)
        base = Variant(self._history.base.name, days_per_year=bought.days_per_year)
        year = yearly(bought, base, ours, self._outcomes, seed=self._effort.seed)
        pairs = [(base, one) for base, one in zip(self._outcomes, ours, strict=True) if one.day in plans]
        legality = [(self._legality[day], problems[day]) for day in self._history.days]
        return Trial(
            candidate,
            build,
            year,
            days,
            total(label, days),
            _proof(pairs, year, len(ours)),
            tuple(load for judge, problem in legality for load in judge.new_moves(problem)),
            tuple(load for judge, problem in legality for load in judge.lost_moves(problem)),
            sum(one.left_out.proved and one.trips.proved for one in ours),
            sum(one.cut for one in ours),
        )

    def _standing(self, day: str, label: str, problem: Problem, plans: Mapping[str, Plan]) -> Standing:
        """The best plan known for the day: never worse than the base fleet's where that is inside this one."""
        base, plan = self._history.base.name, self._standings[day].plan
        if day not in plans:
            return Standing(plan, base)
        settled = settle_day({base: self._base[day], f"+{label}": problem}, {base: plan, f"+{label}": plans[day]})
        return settled[f"+{label}"]


def _carried(problem: Problem, outcome: DayOutcome) -> frozenset[str]:
    return frozenset(move.name for move in problem.moves) - set(outcome.moves_left_out)


def _no_use(base: Problem, problem: Problem) -> bool:
    placer, new = Placer(problem), [rig for rig in problem.rigs if rig not in base.rigs]
    return not any(
        may_ride(problem, rig, unit) and not placer.hopeless(rig, unit.hauls)
        for unit in units_of(problem)
        for rig in new
    )


def _proof(pairs: Sequence[tuple[DayOutcome, DayOutcome]], year: Yearly, days: int) -> NetRange:
    """The range of the net saving by the bounds of the fleets' own cost; idle days save nothing, by proof."""
    least = [
        None if base.cost.least is None else base.cost.least + base.outside_cents - ours.cents
        for base, ours in pairs
    ]
    most = [
        None if ours.cost.least is None else base.cents - ours.cost.least - ours.outside_cents
        for base, ours in pairs
    ]

    def net(savings: Sequence[float | None]) -> int | None:
        if None in savings:
            return None
        whole = sum((Fraction(one) for one in savings if one is not None), Fraction(0))
        return round_cents(whole / days * year.days_per_year - year.ownership_cents)

    return NetRange(net(least), net(most))
