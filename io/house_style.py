"""How everything looks, in one place, whatever the medium: fonts, sizes, greys, marks of status and of doing.

Nothing is told by colour alone: a status has a word and a shape, a doing has a letter and a shade that prints.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Literal

from dispatch.checks import Check, graded
from dispatch.day_bars import Doing

FONT, PICTURE_FONT = "Arial", "DejaVu Sans"
BODY_PT, PAGE_PT, PAGE_SMALL_PT, SMALL_PT, SECTION_PT, TITLE_PT = 10.0, 9.0, 8.5, 8.0, 12.0, 16.0
"""Sizes in points: of tables, of a driver's page, of its tables, of small print, of headings."""
INK, DARK, MID, PALE, WHITE = "#202020", "#404040", "#8c8c8c", "#e6e6e6", "#ffffff"
TIGHT_USE = 0.95
"""From this use on a met check is called tight: a convention of the outputs, no law."""


class Status(StrEnum):
    """How a check or a fact stands."""

    MET = "met"
    TIGHT = "tight"
    PERMIT = "by permit"
    BROKEN = "not met"


@dataclass(frozen=True, slots=True)
class StatusMark:
    """The shape beside a status's word, and its fill and letters as six hexadecimal digits."""

    shape: str
    fill: str
    letters: str = "000000"


STATUS_MARKS = MappingProxyType(
    {
        Status.MET: StatusMark("\u25cb", "FFFFFF"),
        Status.TIGHT: StatusMark("\u25b2", "FFE699"),
        Status.PERMIT: StatusMark("\u25ca", "BDD7EE"),
        Status.BROKEN: StatusMark("\u25a0", "7F1D1D", "FFFFFF"),
    }
)
"""Circle, triangle, lozenge, square: shapes that every font of the office has."""


@dataclass(frozen=True, slots=True)
class DoingMark:
    """The letter of a doing, its shade and letters as six hexadecimal digits, and whether the letter is bold.

    ``pattern`` is a hatching by its name in a workbook (ECMA-376, part 1, 18.18.55).
    """

    letter: str
    fill: str
    letters: str = "000000"
    bold: bool = False
    pattern: Literal["solid", "lightUp", "lightTrellis"] = "solid"


DOING_MARKS = MappingProxyType(
    {
        Doing.LOADED: DoingMark("D", "404040", "FFFFFF", bold=True),
        Doing.EMPTY: DoingMark("e", "FFFFFF"),
        Doing.LOADING: DoingMark("L", "A6A6A6", bold=True),
        Doing.UNLOADING: DoingMark("U", "D0D0D0", bold=True),
        Doing.WAITING: DoingMark("w", "BFBFBF", pattern="lightUp"),
        Doing.BREAK: DoingMark("b", "BFBFBF", bold=True, pattern="lightTrellis"),
    }
)


def status_of(check: Check) -> Status:
    """How a check stands. Lengths, widths and counts are met or not, and never tight."""
    if not check.ok:
        return Status.BROKEN
    if check.waived:
        return Status.PERMIT
    return status_of_use(check.use) if graded(check) else Status.MET


def status_of_use(use: float) -> Status:
    """How a use of a met limit stands, 1.0 being all of it."""
    return Status.TIGHT if use >= TIGHT_USE else Status.MET
