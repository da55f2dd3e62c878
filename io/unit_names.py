"""The unit spellings that headers and cells may use, by dimension, and their factors into canonical units.

pint gives the factors and nothing else: it never sees text from a cell.
"""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from types import MappingProxyType


class Dimension(StrEnum):
    """What a number measures; the value is the word that messages use."""

    WEIGHT = "weight"
    LENGTH = "length"
    DISTANCE = "road distance"
    DURATION = "duration"
    ANGLE = "angle"
    PER_CENT = "percentage"
    MONEY = "sum of money"
    MONEY_PER_HOUR = "cost per hour"
    MONEY_PER_MILE = "cost per mile"
    SPEED = "speed"
    LOAD_PER_WIDTH = "load per width"
    PLAIN = "plain number"


CANONICAL = MappingProxyType(
    {
        Dimension.WEIGHT: "lb",
        Dimension.LENGTH: "in",
        Dimension.DISTANCE: "mi",
        Dimension.DURATION: "min",
        Dimension.ANGLE: "deg",
        Dimension.PER_CENT: "%",
        Dimension.MONEY: "USD",
        Dimension.MONEY_PER_HOUR: "USD/h",
        Dimension.MONEY_PER_MILE: "USD/mi",
        Dimension.SPEED: "mph",
        Dimension.LOAD_PER_WIDTH: "lb/in",
        Dimension.PLAIN: "",
    }
)
"""The unit in which a dimension's numbers leave the cell reader."""

_SPELLINGS: dict[Dimension, dict[str, str]] = {
    Dimension.WEIGHT: {
        "lb": "lb lbs pound pounds",
        "kg": "kg kgs kilogram kilograms",
        "t": "t tonne tonnes",
        "ton": "ton tons",
    },
    Dimension.LENGTH: {
        "in": 'in inch inches "',
        "ft": "ft foot feet '",
        "yd": "yd yard yards",
        "m": "m metre metres meter meters",
        "cm": "cm",
        "mm": "mm",
    },
    Dimension.DISTANCE: {"mi": "mi mile miles", "km": "km kilometre kilometres kilometer kilometers"},
    Dimension.DURATION: {
        "min": "min mins minute minutes",
        "h": "h hr hrs hour hours",
        "s": "s sec secs second seconds",
    },
    Dimension.ANGLE: {"deg": "deg degree degrees °", "rad": "rad"},
    Dimension.PER_CENT: {"%": "% percent pct"},
    Dimension.MONEY: {"USD": "usd $ us$ dollar dollars"},
    Dimension.MONEY_PER_HOUR: {
        "USD/h": "usd/h usd/hr usd/hour $/h $/hr $/hour",
        "USD/min": "usd/min $/min",
    },
    Dimension.MONEY_PER_MILE: {"USD/mi": "usd/mi usd/mile $/mi $/mile", "USD/km": "usd/km $/km"},
    Dimension.SPEED: {"mph": "mph mi/h", "km/h": "km/h kmh kph"},
    Dimension.LOAD_PER_WIDTH: {
        "lb/in": "lb/in lbs/in",
        "kg/cm": "kg/cm",
        "kg/mm": "kg/mm",
    },
    Dimension.PLAIN: {},
}
_BY_SPELLING = {
    (dimension, spelling): unit
    for dimension, units in _SPELLINGS.items()
    for unit, spellings in units.items()
    for spelling in spellings.split()
}
_PINT_NAMES = {
    "lb": "pound",
    "kg": "kilogram",
    "t": "metric_ton",
    "ton": "short_ton",
    "in": "inch",
    "ft": "foot",
    "yd": "yard",
    "m": "meter",
    "cm": "centimeter",
    "mm": "millimeter",
    "mi": "mile",
    "km": "kilometer",
    "min": "minute",
    "h": "hour",
    "s": "second",
    "deg": "degree",
    "rad": "radian",
    "mph": "mile / hour",
    "km/h": "kilometer / hour",
    "lb/in": "pound / inch",
    "kg/cm": "kilogram / centimeter",
    "kg/mm": "kilogram / millimeter",
    "USD/h": "1 / hour",
    "USD/min": "1 / minute",
    "USD/mi": "1 / mile",
    "USD/km": "1 / kilometer",
}


def unit_of(text: str, dimension: Dimension) -> str | None:
    """The unit that a spelling means in this dimension (``Lbs`` -> ``lb``); ``None`` when it means none.

    Case does not matter, except that ``T`` is not read: to some it is 2,000 lb, to others 1,000 kg.
    """
    spelling = " ".join(text.split()).rstrip(".").replace(" /", "/").replace("/ ", "/")
    if spelling == "T":
        return None
    return _BY_SPELLING.get((dimension, spelling.casefold()))


def dimension_of(text: str) -> Dimension | None:
    """The first dimension that knows the spelling, for messages about a unit in the wrong place."""
    return next((dimension for dimension in Dimension if unit_of(text, dimension)), None)


def units_of(dimension: Dimension) -> tuple[str, ...]:
    """The units a dimension accepts, in their shortest spelling."""
    return tuple(_SPELLINGS[dimension])


@cache
def factor(unit: str, target: str) -> float:
    """By what to multiply a number in ``unit`` to have it in ``target``, both of one dimension."""
    if unit == target:
        return 1.0
    registry = _registry()
    quantity = registry.Quantity(1.0, _PINT_NAMES[unit])  # type: ignore[attr-defined]
    return float(quantity.to(_PINT_NAMES[target]).magnitude)


@cache
def _registry() -> object:
    # Imported here: a run without units of its own need not wait for pint.
    from pint import UnitRegistry  # noqa: PLC0415

    return UnitRegistry()
