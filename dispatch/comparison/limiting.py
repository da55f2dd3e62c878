"""On days on which a larger fleet changes nothing: what the limit is, found by giving more of each resource.

First more of everything: where even that changes nothing, the day's work itself is the limit. Then each resource
alone, and where none of them is enough, those that go together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from dispatch.comparison.history import DayVariant, History, contains
from dispatch.comparison.jobs import Effort, Job, Runner
from dispatch.comparison.outcomes import DayOutcome
from dispatch.comparison.relaxations import TOGETHER, Resource, applies, relaxed
from dispatch.plan import Plan

Resources = tuple[Resource, ...]


@dataclass(frozen=True, slots=True)
class Relaxation:
    """What was made less scarce, and what the day comes to with it: priorities left out, trips."""

    resources: Resources
    left_out: float
    trips: float
    changes: bool


@dataclass(frozen=True, slots=True)
class DayLimit:
    """A day on which the fleet changes nothing. ``limits``: more of any of them would change something.

    None: even more of everything changes nothing. Two resources in one entry: only both together.
    """

    day: str
    variant: str
    limits: tuple[Resources, ...]
    tried: tuple[Relaxation, ...]


@dataclass(frozen=True, slots=True)
class _Question:
    where: DayVariant
    resources: Resources


def limits_of(
    history: History, outcomes: Mapping[DayVariant, DayOutcome], effort: Effort, run: Runner
) -> tuple[DayLimit, ...]:
    """Every day and fleet larger than the base where nothing changes, with its limits."""
    days = list(unchanged(history, outcomes))
    search = _Search(history, outcomes, effort, run)
    everything = {where: search.open_to(where) for where in days}
    search.ask(_Question(where, every) for where, every in everything.items() if every)
    hopeful = [where for where in days if search.changes(where, everything[where])]
    search.ask(_Question(where, (one,)) for where in hopeful for one in everything[where])
    stuck = [where for where in hopeful if not search.alone(where)]
    search.ask(_Question(where, pair) for where in stuck for pair in _pairs(everything[where]))
    return tuple(search.verdict(where, everything[where]) for where in days)


def unchanged(history: History, outcomes: Mapping[DayVariant, DayOutcome]) -> Iterable[DayVariant]:
    """Days and fleets larger than the base that haul the same in as many trips as the base does."""
    for variant in history.others:
        for day in history.days:
            base = outcomes[DayVariant(day, history.base.name)]
            other = outcomes[DayVariant(day, variant.name)]
            problems = history.problem(day, variant.name), history.problem(day, history.base.name)
            same = (base.left_out.value, base.trips.value) == (other.left_out.value, other.trips.value)
            if same and contains(*problems) and len(problems[0].rigs) > len(problems[1].rigs):
                yield DayVariant(day, variant.name)


def _pairs(resources: Resources) -> list[Resources]:
    return [pair for pair in TOGETHER if set(pair) <= set(resources)]


class _Search:
    """Asks what a day comes to with more of something, in batches, and keeps the answers."""

    def __init__(
        self, history: History, outcomes: Mapping[DayVariant, DayOutcome], effort: Effort, run: Runner
    ) -> None:
        self._history, self._outcomes, self._effort, self._run = history, outcomes, effort, run
        self._answers: dict[_Question, Relaxation] = {}

    def _newcomers(self, where: DayVariant) -> frozenset[str]:
        base = self._history.problem(where.day, self._history.base.name)
        ours = self._history.problem(where.day, where.variant)
        return frozenset(rig.name for rig in ours.rigs if rig not in base.rigs)

    def open_to(self, where: DayVariant) -> Resources:
        """The resources of which more could matter."""
        problem, newcomers = self._history.problem(where.day, where.variant), self._newcomers(where)
        return tuple(one for one in Resource if applies(problem, newcomers, one))

    def ask(self, questions: Iterable[_Question]) -> None:
        """Plans the relaxed days that are not planned yet."""
        new = [one for one in dict.fromkeys(questions) if one not in self._answers]
        jobs = [self._job(one) for one in new]
        for question, plan in zip(new, self._run(jobs), strict=True):
            self._answers[question] = self._answer(question, plan)

    def _job(self, question: _Question) -> Job:
        where = question.where
        problem = self._history.problem(where.day, where.variant)
        more = " and ".join(question.resources)
        return Job(
            f"{where.day}, {where.variant}, more {more}",
            relaxed(problem, self._newcomers(where), question.resources),
            self._effort,
        )

    def _answer(self, question: _Question, plan: Plan) -> Relaxation:
        ours = self._outcomes[question.where]
        left_out, trips = plan.level("left out").value, plan.level("trips").value
        changes = (round(left_out, 6), trips) < (round(ours.left_out.value, 6), ours.trips.value)
        return Relaxation(question.resources, left_out, trips, changes)

    def changes(self, where: DayVariant, resources: Resources) -> bool:
        """Whether more of all these changes the day."""
        answer = self._answers.get(_Question(where, resources))
        return answer is not None and answer.changes

    def alone(self, where: DayVariant) -> tuple[Resources, ...]:
        """The resources each of which alone changes the day."""
        return tuple((one,) for one in Resource if self.changes(where, (one,)))

    def verdict(self, where: DayVariant, everything: Resources) -> DayLimit:
        """The limits of the day: single ones, else pairs, else everything together."""
        pairs = tuple(pair for pair in _pairs(everything) if self.changes(where, pair))
        limits = self.alone(where) or pairs
        if not limits and self.changes(where, everything):
            limits = (everything,)
        tried = tuple(answer for question, answer in self._answers.items() if question.where == where)
        return DayLimit(where.day, where.variant, limits, tried)


def tally(limits: Sequence[DayLimit], variant: str) -> Mapping[Resources, int]:
    """On how many days each limit holds for a variant; under () the days that nothing changes."""
    found: dict[Resources, int] = {}
    for one in limits:
        if one.variant == variant:
            for limit in one.limits or ((),):
                found[limit] = found.get(limit, 0) + 1
    return found
