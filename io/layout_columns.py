"""What a column is: the type behind the declaration of the workbooks, and short builders for it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from dispatch.io.cells import folded
from dispatch.io.unit_names import Dimension


class Reads(StrEnum):
    """What a cell of a column is read as."""

    NUMBER = "number"
    COUNT = "whole number"
    TIME = "time of day"
    TIME_SPAN = "span of times"
    DAY = "date"
    DAY_NAME = "date or name of a day"
    YES_NO = "yes or no"
    CHOICE = "choice"
    NAME = "name"
    REFERENCE = "name from another sheet"
    REFERENCES = "names from another sheet, ; between them"
    TEXT = "text"
    PERMIT = "permit number"
    SHARES = "parts such as 1:1:1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a sheet, or one row of Settings.

    ``value`` is what a blank cell means, in ``unit``; ``default`` says it in words where it is a rule.
    ``least``/``above``/``most`` are what is possible (outside is a problem) and ``usual`` what is plausible
    (outside is a warning), in ``unit``. ``sheet`` is where a reference leads. ``unit_text`` replaces the
    unit in the printed header; without ``show_unit`` the header has none.
    """

    name: str
    reads: Reads
    meaning: str
    example: str = ""
    where: str = ""
    dimension: Dimension = Dimension.PLAIN
    unit: str = ""
    unit_text: str = ""
    show_unit: bool = True
    required: bool = False
    value: Any = None
    default: str = ""
    choices: tuple[str, ...] = ()
    sheet: str = ""
    least: float | None = None
    above: float | None = None
    most: float | None = None
    usual: tuple[float, float] | None = None

    @property
    def header(self) -> str:
        """The header as printed: ``Name (unit)``."""
        unit = (self.unit_text or self.unit) if self.show_unit else ""
        return f"{self.name} ({unit})" if unit else self.name

    @property
    def key(self) -> str:
        """What two spellings of the header share."""
        return folded(self.name)

    @property
    def default_text(self) -> str:
        """What a blank cell means, in words; nothing when it means nothing."""
        if self.default or self.value is None:
            return self.default
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        return f"{self.value:g}" if isinstance(self.value, float | int) else str(self.value)

    @property
    def is_number(self) -> bool:
        """Whether cells hold one number."""
        return self.reads in (Reads.NUMBER, Reads.COUNT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One input sheet. ``keys``: the columns that together name a row; ``later_wins``: a repeat overrides.

    ``repeats``: rows may have the same key, and all of them count.
    """

    name: str
    purpose: str
    columns: tuple[Column, ...]
    keys: tuple[str, ...]
    required: bool = False
    later_wins: bool = False
    repeats: bool = False

    def column(self, name: str) -> Column:
        """The column of that name; raises KeyError when there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(f"{self.name}: {name}")


def weight(name: str, meaning: str, **more: Any) -> Column:
    """A weight in pounds, not negative."""
    return _number(name, meaning, Dimension.WEIGHT, "lb", more)


def length(name: str, meaning: str, unit: str = "ft", **more: Any) -> Column:
    """A length in feet (or inches), not negative."""
    return _number(name, meaning, Dimension.LENGTH, unit, more)


def duration(name: str, meaning: str, unit: str = "min", **more: Any) -> Column:
    """A duration in minutes (or hours), not negative."""
    return _number(name, meaning, Dimension.DURATION, unit, more)


def money(name: str, meaning: str, dimension: Dimension = Dimension.MONEY, **more: Any) -> Column:
    """A sum of money, or a cost per hour or mile; not negative."""
    units = {Dimension.MONEY_PER_HOUR: "USD/h", Dimension.MONEY_PER_MILE: "USD/mi"}
    return _number(name, meaning, dimension, units.get(dimension, "USD"), more)


def per_cent(name: str, meaning: str, **more: Any) -> Column:
    """A percentage from 0 to 100."""
    return _number(name, meaning, Dimension.PER_CENT, "%", {"most": 100.0} | more)


def plain(name: str, meaning: str, **more: Any) -> Column:
    """A number without unit, not negative."""
    return _number(name, meaning, Dimension.PLAIN, "", more)


def other(name: str, meaning: str, dimension: Dimension, unit: str, **more: Any) -> Column:
    """A number of another dimension, not negative."""
    return _number(name, meaning, dimension, unit, more)


def _number(name: str, meaning: str, dimension: Dimension, unit: str, more: dict[str, Any]) -> Column:
    bounds = {} if "above" in more or "least" in more else {"least": 0.0}
    values = bounds | more
    return Column(name=name, reads=Reads.NUMBER, meaning=meaning, dimension=dimension, unit=unit, **values)


def whole(name: str, meaning: str, **more: Any) -> Column:
    """A whole number, not negative."""
    return Column(name=name, reads=Reads.COUNT, meaning=meaning, **({"least": 0} | more))


def named(name: str, meaning: str, **more: Any) -> Column:
    """The name of a row; required."""
    return Column(name=name, reads=Reads.NAME, meaning=meaning, required=True, **more)


def refers(name: str, sheet: str, meaning: str, **more: Any) -> Column:
    """The name of a row of another sheet."""
    return Column(name=name, reads=Reads.REFERENCE, sheet=sheet, meaning=meaning, **more)


def refers_many(name: str, sheet: str, meaning: str, **more: Any) -> Column:
    """Names of rows of another sheet."""
    return Column(name=name, reads=Reads.REFERENCES, sheet=sheet, meaning=meaning, **more)


def text(name: str, meaning: str, **more: Any) -> Column:
    """Free text."""
    return Column(name=name, reads=Reads.TEXT, meaning=meaning, **more)


def permit(name: str, meaning: str, **more: Any) -> Column:
    """The number of a permit in hand."""
    return Column(name=name, reads=Reads.PERMIT, meaning=meaning, **more)


def one_of(name: str, choices: type[StrEnum] | tuple[str, ...], meaning: str, **more: Any) -> Column:
    """One of a few words."""
    words = choices if isinstance(choices, tuple) else tuple(str(one) for one in choices)
    return Column(name=name, reads=Reads.CHOICE, choices=words, meaning=meaning, **more)


def yes(name: str, meaning: str, value: bool, **more: Any) -> Column:
    """Yes or no; a blank cell means ``value``."""
    return Column(name=name, reads=Reads.YES_NO, meaning=meaning, value=value, **more)


def clock_time(name: str, meaning: str, **more: Any) -> Column:
    """A time of day."""
    return Column(name=name, reads=Reads.TIME, meaning=meaning, **more)
