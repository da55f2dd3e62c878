"""The one unit system of the core, and the exact factors into it.

Inside ``dispatch`` every weight is in pounds (force, as on a scale), every length in inches, every time
of day and duration in whole minutes after midnight, every road distance in tenths of a statute mile and
every sum of money in cents. Names carry the unit. pint does the conversions at the edge (``io.cells``);
the factors below are the exact legal definitions and a test compares them with pint's.
"""

from __future__ import annotations

import math

LB_PER_KG = 1 / 0.45359237
"""Exact: the international avoirdupois pound is 0.45359237 kg (NIST SP 811, appendix B.8)."""
IN_PER_M = 1 / 0.0254
"""Exact: the inch is 25.4 mm (NIST SP 811, appendix B.8)."""
KM_PER_MI = 1.609344
"""Exact: the statute (international) mile is 1,609.344 m (NIST SP 811, appendix B.8)."""
LB_PER_TON = 2000.0
IN_PER_FT = 12.0
MIN_PER_H = 60
TENTHS_PER_MI = 10

SLACK_LB = 0.01
"""Rounding noise allowed in a weight comparison, pounds: 80,000 lb through kilograms and back is 1e-11 off."""
SLACK_IN = 0.001
"""Rounding noise allowed in a length comparison, inches."""
SLACK_SHARE = 1e-9


def round_half_up(value: float) -> int:
    """Nearest whole number, exact halves up (noise of 1e-9 is forgiven): 2.5 -> 3."""
    return math.floor(value + 0.5 + 1e-9)


def tenths_of_miles(miles: float) -> int:
    """Road distance in tenths of a mile, rounded half up once, where it enters: 12.34 mi -> 123."""
    return round_half_up(miles * TENTHS_PER_MI)


def whole_minutes_up(minutes: float) -> int:
    """A duration in whole minutes, rounded up once, where it enters: 12.1 min -> 13."""
    return math.ceil(minutes - 1e-9)


def feet_inches(inches: float) -> str:
    """Length as feet and whole inches for people: 86 -> ``7 ft 2 in``; negative lengths keep their sign."""
    whole = round_half_up(abs(inches))
    sign = "-" if inches < 0 and whole else ""
    return f"{sign}{whole // 12} ft {whole % 12} in"


def clock(minutes: int) -> str:
    """Minutes after midnight as ``HH:MM``; past midnight the hours run on: 1,470 -> ``24:30``."""
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
