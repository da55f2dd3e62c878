"""The sheets Settings and Limits -> the day's settings and rule set, and what differs from the defaults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Any

from dispatch.io.cells import BadCell, CellValue, folded, is_blank, nearest, number, shown, text_of
from dispatch.io.input_problems import Findings
from dispatch.io.layout import SETTING_ROWS
from dispatch.io.layout_columns import Column, Reads
from dispatch.io.layout_settings import BANDS, BASES
from dispatch.io.tables import Table, header_unit, split_header
from dispatch.io.typed_rows import Row, default_of, store
from dispatch.io.unit_names import CANONICAL, Dimension, factor, unit_of

from dispatch.fleet import Hitch
from dispatch.items import WeightBasis
from dispatch.limits import Limit, LimitOverride, RuleSet, load_rule_set
from dispatch.settings import Band, Objective, Settings, Tolerance
from dispatch.units import round_half_up, whole_minutes_up


@dataclass(frozen=True, slots=True)
class Changed:
    """A setting or limit that differs from its default: name with unit, both values as text."""

    name: str
    value: str
    default: str


@dataclass(frozen=True, slots=True)
class DaySettings:
    """Settings and rule set with what was changed; ``rows`` by setting name, for addresses.

    ``values``: every row of Settings in canonical units, for those that belong to no day.
    """

    settings: Settings
    rules: RuleSet
    changed: tuple[Changed, ...]
    changed_limits: tuple[Changed, ...]
    rows: Mapping[str, Row]
    values: Mapping[str, Any]


_BY_KEY = {row.key: row for row in SETTING_ROWS}


def read_settings(
    tables: Iterable[Table], limit_tables: Iterable[Table], findings: Findings, today: date
) -> DaySettings:
    """The day's settings and rule set; ``today`` is the day when none is given."""
    values, rows = _setting_values(tables, findings)
    settings = _settings(values, today)
    overrides, changed_limits = _overrides(limit_tables, settings.jurisdiction, findings)
    rules = load_rule_set(settings.jurisdiction, overrides)
    changed = tuple(_changed(column, values) for column in SETTING_ROWS if _differs(column, values))
    return DaySettings(settings, rules, changed, changed_limits, rows, values)


def _setting_values(tables: Iterable[Table], findings: Findings) -> tuple[dict[str, Any], dict[str, Row]]:
    values = {column.name: default_of(column) for column in SETTING_ROWS}
    rows: dict[str, Row] = {}
    for table in tables:
        for raw in table.rows:
            row = Row(table, raw.number, raw.cells)
            column = None if raw.merged else _setting_named(row, findings)
            if column is None or is_blank(raw.cells.get("Value")):
                continue
            if column.name in rows:
                earlier = rows[column.name].where("Value")
                findings.warning(row.where("Value"), shown(raw.cells["Value"]), f"replaces the value of {earlier}")
            rows[column.name] = row
            _, unit_text = split_header(shown(raw.cells["Setting"]))
            unit = header_unit(column, unit_text, row.where("Setting"), shown(raw.cells["Setting"]), findings)
            if store(row, column, raw.cells["Value"], unit, findings, day=None, at="Value"):
                values[column.name] = row.values[column.name]
    return values, rows


def _setting_named(row: Row, findings: Findings) -> Column | None:
    typed = row.raw.get("Setting")
    try:
        name = text_of(typed, is_name=True)
    except BadCell as bad:
        findings.problem(row.where("Setting"), shown(typed), bad.expected, bad.mend)
        return None
    column = _BY_KEY.get(folded(split_header(name)[0]))
    if column is None:
        mend = nearest(name, (row.header for row in SETTING_ROWS))
        findings.problem(row.where("Setting"), name, "the name of a setting", mend)
    return column


def _settings(values: Mapping[str, Any], today: date) -> Settings:
    day = values["Day"] or today
    return Settings(
        day=day.isoformat(),
        jurisdiction=values["Jurisdiction"],
        objective=Objective(values["Objective"]),
        time_limit_s=values["Time limit"] * 60,
        circuity_factor=values["Circuity factor"],
        speed_loaded_mph=values["Speed loaded"],
        speed_empty_mph=values["Speed empty"],
        hook_min=whole_minutes_up(values["Hook minutes"]),
        load_min=whole_minutes_up(values["Load minutes"]),
        unload_min=whole_minutes_up(values["Unload minutes"]),
        gap_in=values["Gap between items"],
        front_clearance_in=values["Front clearance"],
        rear_overhang_in=values["Rear overhang allowed"],
        steer_least_pct=values["Steer least"],
        rolling_wheels=values["Rolling resistance, wheels"],
        rolling_tracks=values["Rolling resistance, tracks"],
        most_items_per_trip=values["Most items on a trip"],
        scale_tolerance_lb=values["Scale tolerance"],
        scale_tolerance_pct=values["Scale tolerance share"],
        tape_tolerance_in=values["Tape tolerance"],
        metric_weight=values["Weight unit of the output"] == "kg",
        metric_distance=values["Distance unit of the output"] == "km",
        tolerances=_tolerances(values),
        coupler_bands=_bands(values),
    )


def _tolerances(values: Mapping[str, Any]) -> Mapping[WeightBasis, Tolerance]:
    pairs = {
        WeightBasis(basis): Tolerance(values[f"{start} over"], values[f"{start} under"])
        for start, basis in BASES.items()
    }
    return MappingProxyType(pairs)


def _bands(values: Mapping[str, Any]) -> Mapping[Hitch, Band]:
    bands = {
        Hitch(hitch): Band(values[f"Coupler share least, {end}"], values[f"Coupler share most, {end}"])
        for end, hitches in BANDS.items()
        for hitch in hitches
    }
    return MappingProxyType(bands)


def _differs(column: Column, values: Mapping[str, Any]) -> bool:
    value, default = values[column.name], default_of(column)
    if isinstance(value, float) and default is not None:
        return bool(abs(value - default) > 1e-9 * max(1.0, abs(default)))
    return bool(value != default)


def _changed(column: Column, values: Mapping[str, Any]) -> Changed:
    return Changed(column.header, _as_text(column, values[column.name]), column.default_text)


def _as_text(column: Column, value: Any) -> str:
    if column.reads is Reads.NUMBER:
        return f"{value / factor(column.unit, CANONICAL[column.dimension]):.10g}"
    return str(value)


_LIMIT_DIMENSIONS = {
    "lb": Dimension.WEIGHT,
    "in": Dimension.LENGTH,
    "mi": Dimension.DISTANCE,
    "min": Dimension.DURATION,
    "h": Dimension.DURATION,
    "lb/in": Dimension.LOAD_PER_WIDTH,
    "%": Dimension.PER_CENT,
}


def _overrides(
    tables: Iterable[Table], jurisdiction: str, findings: Findings
) -> tuple[tuple[LimitOverride, ...], tuple[Changed, ...]]:
    rules = load_rule_set(jurisdiction)
    found: dict[str, LimitOverride] = {}
    for table in tables:
        for raw in table.rows:
            row = Row(table, raw.number, raw.cells)
            override = None if raw.merged else _override(row, rules, findings)
            if override is None:
                continue
            if override.key in found:
                findings.warning(
                    row.where("Limit"), shown(raw.cells["Limit"]), "replaces an earlier row for this limit"
                )
            found[override.key] = override
    changed = tuple(
        Changed(rules.limits[one.key].name, _limit_text(one.value), _limit_text(rules.limits[one.key].value))
        for one in found.values()
        if one.value != rules.limits[one.key].value
    )
    return tuple(found.values()), changed


def _limit_text(value: float | None) -> str:
    return "none" if value is None else f"{value:.10g}"


def _override(row: Row, rules: RuleSet, findings: Findings) -> LimitOverride | None:
    typed = row.raw.get("Limit")
    column = "Limit"
    try:
        name = text_of(typed, is_name=True)
        limit = limit_named(name, rules)
        if limit is None:
            raise BadCell(f"a limit of {rules.name}", nearest(name, (one.name for one in rules.limits.values())))
        column = "Value"
        value = _limit_value(row.raw.get("Value"), limit, split_header(name)[1])
        return LimitOverride(limit.key, value, text_of(row.raw.get("Note")) if row.raw.get("Note") else "")
    except BadCell as bad:
        findings.problem(row.where(column), shown(row.raw.get(column)), bad.expected, bad.mend)
        return None


def limit_named(name: str, rules: RuleSet) -> Limit | None:
    """The limit of that name, with or without a unit behind it, or of that key; ``None`` when there is none."""
    wanted = folded(split_header(name)[0])
    for limit in rules.limits.values():
        if wanted in (folded(split_header(limit.name)[0]), folded(limit.key)):
            return limit
    return None


def _limit_value(value: CellValue, limit: Limit, unit_text: str) -> float | None:
    """The limit in its own unit; ``none`` lifts it. Raises BadCell."""
    if isinstance(value, str) and folded(value) in ("none", "no limit"):
        return None
    if is_blank(value):
        raise BadCell(f"the limit ({limit.unit}), or none where there is no such limit")
    dimension = _LIMIT_DIMENSIONS.get(limit.unit, Dimension.PLAIN)
    own = limit.unit if dimension is not Dimension.PLAIN else ""
    unit = unit_of(unit_text, dimension) or own if unit_text else own
    if unit_text and dimension is not Dimension.PLAIN and unit_of(unit_text, dimension) is None:
        raise BadCell(f"a limit in a unit of {dimension.value}; its name says {unit_text}", limit.name)
    found = number(value, dimension, unit) / factor(own, CANONICAL[dimension])
    if found < 0:
        raise BadCell(f"0 {limit.unit} or more", "0")
    whole = round_half_up(found)
    return float(whole) if abs(found - whole) < 1e-9 * max(1.0, found) else found
