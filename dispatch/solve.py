"""Plans a day: the method's table of contents.

First a plan by construction, so that a stop at any moment has an answer; then every candidate trip; then goal by
goal a floor, a better plan and the proof; then the best placement of each chosen load, and the times.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext, suppress
from dataclasses import dataclass, replace

from dispatch.bounds import cross_check
from dispatch.construct import Draft, Rebuilder, fill, largest_first, urgent_first
from dispatch.errors import NoOptimum
from dispatch.floors import warm_up
from dispatch.levels import settle
from dispatch.master import Goal, Settled
from dispatch.neighbourhoods import Neighbourhoods
from dispatch.partners import best_partners
from dispatch.placement import Placer
from dispatch.plan import Level, Outcome, Plan
from dispatch.planning_day import (
    DayTrips,
    ListedAhead,
    PlanningDay,
    PricerShelf,
    find_trips,
    groups_with_breaks,
    listed_ahead,
    prepare,
    urgency,
)
from dispatch.problem import Problem
from dispatch.rig_days import Column, Day, Run, Step
from dispatch.search_limits import Limits, Progress, Thoroughness
from dispatch.settings import Objective
from dispatch.shared_clock import Fit, days_of, fit
from dispatch.shuttle import Shuttle, pack_shuttle
from dispatch.trip_orders import load_request
from dispatch.trips import Candidate, TripBudget
from dispatch.workshop import Result, Workshop, budget_for, value_of

__all__ = ["Progress", "solve"]

BREAKS_NOTE = (
    "Breaks from driving were placed before the road on which they fall due; another place might serve better, "
    "so bounds are those of days without breaks."
)
CUT_NOTE = "The search was stopped before it ended of itself: a longer one may do better."
SHARE_OF_TIME = {Goal.LEFT_OUT: 0.45, Goal.TRIPS: 0.8, Goal.COST: 1.0}
SHARE_FOR_TRIPS = 0.35
"""Of the time left when a goal is begun; matters only when there is a time limit and it is too short."""
MOST_JUDGED = 4_000
"""Trips of a class of rigs whose legality is asked at once; of more, each when a day would use it."""
SHARE_FOR_FIRST = 0.2
LARGE_DAY = 30
"""Units of a day for which a plan from trips of good partners is made first."""
ALL_TOGETHER, EVER_ALL = 90, 160
"""Units of a day beyond which all trips are listed only where there is time, and beyond which they never are.

Nor are they where there are too many: see ``TripBudget``.
"""
TIME_FOR_ALL_S = 90.0
"""So long the listing of a very large day and the floors after it may take."""
PARTNERS, PARTNERS_AT_LAST = 6, 16
"""How many partners a unit has, in the first plan of a large day and in the last of a very large one."""
REBUILDS = 40
"""Partial rebuildings of the first plan, milliseconds each."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The best plan so far and what is known of each goal."""

    plan: Fit
    results: tuple[tuple[Goal, Result], ...] = ()
    notes: tuple[str, ...] = ()


def solve(
    problem: Problem,
    *,
    placer: Placer | None = None,
    time_limit_s: float | None,
    seed: int = 0,
    workers: int = 1,
    thoroughness: Thoroughness = Thoroughness.NORMAL,
    on_progress: Callable[[Progress], None] | None = None,
    should_stop: Callable[[], bool] | None = None,
) -> Plan:
    """The day's plan with a bound beside every goal.

    ``time_limit_s``: seconds of clock after which the best plan so far is given (``None``: no limit);
    ``should_stop`` is asked often and does the same, and so does Ctrl-C. ``thoroughness`` says after how much
    work, counted and not timed, the search ends of itself. Without a stop the same input gives
    the same plan. Raises BoundContradicted when a plan lies below its own bound (a bug).
    """
    limits = Limits(
        time_limit_s,
        should_stop or (lambda: False),
        on_progress or (lambda _: None),
        seed,
        workers,
        thoroughness,
    )
    day = prepare(problem, placer or Placer(problem))
    breaks = groups_with_breaks(day)
    search = Search(day, limits)
    search.run_to_the_end()
    if breaks and not search.owes_no_break(breaks):
        held = Search(replace(day, rules=replace(day.rules, with_breaks=breaks)), limits)
        held.run_to_the_end()
        return held.plan(search)
    return search.plan()


def goals(problem: Problem) -> tuple[Goal, Goal, Goal]:
    """The goals in the order of the settings."""
    if problem.settings.objective is Objective.COST_FIRST:
        return Goal.LEFT_OUT, Goal.COST, Goal.TRIPS
    return Goal.LEFT_OUT, Goal.TRIPS, Goal.COST


class Search:
    """One search; ``standing`` is valid at any moment."""

    def __init__(self, day: PlanningDay, limits: Limits) -> None:
        self.day = day
        self.limits = limits
        self.standing = Standing(Fit(day.problem, (), ()))
        self._pool: dict[tuple[int, int, int, int], Day] = {}

    def run_to_the_end(self) -> None:
        """Runs; Ctrl-C ends it early."""
        try:
            self.run()
        except KeyboardInterrupt:
            self.limits.stop()

    def owes_no_break(self, breaks: Mapping[int, frozenset[str]]) -> bool:
        """Whether the standing plan, made without breaks from driving, needs none."""
        rules = replace(self.day.rules, with_breaks=breaks)
        for column in self.standing.plan.columns:
            steps = [
                Step(run.rig, trip, place == 0) for run in column.runs for place, trip in enumerate(run.trips)
            ]
            after = rules.break_after(self.day.groups[column.group], steps)
            if after is not None and sum(run.drive_min for run in column.runs) > after:
                return False
        return True

    def run(self) -> None:
        """Construct, find trips, construct again, settle goal by goal."""
        self.limits.tell("trips of single items")
        units = len(self.day.shape.units)
        alone = find_trips(self.day, TripBudget(sets=units, stop=self.limits.over))
        self.limits.begin_stage(SHARE_FOR_TRIPS)
        packed = pack_shuttle(self.day, alone, self.limits, self._clash)
        if self._packing_is_best(packed):
            return
        self.limits.begin_stage(1.0)
        self._construct(alone)
        together = self._lists_all(units)
        with listed_ahead(self.day) if together and units > LARGE_DAY else nullcontext() as ahead:
            if units > LARGE_DAY:
                self._with_partners(units)
            self.limits.tell("candidate trips")
            trips = self._trips(TripBudget(stop=self.limits.over), ahead) if together else None
        if trips is None or (units > LARGE_DAY and not trips.complete):
            partners = best_partners(self.day, PARTNERS_AT_LAST)
            trips = self._trips(TripBudget(partners=partners, stop=self.limits.over))
        shop = self._shop(trips, REBUILDS)
        shop.floors = packed.floors
        self._settle(shop)

    def _lists_all(self, units: int) -> bool:
        """Whether all trips are to be listed: of a very large day only with time for what comes of it."""
        left = self.limits.seconds_left()
        return units <= ALL_TOGETHER or (units <= EVER_ALL and (left is None or left >= TIME_FOR_ALL_S))

    def _trips(self, budget: TripBudget, ahead: ListedAhead | None = None) -> DayTrips:
        """The trips within the budget, for which there is a share of the time."""
        self.limits.begin_stage(SHARE_FOR_TRIPS)
        return find_trips(self.day, budget, ahead)

    def _shop(self, trips: DayTrips, rebuilds: int) -> Workshop:
        """The trips judged, and a plan made of them; each step has its own share of time."""
        self.limits.begin_stage(SHARE_FOR_TRIPS)
        for stock in trips.stocks:
            stock.judge_all(MOST_JUDGED, self.limits.over)
        self.limits.begin_stage(SHARE_FOR_FIRST)
        self._construct(trips, rounds=rebuilds)
        shop = Workshop(
            self.day,
            trips,
            PricerShelf(self.day, trips),
            self.limits,
            budget_for(self.limits.thoroughness),
            self._keep,
            self._improved,
            self._pool,
        )
        shop.remember(self.standing.plan.columns)
        return shop

    def _with_partners(self, units: int) -> None:
        """A better plan of trips of good partners, soon: listing all trips of a large day takes its time."""
        self.limits.tell("trips of good partners")
        partners = best_partners(self.day, PARTNERS)
        shop = self._shop(self._trips(TripBudget(partners=partners, stop=self.limits.over)), 0)
        self.limits.begin_stage(SHARE_FOR_FIRST)
        around = Neighbourhoods(shop, goals(self.day.problem))
        around.improve(self.standing.plan, units if units > ALL_TOGETHER else units // 2, Goal.TRIPS, 0)
        if units <= ALL_TOGETHER:
            self._warm_up(shop)

    def _warm_up(self, shop: Workshop) -> None:
        """Days that the linear programmes of all goals would use, from the few trips that are listed so far."""
        self.limits.begin_stage(SHARE_FOR_FIRST)
        settled, plan = Settled(), self.standing.plan
        for goal in goals(self.day.problem):
            value = value_of(self.day, goal, plan.columns)
            if value:
                with suppress(NoOptimum):
                    warm_up(shop, goal, settled, plan)
            settled = Settled({**settled.most, goal: value})

    def _packing_is_best(self, packed: Shuttle) -> bool:
        """Takes the packing where it is better; says whether it meets every floor: nothing is left to do."""
        self._take(fit(self.day, packed.days))
        plan = self.standing.plan
        results = [(g, Result(value_of(self.day, g, plan.columns), packed.floors.get(g, 0), plan)) for g in Goal]
        if not packed.days or not all(result.proved for _, result in results):
            return False
        for goal, result in results:
            cross_check(goal.value, result.value, result.bound)
            self._keep(goal, result)
        return True

    def _construct(self, trips: DayTrips, rounds: int = 0) -> None:
        """Two greedy plans, the better of them rebuilt in part over and over; the best so far stays."""
        key, limits, units = urgency(self.day), self.limits, len(self.day.shape.units)
        offers = trips.offers()
        drafts = []
        for ordered in (urgent_first, largest_first):
            draft = Draft(self.day.rules, self.day.groups, self.day.after, self._clash)
            for _ in range(2 if self.day.shape.pairs else 1):
                fill(draft, ordered(offers, key), limits.over)
            drafts.append(draft)
        draft = min(drafts, key=lambda one: self._score(one.days()))
        draft = Rebuilder(offers, self._score).improve(draft, units, rounds, limits.seed, limits.over)
        self._take(fit(self.day, draft.days()))

    def _take(self, plan: Fit | None) -> None:
        if plan is not None and self._score(plan.columns) < self._score(self.standing.plan.columns):
            self.standing = replace(self.standing, plan=plan)
            self._tell_standing()

    def _improved(self, plan: Fit) -> None:
        self.standing = replace(self.standing, plan=plan)
        self._tell_standing()
        values = self._score(plan.columns)
        self.limits.tell(f"better plans {values}", None, None)

    def _clash(self, days: Sequence[Column]) -> bool:
        return self.day.clock_is_shared and fit(self.day, days) is None

    def _score(self, days: Sequence[Column]) -> tuple[int, ...]:
        return tuple(value_of(self.day, goal, days) for goal in goals(self.day.problem))

    def _settle(self, shop: Workshop) -> None:
        settled = Settled()
        around = Neighbourhoods(shop, goals(self.day.problem))
        for goal in goals(self.day.problem):
            self.limits.begin_stage(SHARE_OF_TIME[goal])
            result = settle(shop, goal, settled, self.standing.plan, around)
            cross_check(goal.value, result.value, result.bound)
            self._keep(goal, result)
            settled = Settled({**settled.most, goal: result.value})

    def _keep(self, goal: Goal, result: Result) -> None:
        results = dict(self.standing.results) | {goal: result}
        self.standing = replace(self.standing, plan=result.plan, results=tuple(results.items()))
        self._tell_standing()

    def _tell_standing(self) -> None:
        values = self._score(self.standing.plan.columns)
        self.limits.standing = (values[0] / self.day.scale, *values[1:])

    # -- the answer ---------------------------------------------------------------------------------------

    def plan(self, floor: Search | None = None) -> Plan:
        """The standing plan with placements, times, levels and notes.

        ``floor``: the same search without breaks from driving, whose bounds hold; those of this one would not.
        """
        days = tuple(self._placed(column) for column in self.standing.plan.columns)
        planned = days_of(self.day, replace(self.standing.plan, columns=days))
        levels = self._levels(floor or self)
        proved = all(level.proved for level in levels)
        notes = self.standing.notes
        if floor is not None:
            notes = (*notes, BREAKS_NOTE)
        if self.limits.cut:
            notes = (*notes, CUT_NOTE)
        return Plan(
            rig_days=planned,
            left_out=self._left_out(days),
            levels=levels,
            outcome=Outcome.PROVED if proved else Outcome.STOPPED_WITH_PLAN,
            notes=notes,
        )

    def _placed(self, column: Column) -> Column:
        """The day with the best placement of every load."""
        return replace(column, runs=tuple(self._placed_run(column.group, run) for run in column.runs))

    def _placed_run(self, group: int, run: Run) -> Run:
        return replace(run, trips=tuple(self._best(group, run.rig, trip) for trip in run.trips))

    def _best(self, group: int, rig: int, trip: Candidate) -> Candidate:
        request = load_request(self.day.problem, trip.tasks)
        load = self.day.placer.best(self.day.groups[group].rigs[rig], request)
        keeps = load is not None and load.permit_legs == trip.permit_legs
        return replace(trip, load=load) if load is not None and keeps else trip

    def _levels(self, floor: Search) -> tuple[Level, ...]:
        """Value and bound of every goal; a bound of ``floor`` holds while the goals before it have its values."""
        levels: list[Level] = []
        known = dict(floor.standing.results)
        alike = True
        for goal in goals(self.day.problem):
            value = value_of(self.day, goal, self.standing.plan.columns)
            bound = known[goal].bound if goal in known and alike else 0
            cross_check(goal.value, value, bound)
            scale = self.day.scale if goal is Goal.LEFT_OUT else 1
            levels.append(Level(goal.value, value / scale, bound / scale, bound >= value))
            alike = alike and goal in known and known[goal].value == value
        return tuple(levels)

    def _left_out(self, days: Sequence[Column]) -> tuple[str, ...]:
        hauled = 0
        for column in days:
            hauled |= column.units
        problem = self.day.problem
        out = {haul for unit in self.day.shape.units if not hauled >> unit.number & 1 for haul in unit.hauls}
        return tuple(move.name for number, move in enumerate(problem.moves) if number in out)
