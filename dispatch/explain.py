"""Why a move was left out or an item fits no rig, in numbers, and what would change it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reason:
    """Why one rig cannot (or did not) carry a move: text with numbers for people."""

    rig: str
    text: str


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A move left out: one reason a rig, and what would change it (may be empty)."""

    move: str
    item: str
    reasons: tuple[Reason, ...]
    change: str
