"""A column as a template shows it: US units as declared, or metric ones with every bound turned into them."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

from dispatch.io.layout_columns import Column, Reads
from dispatch.io.unit_names import CANONICAL, factor

_METRIC = MappingProxyType(
    {"lb": "kg", "ft": "m", "in": "mm", "mi": "km", "mph": "km/h", "USD/mi": "USD/km", "lb/in": "kg/cm"}
)


def in_units(column: Column, *, metric: bool) -> Column:
    """The column itself, or the same with its default, bounds and unit in metric units."""
    unit = _METRIC.get(column.unit, column.unit)
    if not metric or unit == column.unit or column.reads is not Reads.NUMBER:
        return column
    canonical = CANONICAL[column.dimension]
    by = factor(column.unit, canonical) / factor(unit, canonical)

    def turned(value: float | None) -> float | None:
        return None if value is None else float(f"{value * by:.12g}")

    def near(value: float) -> float:
        return float(f"{value * by:.3g}")

    return replace(
        column,
        unit=unit,
        value=turned(column.value),
        least=turned(column.least),
        above=turned(column.above),
        most=turned(column.most),
        usual=column.usual and (near(column.usual[0]), near(column.usual[1])),
        example=_example(column.example, by),
    )


def _example(text: str, by: float) -> str:
    """A bare number turned to the other unit and rounded; nothing for any other text."""
    try:
        value = float(text.replace(",", ""))
    except ValueError:
        return ""
    turned = float(f"{value * by:.3g}")
    return f"{turned:,.0f}" if turned >= 1000 else f"{turned:g}"
