"""The days of the sheet Moves: which there are, in order, and which of them are wanted."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from dispatch.io.cells import folded, nearest
from dispatch.io.input_problems import Findings, Where
from dispatch.io.layout import MOVES
from dispatch.io.typed_rows import Row

MOST_LISTED = 12
"""Days that a message lists before it only counts them."""


def fill_days(rows: Iterable[Row], default: str) -> tuple[str, ...]:
    """Every move's day, the default where it is blank, spelled alike; gives the days, dates first, in order."""
    spelled = {folded(default): default}
    days: dict[str, None] = {}
    for row in rows:
        day = row.values.get("Day") or default
        row.values["Day"] = spelled.setdefault(folded(day), day)
        days[row.values["Day"]] = None
    dates = sorted(day for day in days if _is_date(day))
    return (*dates, *(day for day in days if not _is_date(day)))


def _is_date(day: str) -> bool:
    try:
        date.fromisoformat(day)
    except ValueError:
        return False
    return True


def same_day(first: Row, second: Row) -> bool:
    """Whether two moves are of one day."""
    return bool(first.values.get("Day") == second.values.get("Day"))


def wanted_day(days: Sequence[str], named: str, where: Where, findings: Findings, *, need_one: bool) -> str:
    """The day to plan: the one named, or the only one. Without ``need_one`` the first of many will do.

    Notes a problem that lists the days when it is not clear which is meant.
    """
    if named:
        for day in days:
            if folded(day) == folded(named):
                return day
        findings.problem(where, named, f"one of the days of {MOVES.name}: {listed(days)}", nearest(named, days))
    elif len(days) > 1 and need_one:
        expected = f"one day, and {MOVES.name} holds {len(days)}: {listed(days)}. Pick one with --day"
        findings.problem(where, "", expected)
    return days[0] if days else ""


def listed(days: Sequence[str]) -> str:
    """The days in one line; of very many the first and the last."""
    if len(days) <= MOST_LISTED:
        return ", ".join(days)
    head = ", ".join(days[: MOST_LISTED - 1])
    return f"{head}, ... {days[-1]} ({len(days)} days)"
