"""Rigs that are alike, and rigs that are never out at the same time because they share gear.

A group is what a column of the master is made for: one rig, or several rigs that all share gear with each other
and so take turns. Single rigs that are alike in everything that the day's plan looks at form one group with a
count. Where gear is shared in a chain (a truck by two, a driver by the next two) the rigs of the chain are cut
into groups that take turns inside; ``crossing`` names the pairs of rigs in different groups that still may not
be out together.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from dispatch.driver_hours import HoursRule, hours_rule
from dispatch.fleet import Rig
from dispatch.moves import Move, Status
from dispatch.placement import Placer
from dispatch.problem import Problem, shares_gear
from dispatch.timing import NEVER_MIN


@dataclass(frozen=True, slots=True)
class RigGroup:
    """``rigs`` take turns. ``names``: for a single rig all rigs alike, one of which works a column's day.

    ``driver``: number of the driver of each rig within the group; ``hours``: the hours rule of each driver.
    """

    number: int
    rigs: tuple[Rig, ...]
    names: tuple[str, ...]
    driver: tuple[int, ...]
    hours: tuple[HoursRule, ...]

    @property
    def count(self) -> int:
        """How many days of the group's kind can be worked at once."""
        return len(self.names) if len(self.rigs) == 1 else 1


@dataclass(frozen=True, slots=True)
class Grouping:
    """The fleet in groups. ``crossing``: pairs of rigs in different groups that share gear."""

    groups: tuple[RigGroup, ...]
    crossing: tuple[tuple[str, str], ...]


def group_rigs(problem: Problem, placer: Placer) -> Grouping:
    """The day's rigs in groups, in the order of the problem."""
    teams = _teams(problem.rigs)
    alike: dict[Hashable, list[Rig]] = {}
    for team in teams:
        key: Hashable = team if len(team) > 1 else rig_class(problem, placer, team[0])
        alike.setdefault(key, []).extend(team)
    sharing = {rig.name for team in teams if len(team) > 1 for rig in team}
    crossing = _crossing(problem.rigs, teams)
    loose = {name for pair in crossing for name in pair} - sharing
    groups: list[RigGroup] = []
    for rigs in alike.values():
        if rigs[0].name in sharing:
            groups.append(_group(problem, len(groups), rigs, ()))
        else:
            single = [[rig] for rig in rigs if rig.name in loose] + [[r for r in rigs if r.name not in loose]]
            groups += [
                _group(problem, len(groups) + place, same[:1], [rig.name for rig in same])
                for place, same in enumerate(part for part in single if part)
            ]
    return Grouping(tuple(groups), crossing)


def allowed(problem: Problem, rig: Rig, move: Move) -> bool:
    """Whether the rig may carry the move at all: Only rigs, Not rigs, and where it is already loaded."""
    elsewhere = move.status is Status.LOADED and move.rig not in {"", rig.name}
    return problem.may_carry(rig, move) and not elsewhere


def rig_class(problem: Problem, placer: Placer, rig: Rig) -> Hashable:
    """Equal for rigs alike in legality, places, hours, cost and what they may carry."""
    may = tuple(allowed(problem, rig, move) for move in problem.moves)
    money = (rig.cost_per_hour_usd, rig.cost_per_mile_usd, rig.cost_per_trip_usd)
    overtime = (rig.overtime_after_min, rig.overtime_factor)
    hours = (rig.shift_start_min, rig.shift_end_min, rig.driving_limit_min)
    return (placer.load_class(rig), rig.yard, rig.end, hours, money, overtime, may)


def trip_class(problem: Problem, placer: Placer, rig: Rig) -> Hashable:
    """Equal for rigs that have the same candidate trips."""
    may = tuple(allowed(problem, rig, move) for move in problem.moves)
    return (placer.load_class(rig), rig.yard, rig.end, rig.shift_start_min, rig.shift_end_min, may)


def _teams(rigs: Sequence[Rig]) -> list[tuple[Rig, ...]]:
    """Rigs put together as long as every two of a team share gear."""
    teams: list[list[Rig]] = []
    for rig in rigs:
        for team in teams:
            if all(shares_gear(rig, other) for other in team):
                team.append(rig)
                break
        else:
            teams.append([rig])
    return [tuple(team) for team in teams]


def _crossing(rigs: Sequence[Rig], teams: Sequence[Sequence[Rig]]) -> tuple[tuple[str, str], ...]:
    team_of = {rig.name: number for number, team in enumerate(teams) for rig in team}
    return tuple(
        (first.name, second.name)
        for place, first in enumerate(rigs)
        for second in rigs[place + 1 :]
        if team_of[first.name] != team_of[second.name] and shares_gear(first, second)
    )


def _group(problem: Problem, number: int, rigs: Sequence[Rig], names: Sequence[str]) -> RigGroup:
    drivers: dict[str, int] = {}
    driver = tuple(drivers.setdefault(rig.driver or f"\0{rig.name}", len(drivers)) for rig in rigs)
    hours = tuple(
        _least_hours(problem, [rig for rig, own in zip(rigs, driver, strict=True) if own == one])
        for one in range(len(drivers))
    )
    return RigGroup(number, tuple(rigs), tuple(names), driver, hours)


def _least_hours(problem: Problem, rigs: Sequence[Rig]) -> HoursRule:
    """The hours of the driver of these rigs; of several driving limits the least holds."""
    rules = [hours_rule(problem.rules, rig.driving_limit_min) for rig in rigs]
    return min(rules, key=lambda rule: NEVER_MIN if rule.driving_min is None else rule.driving_min)
