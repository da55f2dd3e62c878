"""Whether a plan of any method contradicts a bound that any method states for the day: then one is wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from benchmarks.records import Record

GOALS = ("left out", "trips", "cost")
SLACK = 1e-6
Goals = tuple[float, ...]


def contradictions(records: Iterable[Record]) -> list[str]:
    """A sentence for every contradiction and for every plan that the verifier refuses."""
    by_day: dict[tuple[str, int, str], list[Record]] = defaultdict(list)
    for record in records:
        by_day[record["size"], record["seed"], record.get("day", "")].append(record)
    return [text for day in by_day.values() for text in _of_a_day(day)]


def _of_a_day(records: Sequence[Record]) -> Iterator[str]:
    for record in records:
        for name in ("score", "bare"):
            score = record.get(name)
            if score and score["violations"]:
                yield f"{_about(record)}: the verifier refuses the plan ({score['violations']} violations)"
    plans = [(record, goals) for record in records if (goals := goals_of(record)) is not None]
    for stating in records:
        told: dict[str, None] = {}
        for bounds, own in _statements(stating):
            for record, goals in plans:
                told |= dict.fromkeys(_one(stating, bounds, own, record, goals))
        yield from told


def _statements(record: Record) -> Iterator[tuple[Mapping[str, float], Goals]]:
    """Bounds with the values of the plan beside which they were stated: in the end, and on the way there."""
    own = goals_of(record)
    if own is not None:
        yield record["bounds"], own
    for _, goal, standing, bound in record.get("events", ()):
        if standing and bound is not None:
            yield {goal: bound}, tuple(standing)


def goals_of(record: Record) -> Goals | None:
    """Values in the order of the goals, of a verified plan or as an exact method states them; else ``None``."""
    score = record.get("score") or record.get("stated")
    if not score or score.get("violations"):
        return None
    return score["left_out"], score["trips"], score["cents"]


def _one(stating: Record, bounds: Mapping[str, float], own: Goals, record: Record, goals: Goals) -> Iterator[str]:
    """A goal's bound holds for plans as good on the goals before it as the plan that it stands beside."""
    for place, name in enumerate(GOALS):
        bound = bounds.get(name)
        as_good = all(goals[before] <= own[before] + SLACK for before in range(place))
        if bound is not None and as_good and goals[place] < bound - SLACK:
            yield (
                f"{_about(stating)} says that {name} is {bound:g} at least; {record['method']} at "
                f"{record['limit_s']:g} s has {goals[place]:g}"
            )


def _about(record: Record) -> str:
    return f"{record['size']} seed {record['seed']}, {record['method']} at {record['limit_s']:g} s"
