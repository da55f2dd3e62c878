"""Which trailer, and with which options: all sets where they are few, else step by step; ranked by the year's net.

Every set that is tried is planned over all days. A set whose price alone eats more than all that could be saved is
not planned: it is proved to be no better.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from dispatch.comparison.adoption import Standing
from dispatch.comparison.candidate_trials import Bench, Trial
from dispatch.comparison.candidates import Build, Candidate
from dispatch.comparison.history import History
from dispatch.comparison.jobs import Effort, Runner
from dispatch.comparison.newly_legal import NewLoad
from dispatch.comparison.option_sets import EXACT_SETS, neighbours
from dispatch.comparison.outcomes import DayOutcome


@dataclass(frozen=True, slots=True)
class Searched:
    """A candidate with every set of options that was tried, the best first.

    ``spared``: sets that were not planned, as they are proved to be no better than the best. ``new_pairs``: what
    the best may carry together and no rig of the base fleet.
    """

    candidate: Candidate
    trials: tuple[Trial, ...]
    spared: tuple[Build, ...]
    new_pairs: tuple[NewLoad, ...]

    @property
    def best(self) -> Trial:
        """The set of options that is worth most a year."""
        return self.trials[0]

    @property
    def sets(self) -> int:
        """How many sets of options there are."""
        return len(self.candidate.builds)

    @property
    def not_tried(self) -> int:
        """How many sets were neither planned nor proved to be no better."""
        return self.sets - len(self.trials) - len(self.spared)


def search_candidates(
    history: History,
    standings: Mapping[str, Standing],
    outcomes: Sequence[DayOutcome],
    effort: Effort,
    run: Runner,
    tell: Callable[[str], None] = lambda _: None,
) -> tuple[Searched, ...]:
    """Every candidate of the history, the best first; ``standings`` and ``outcomes`` are the base fleet's.

    Raises PlanRefused when the verifier disagrees with a plan and BoundContradicted when bounds do.
    """
    if not history.candidates:
        return ()
    bench = Bench(history, standings, outcomes, effort, run)
    tell("candidates without options")
    bench.try_all((one, one.bare) for one in history.candidates)
    few = [one for one in history.candidates if len(one.builds) <= EXACT_SETS]
    tell("candidates with every set of options")
    bench.try_all((one, build) for one in few for build in _worth_trying(bench, one, one.builds))
    _climb(bench, [one for one in history.candidates if one not in few], tell)
    found = [_searched(bench, one) for one in history.candidates]
    return tuple(sorted(found, key=lambda one: _rank(one.best)))


def _rank(trial: Trial) -> tuple[int, int, int]:
    """Most worth a year; of equals the cheaper to own, then the one with fewer options, then the earlier row."""
    return -trial.year.net_cents, trial.year.ownership_cents, len(trial.build.options)


def _tried(bench: Bench, candidate: Candidate) -> list[Trial]:
    """What was tried of a candidate, the best first."""
    found = [trial for build in candidate.builds if (trial := bench.known(candidate, build)) is not None]
    return sorted(found, key=_rank)


def _worth_trying(bench: Bench, candidate: Candidate, builds: Sequence[Build]) -> Iterator[Build]:
    """The builds that could still be better than the best that was tried."""
    best = _tried(bench, candidate)[0].year.net_cents
    return (build for build in builds if bench.ceiling_cents(candidate, build) > best)


def _climb(bench: Bench, candidates: Sequence[Candidate], tell: Callable[[str], None]) -> None:
    """From no options on, again and again to the best set within a step, until no step is better.

    A step is one option more or less; where none of these is better, one in place of another. The steps of all
    candidates are planned together.
    """
    moving = list(candidates)
    while moving:
        here = {one.name: _top(bench, one) for one in moving}
        stuck = moving
        for swaps in (False, True):
            tell("candidates one option further")
            bench.try_all(
                (one, build) for one in stuck for build in _steps(bench, one, here[one.name], swaps=swaps)
            )
            stuck = [one for one in stuck if _top(bench, one) == here[one.name]]
        moving = [one for one in moving if one not in stuck]


def _top(bench: Bench, candidate: Candidate) -> Build:
    return _tried(bench, candidate)[0].build


def _steps(bench: Bench, candidate: Candidate, start: Build, *, swaps: bool) -> Iterator[Build]:
    by_options = {one.options: one for one in candidate.builds}
    around = [by_options[one] for one in neighbours(by_options, start.options, swaps=swaps)]
    return _worth_trying(bench, candidate, around)


def _searched(bench: Bench, candidate: Candidate) -> Searched:
    trials = tuple(_tried(bench, candidate))
    best = trials[0]
    planned = {trial.build.options for trial in trials}
    spared = tuple(
        build
        for build in candidate.builds
        if build.options not in planned and bench.ceiling_cents(candidate, build) <= best.year.net_cents
    )
    return Searched(candidate, trials, spared, bench.new_pairs(best))
