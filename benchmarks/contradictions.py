"""Whether a plan of any method contradicts a bound that any method states for the day: then one is wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

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
    plans = [(record, goals_of(record)) for record in records]
    for stating in records:
        own = goals_of(stating)
        for record, goals in plans:
            if own is not None and goals is not None:
                yield from _one(stating, own, record, goals)


def goals_of(record: Record) -> Goals | None:
    """Values in the order of the goals, of a verified plan or as an exact method states them; else ``None``."""
    score = record.get("score") or record.get("stated")
    if not score or score.get("violations"):
        return None
    return score["left_out"], score["trips"], score["cents"]


def _one(stating: Record, own: Goals, record: Record, goals: Goals) -> Iterator[str]:
    """A goal's bound holds for plans as good on the goals before it as the plan that it stands beside."""
    for place, name in enumerate(GOALS):
        bound = stating["bounds"].get(name)
        as_good = all(goals[before] <= own[before] + SLACK for before in range(place))
        if bound is not None and as_good and goals[place] < bound - SLACK:
            yield (
                f"{_about(stating)} says that {name} is {bound:g} at least; {record['method']} at "
                f"{record['limit_s']:g} s has {goals[place]:g}"
            )


def _about(record: Record) -> str:
    return f"{record['size']} seed {record['seed']}, {record['method']} at {record['limit_s']:g} s"
