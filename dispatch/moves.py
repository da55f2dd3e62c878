"""What must be hauled today: moves, and the hauls (a move's item or a companion's) that trips are made of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dispatch.items import Item, LoadsBy


class Status(StrEnum):
    """Where a move stands when the day is planned again."""

    OPEN = "open"
    LOADED = "loaded"
    DONE = "done"


@dataclass(frozen=True, slots=True)
class Permit:
    """A permit entered on a move. Hours (minutes after midnight) bind the legs over the limits."""

    text: str
    from_min: int | None = None
    to_min: int | None = None
    cost_usd: float = 0.0


@dataclass(frozen=True, slots=True)
class Move:
    """One item from one site to another, in a time window (minutes after midnight)."""

    name: str
    item: Item
    origin: str
    destination: str
    load_min: int
    unload_min: int
    ready_min: int | None = None
    due_min: int | None = None
    priority: float = 1.0
    job: str = ""
    runs: bool = True
    companions: tuple[str, ...] = ()
    only_rigs: tuple[str, ...] = ()
    not_rigs: tuple[str, ...] = ()
    permit: Permit | None = None
    note: str = ""
    status: Status = Status.OPEN
    rig: str = ""
    start_min: int | None = None


@dataclass(frozen=True, slots=True)
class Haul:
    """One item to carry once: a move's own item, or a companion without a move of its own.

    ``index`` is its place in ``Problem.hauls``; ``move`` is the move's name (for a companion: the move that it
    rides along with). A companion takes the move's sites and window. ``how`` is how it comes on and off today:
    a dead machine that would drive on is winched.
    """

    index: int
    move: str
    item: Item
    origin: str
    destination: str
    load_min: int
    unload_min: int
    ready_min: int | None
    due_min: int | None
    how: LoadsBy
    companion: bool = False
    permit: Permit | None = None
