"""One cell -> a time of day, a span of times or a date - or a ``BadCell``. No file access."""

from __future__ import annotations

import re
from datetime import date, datetime, time, timedelta

from dispatch.io.cells import BadCell, CellValue, refuse_broken, shown, text_of

from dispatch.units import clock

WANTED = "a time of day such as 7:30, 19:05 or 7:30 AM"
DAY_MIN = 24 * 60
_TIME = re.compile(r"([0-9]{1,2})(?::([0-9]{2})(?::([0-9]{2}))?)?\s*([ap])?(?:\.?m\.?)?", re.IGNORECASE)
_OTHER_DATE = re.compile(r"[0-9]{1,4}([-/.])[0-9]{1,2}\1[0-9]{1,4}")
_DAY_ZERO = (date(1899, 12, 30), date(1904, 1, 1))
_SERIAL_ONE = datetime(1900, 1, 1)


def time_of_day(value: CellValue, day: date | None = None) -> int:
    """Minutes after midnight, 0 to 1,440 (24:00).

    ``day``: a cell that carries a date too is accepted when it is this one. Raises BadCell when the cell is no
    time, or could be read in two ways (7, 7.5, 730).
    """
    refuse_broken(value)
    if isinstance(value, bool):
        raise BadCell(WANTED)
    if isinstance(value, datetime):
        return _of_date_time(value, day)
    if isinstance(value, time):
        return _whole(value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6)
    if isinstance(value, timedelta):
        return _whole(value.total_seconds())
    if isinstance(value, int | float):
        return _of_number(float(value))
    if isinstance(value, str):
        return _of_text(text_of(value))
    raise BadCell(WANTED)


def _of_date_time(value: datetime, day: date | None) -> int:
    seconds = value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6
    if value == _SERIAL_ONE:
        return DAY_MIN
    if value.date() in _DAY_ZERO or (value.date() == day and seconds):
        return _whole(seconds)
    planned = f" on the day planned, {day.isoformat()}," if day and seconds else ""
    raise BadCell(f"{WANTED},{planned} without a date", clock(int(seconds // 60)) if seconds else "")


def _of_number(value: float) -> int:
    """A fraction of a day, as spreadsheets store times."""
    if 0 <= value < 1:
        return _whole(value * 86_400)
    mend = _mended(f"{value:.0f}") if value in range(2400) else ""
    raise BadCell(f"{WANTED}; a bare number is not read as an hour", mend)


def _whole(seconds: float) -> int:
    minutes = round(seconds / 60)
    if abs(seconds - minutes * 60) > 1:
        raise BadCell("a time of day in whole minutes", clock(int(seconds // 60)))
    if not 0 <= minutes <= DAY_MIN:
        raise BadCell("a time of day from 0:00 to 24:00")
    return minutes


def _of_text(text: str) -> int:
    match = _TIME.fullmatch(text)
    bare = match is not None and match[2] is None and match[4] is None
    if match is None or bare:
        raise BadCell(WANTED, _mended(text))
    hour, minute, second = (int(part or 0) for part in match.group(1, 2, 3))
    half = (match[4] or "").casefold()
    if match[4] is None and text[-1].casefold() == "m":
        raise BadCell(WANTED)
    if minute > 59 or second > 59 or hour > 24 or (half and not 1 <= hour <= 12):
        raise BadCell(WANTED)
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return _whole(hour * 3600 + minute * 60 + second)


def _mended(text: str) -> str:
    """``7`` -> 7:00, ``0730`` -> 07:30, ``7.30`` and ``7h30`` -> 7:30."""
    match = re.fullmatch(r"([0-9]{1,2}?)(?:[.h]?([0-9]{2}))?", text)
    if match is None or int(match[1]) > 23 or int(match[2] or 0) > 59:
        return ""
    return f"{match[1]}:{match[2] or '00'}"


def time_span(value: CellValue) -> tuple[int, int]:
    """Two times of day such as ``9:00-15:00``, minutes after midnight. Raises BadCell when it is no such span."""
    refuse_broken(value)
    wanted = "two times of day such as 9:00-15:00"
    if not isinstance(value, str):
        raise BadCell(f"{wanted}, formatted as text")
    parts = re.split(r"\s*(?:-|–|—|\bto\b)\s*", text_of(value))
    if len(parts) != 2:
        raise BadCell(wanted)
    try:
        return _of_text(parts[0]), _of_text(parts[1])
    except BadCell as bad:
        raise BadCell(wanted, "-".join(_mended(part) for part in parts) if bad.mend else "") from bad


def calendar_day(value: CellValue) -> date:
    """A date: a spreadsheet's date or ``2026-11-25``. Raises BadCell for anything else: 11/12 has two readings."""
    refuse_broken(value)
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(shown(value))
    except ValueError as error:
        raise BadCell("a date such as 2026-11-25 (year-month-day)") from error


def day_name(value: CellValue) -> str:
    """A day of a history: a date as ``2026-11-25``, anything else as the name that it is.

    Raises BadCell, also for a date in another spelling: as a name it would be a day of its own beside the same
    date spelled well.
    """
    wanted = "a date such as 2026-11-25 (year-month-day), or the name of a day"
    refuse_broken(value)
    if isinstance(value, time | timedelta | bool):
        raise BadCell(wanted)
    try:
        return calendar_day(value).isoformat()
    except BadCell:
        name = text_of(value, is_name=True)
    if _OTHER_DATE.fullmatch(name):
        raise BadCell(wanted, _year_first(name))
    return name


def _year_first(text: str) -> str:
    """``2026-5-4`` and ``2026/05/04`` -> 2026-05-04; nothing where day and month can be told in two ways."""
    match = re.fullmatch(r"([0-9]{4})\D([0-9]{1,2})\D([0-9]{1,2})", text)
    try:
        return date(*map(int, match.groups())).isoformat() if match else ""
    except ValueError:
        return ""
