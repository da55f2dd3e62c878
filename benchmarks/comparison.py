"""The product against each peer, day by day at equal time: goal by goal better, equal or worse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from benchmarks.contradictions import GOALS, Goals, goals_of
from benchmarks.methods import FIRST_PLAN, PRODUCT, WITHOUT_LIMIT
from benchmarks.records import Record

LATE = 1.1
"""A peer that took longer than so many times its limit, and a second, was not in time."""


@dataclass(slots=True)
class Tally:
    """Days on which the product is better, equal, worse on a goal, those before it being equal; and overall."""

    better: list[int] = field(default_factory=lambda: [0] * len(GOALS))
    worse: list[int] = field(default_factory=lambda: [0] * len(GOALS))
    days: int = 0

    def add(self, own: Sequence[float], other: Sequence[float]) -> None:
        """One more day."""
        self.days += 1
        for place, (mine, theirs) in enumerate(zip(own, other, strict=True)):
            if mine != theirs:
                (self.better if mine < theirs else self.worse)[place] += 1
                break

    def on(self, place: int) -> str:
        """Better, equal, worse on a goal, among the days that are equal on the goals before it."""
        left = self.days - sum(self.better[:place]) - sum(self.worse[:place])
        return f"{self.better[place]} / {left - self.better[place] - self.worse[place]} / {self.worse[place]}"

    @property
    def overall(self) -> str:
        """Better, equal, worse when the goals are taken in their order."""
        better, worse = sum(self.better), sum(self.worse)
        return f"{better} / {self.days - better - worse} / {worse}"


def compare(records: Sequence[Record], size: str, limit_s: float, peer: str, plan: str = "score") -> Tally:
    """The product at a limit against a peer at the same one; a peer that ends of itself has no limit.

    ``plan``: ``bare`` compares with a routing plan before the calculator has looked at it. A day on which the peer
    has nothing, or nothing in time, does not count.
    """
    tally = Tally()
    for mine, theirs in _pairs(records, size, limit_s, peer, plan).values():
        tally.add(mine, theirs)
    return tally


def against_all(records: Sequence[Record], size: str, limit_s: float) -> tuple[int, int, int]:
    """Days with a peer's plan; on how many the product is no worse than any peer, better than every one of them.

    Left out and trips only, in that order; the plans that count are the verified ones.
    """
    days: dict[int, list[tuple[Goals, Goals]]] = {}
    for peer in peers(records):
        for seed, (mine, theirs) in _pairs(records, size, limit_s, peer, "score").items():
            days.setdefault(seed, []).append((mine[:2], theirs[:2]))
    no_worse = sum(all(mine <= theirs for mine, theirs in day) for day in days.values())
    better = sum(all(mine < theirs for mine, theirs in day) for day in days.values())
    return len(days), no_worse, better


def _pairs(
    records: Sequence[Record], size: str, limit_s: float, peer: str, plan: str
) -> dict[int, tuple[Goals, Goals]]:
    """The goals of product and peer by seed, on the days on which both have a plan in time."""
    own = {one["seed"]: one for one in _of(records, size, PRODUCT, limit_s)}
    found: dict[int, tuple[Goals, Goals]] = {}
    for other in _of(records, size, peer, 0.0 if peer in WITHOUT_LIMIT else limit_s):
        mine = own.get(other["seed"])
        theirs = other.get(plan) or (other.get("stated") if plan == "score" else None)
        if other["limit_s"] and other.get("seconds", 0) > LATE * other["limit_s"] + 1:
            continue
        goals = None if mine is None else goals_of(mine)
        if goals is not None and theirs:
            found[other["seed"]] = goals, (theirs["left_out"], theirs["trips"], theirs["cents"])
    return found


def peers(records: Sequence[Record]) -> list[str]:
    """The peers that the record knows, in the order in which they first appear."""
    return [name for name in dict.fromkeys(one["method"] for one in records) if name not in (PRODUCT, FIRST_PLAN)]


def _of(records: Sequence[Record], size: str, method: str, limit_s: float) -> list[Record]:
    wanted = (size, method, limit_s)
    return [one for one in records if (one["size"], one["method"], one["limit_s"]) == wanted]
