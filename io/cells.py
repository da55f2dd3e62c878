"""One cell -> a number with its unit, yes or no, a choice, text or a list - or a ``BadCell``. No file access.

The grammar is small on purpose: what could mean two things is refused, never guessed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from difflib import get_close_matches
from typing import NoReturn

from dispatch.io.unit_names import CANONICAL, Dimension, dimension_of, factor, unit_of, units_of


@dataclass(frozen=True, slots=True)
class ErrorValue:
    """An error that the spreadsheet program left in the cell, such as ``#N/A``."""

    code: str


@dataclass(frozen=True, slots=True)
class NoStoredValue:
    """A formula whose result was never stored in the file."""

    formula: str


@dataclass(frozen=True, slots=True)
class ShownWith:
    """A bare number that the cell's format shows with a unit: 0.03 as ``3%``, 5600 as ``5,600 kg``."""

    number: float
    unit: str


CellValue = (
    str | int | float | bool | date | datetime | time | timedelta | ErrorValue | NoStoredValue | ShownWith | None
)
ERROR_CODES = ("#N/A", "#VALUE!", "#REF!", "#DIV/0!", "#NAME?", "#NUM!", "#NULL!", "#SPILL!", "#CALC!")
YES = ("yes", "y", "true", "x")
NO = ("no", "n", "false")
NO_PERMIT = (
    *YES,
    *NO,
    "none",
    "no permit",
    "not needed",
    "not required",
    "n/a",
    "na",
    "nil",
    "needed",
    "required",
)
NO_PERMIT_YET = ("pending", "applied", "applied for", "to be applied for", "requested", "ordered", "tbd", "tba")
LONGEST_TEXT = 1_000


class BadCell(Exception):
    """A cell that cannot be read: what was expected instead, and the nearest valid value where there is one."""

    def __init__(self, expected: str, mend: str = "") -> None:
        self.expected = expected
        self.mend = mend
        super().__init__(expected)


_NUMBER = r"(?:[0-9]+|[1-9][0-9]{0,2}(?:,[0-9]{3})+)(?:\.[0-9]+)?|\.[0-9]+"
_QUANTITY = re.compile(rf"([+-]?)(\$?)\s*({_NUMBER})\s*([^0-9.,+\s-].*)?")
_PAIR = re.compile(rf"([+-]?)({_NUMBER})\s*([a-z']+)[\s-]*({_NUMBER})\s*([a-z\"]+)", re.IGNORECASE)
_QUOTES = str.maketrans({"’": "'", "′": "'", "”": '"', "“": '"', "″": '"', "−": "-", "–": "-"})
_PAIRS = {("ft", "in"): 12, ("h", "min"): 60}


def tidy(text: str) -> str:
    """Text without outer blanks, every run of blanks (also no-break ones) as one space."""
    return " ".join(text.split())


def is_blank(value: CellValue) -> bool:
    """Whether the cell holds nothing: empty, or blanks only."""
    return value is None or (isinstance(value, str) and not value.strip())


def shown(value: CellValue) -> str:
    """The cell as a message quotes it."""
    if isinstance(value, ErrorValue):
        return value.code
    if isinstance(value, NoStoredValue):
        return value.formula
    if isinstance(value, ShownWith):
        number = value.number * 100 if value.unit == "%" else value.number
        return f"{number:.12g} {value.unit}".replace(" %", "%")
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, float):
        return f"{value:.12g}"
    text = "" if value is None else tidy(str(value))
    return text if len(text) <= 60 else text[:57] + "..."


def refuse_broken(value: CellValue) -> None:
    """Raises BadCell when the cell holds an error or a formula without a stored value."""
    if isinstance(value, ErrorValue):
        raise BadCell("a value; the cell holds an error, mend the formula behind it")
    if isinstance(value, NoStoredValue):
        raise BadCell("a value; the formula has no stored result, open and save the file in a spreadsheet program")
    if isinstance(value, str) and len(value) > LONGEST_TEXT:
        raise BadCell(f"at most {LONGEST_TEXT} characters")


def number(value: CellValue, dimension: Dimension, unit: str) -> float:
    """The cell's number in the dimension's canonical unit; ``unit`` holds for a bare number.

    Raises BadCell when the cell is no such number, or could be read in two ways.
    """
    refuse_broken(value)
    if isinstance(value, str):
        return _finite(_from_text(_clean(value), dimension, unit), dimension, unit)
    if isinstance(value, ShownWith):
        return _shown_number(value, dimension, unit)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadCell(f"{_wanted(dimension, unit)}; {_what_it_is(value)}")
    try:
        return _finite(float(value) * factor(unit, CANONICAL[dimension]), dimension, unit)
    except OverflowError as error:
        raise BadCell(_wanted(dimension, unit)) from error


def _what_it_is(value: CellValue) -> str:
    if value is None:
        return "the cell is empty"
    if isinstance(value, bool):
        return "the cell holds TRUE or FALSE"
    return "the spreadsheet program has made a date or a time of it, format the cell as a number"


def _clean(text: str) -> str:
    return tidy(text.translate(_QUOTES))


def _wanted(dimension: Dimension, unit: str) -> str:
    examples = {
        Dimension.WEIGHT: "12,400, 12,400 lb or 5.6 t",
        Dimension.LENGTH: "20.5, 20' 6\", 7 ft 2 in or 6.1 m",
        Dimension.DISTANCE: "12.4 or 20 km",
        Dimension.DURATION: "20 min or 1.5 h",
        Dimension.PLAIN: "3 or 1.5",
    }
    example = examples.get(dimension, f"12.5 {unit}".strip())
    bare = f", a bare number in {unit}" if unit else ""
    article = "an" if dimension.value[0] in "aeiou" else "a"
    return f"{article} {dimension.value} such as {example}{bare}"


def _finite(result: float, dimension: Dimension, unit: str) -> float:
    if not math.isfinite(result):
        raise BadCell(_wanted(dimension, unit))
    return result


def _shown_number(value: ShownWith, dimension: Dimension, unit: str) -> float:
    if value.unit == "%" and dimension is Dimension.PER_CENT:
        return _finite(value.number * 100, dimension, unit)
    return _finite(value.number * _factor_of(value.unit, dimension, unit), dimension, unit)


def _from_text(text: str, dimension: Dimension, unit: str) -> float:
    pair = _PAIR.fullmatch(text)
    if pair is not None:
        return _from_pair(pair, dimension, unit)
    match = _QUANTITY.fullmatch(text)
    if match is None or re.search(r"[0-9]", match[4] or ""):
        _refuse(text, dimension, unit)
    sign, dollar, digits, suffix = match.groups()
    if dollar and dimension not in (Dimension.MONEY, Dimension.MONEY_PER_HOUR, Dimension.MONEY_PER_MILE):
        raise BadCell(_wanted(dimension, unit))
    by = _factor_of(suffix, dimension, unit, sign + digits) if suffix else factor(unit, CANONICAL[dimension])
    return _signed(sign, _plain(digits)) * by


def _factor_of(spelling: str, dimension: Dimension, unit: str, digits: str = "") -> float:
    found = unit_of(spelling, dimension)
    if found is not None:
        return factor(found, CANONICAL[dimension])
    units = units_of(dimension)
    other = dimension_of(spelling)
    said = f'"{spelling}" is a unit of {other.value}' if other else f'"{spelling}" is no unit known here'
    if spelling.strip() == "T":
        said += "; write t for 1,000 kg or ton for 2,000 lb"
    close = [] if other or spelling == "T" else get_close_matches(spelling.casefold(), units, n=1, cutoff=0.8)
    allowed = f"a unit among {', '.join(units)}" if units else "no unit"
    mend = f"{digits} {close[0]}".strip() if close else ""
    raise BadCell(f"{_wanted(dimension, unit)}, with {allowed}; {said}", mend)


def _from_pair(match: re.Match[str], dimension: Dimension, unit: str) -> float:
    """A quantity in two parts, ``7 ft 2 in`` or ``1 h 30 min``: a whole number, then less than one of it."""
    sign, first, first_spelling, second, second_spelling = match.groups()
    units = unit_of(first_spelling, dimension), unit_of(second_spelling, dimension)
    most = _PAIRS.get(units)  # type: ignore[arg-type]
    if most is None:
        _refuse(match.group(), dimension, unit)
    if "." in first or _plain(second) >= most:
        total = _plain(first) + _plain(second) / most
        raise BadCell(f"whole {units[0]} and less than {most} {units[1]}", f"{sign}{total:.6g} {units[0]}")
    canonical = CANONICAL[dimension]
    parts = _plain(first) * factor(units[0] or "", canonical) + _plain(second) * factor(units[1] or "", canonical)
    return _signed(sign, parts)


def _plain(digits: str) -> float:
    return float(digits.replace(",", ""))


def _signed(sign: str, size: float) -> float:
    return -size if sign == "-" else size


_MENDS = (
    # 5 1/2 ft, 5-1/2 ft
    (re.compile(r"([0-9]+)[ -]([0-9]+)/([1-9][0-9]*)(.*)"), "fraction"),
    # 12 500 lb
    (re.compile(r"([0-9]{1,3}(?: [0-9]{3})+)((?:\.[0-9]+)?\D*)"), "spaces"),
    # 12,5 or 5,2 t: one comma that is no thousands group
    (re.compile(r"([0-9]+),([0-9]+)(\D*)"), "comma"),
    # 20' 6, 20 ft 6
    (re.compile(r"([0-9]+ ?(?:'|ft)) ?([0-9]+)", re.IGNORECASE), "inches"),
)


def _refuse(text: str, dimension: Dimension, unit: str) -> NoReturn:
    """Raises BadCell with the nearest valid spelling of what the text may have meant."""
    mend, why = "", ""
    for pattern, kind in _MENDS:
        match = pattern.fullmatch(text)
        if match is None:
            continue
        parts = match.groups()
        if kind == "fraction":
            mend = f"{int(parts[0]) + int(parts[1]) / int(parts[2]):.6g}{parts[3]}"
            why = "; write fractions as decimals"
        elif kind == "spaces":
            mend, why = parts[0].replace(" ", ",") + parts[1], "; a blank is no thousands mark"
        elif kind == "comma":
            mend = f"{parts[0]}.{parts[1]}{parts[2]}"
            why = "; the comma is ambiguous, write 12,500 for thousands and 12.5 for decimals"
        else:
            mend, why = f"{parts[0]} {parts[1]} in", "; the second part has no unit"
        break
    raise BadCell(_wanted(dimension, unit) + why, mend)


def count(value: CellValue) -> int:
    """A whole number. Raises BadCell when it is none."""
    found = number(value, Dimension.PLAIN, "")
    if found != int(found):
        raise BadCell("a whole number", f"{round(found)}")
    return int(found)


def text_of(value: CellValue, *, is_name: bool = False) -> str:
    """The cell as text; 12 and 12.0 give ``12``.

    ``is_name``: the cell names something, so a date (what a spreadsheet program makes of ``3-12``) is refused.
    Raises BadCell for errors, formulas without a stored value and such dates.
    """
    refuse_broken(value)
    if isinstance(value, date | time | timedelta):
        if is_name:
            raise BadCell(
                "a name; the spreadsheet program has made a date or a time of it, format the cell as text"
            )
        return str(value)
    if isinstance(value, float) and not math.isfinite(value):
        raise BadCell("a name or text")
    if isinstance(value, float) and value == int(value):
        return str(int(value))
    if isinstance(value, ShownWith):
        return text_of(value.number)
    if isinstance(value, str):
        return tidy(value)
    return shown(value)


def permit_number(value: CellValue) -> str:
    """A permit's number. Raises BadCell for an answer (no, none, yes, pending), which is no permit in hand.

    Read as text, a ``no`` would let an oversize load go.
    """
    text = text_of(value)
    if folded(text.rstrip(".")) in (*NO_PERMIT, *NO_PERMIT_YET) or not any(sign.isalnum() for sign in text):
        raise BadCell("the number of the permit in hand, or an empty cell where there is none")
    return text


def yes_no(value: CellValue) -> bool:
    """Yes or no. Raises BadCell for anything but yes, no, y, n, true, false, x."""
    refuse_broken(value)
    if isinstance(value, bool):
        return value
    word = text_of(value).casefold()
    if word in YES:
        return True
    if word in NO:
        return False
    close = get_close_matches(word, (*YES, *NO), n=1)
    guess = {"1": "yes", "0": "no"}.get(word, close[0] if close else "")
    raise BadCell("yes or no (also y, n, true, false, x)", guess)


def folded(text: str) -> str:
    """What two spellings must share to be the same name: case, extra blanks, hyphens, tire/tyre do not count."""
    plain = tidy(text.replace("-", " ").replace("_", " ")).casefold()
    return plain.replace("tire", "tyre").replace("license", "licence")


def choice(value: CellValue, choices: Sequence[str]) -> str:
    """One of the choices, in its own spelling. Raises BadCell when it is none of them."""
    word = text_of(value)
    for one in choices:
        if folded(one) == folded(word):
            return one
    raise BadCell("one of " + ", ".join(choices), nearest(word, choices))


def nearest(word: str, among: Iterable[str]) -> str:
    """The most similar of the names, or nothing when none is similar."""
    spellings = {name.casefold(): name for name in among}
    close = get_close_matches(word.casefold(), spellings, n=1)
    return spellings[close[0]] if close else ""


def names(value: CellValue) -> tuple[str, ...]:
    """Names with ``;`` between them, blanks dropped. Raises BadCell for what is no text."""
    parts = (tidy(part) for part in text_of(value, is_name=True).split(";"))
    return tuple(part for part in parts if part)


_SHARES = re.compile(rf"(?:{_NUMBER})(?:\s*:\s*(?:{_NUMBER}))*")


def shares(value: CellValue) -> tuple[float, ...]:
    """Parts such as ``1:1:1`` as they stand, all above zero; also where a spreadsheet made a time of them.

    Raises BadCell when they are no such parts.
    """
    refuse_broken(value)
    if isinstance(value, time):
        parts = (value.hour, value.minute, value.second) if value.second else (value.hour, value.minute)
        found = tuple(float(part) for part in parts)
    else:
        text = text_of(value, is_name=True)
        found = tuple(_plain(part.strip()) for part in text.split(":")) if _SHARES.fullmatch(text) else ()
    if not found or min(found) <= 0:
        raise BadCell("one part an axle with : between, such as 1:1:1, format the cell as text")
    return found
