"""A jurisdiction's limits, read from its TOML data file, with the user's overrides on top."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from importlib import resources
from types import MappingProxyType
from typing import Any

from dispatch.units import IN_PER_FT, IN_PER_M, KM_PER_MI, LB_PER_KG


@dataclass(frozen=True, slots=True)
class Limit:
    """One figure of law: value (``None``: the rule set has no such limit), unit and where it is written.

    ``unit``: the core's own, which the key ends in. ``stated``: the figure as the law writes it where that is
    another unit (``9,100 kg``), else empty; converted once, by the exact factor.
    ``evidence``: ``seen`` (read in a copy of the source), ``memory``, ``common practice`` or ``user``.
    """

    key: str
    name: str
    value: float | None
    unit: str
    clause: str
    edition: str
    read: str
    evidence: str
    stated: str = ""

    @property
    def basis(self) -> str:
        """What the output prints as the basis of the limit; a figure from memory says so."""
        if self.evidence == "user":
            return f"Limits sheet, {self.name}"
        suffix = {"memory": " (from memory)", "common practice": " (common practice, no source)"}
        figure = f", {self.stated}" if self.stated else ""
        return self.clause + figure + suffix.get(self.evidence, "")


@dataclass(frozen=True, slots=True)
class LimitOverride:
    """A row of the Limits sheet, already in the limit's unit; ``None`` lifts the limit."""

    key: str
    value: float | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class BridgeFormula:
    """W = factor x (L N / (N - 1) + per_axle N + constant), rounded as the printed table rounds it.

    ``ties``: what an exact half of ``step_lb`` does (``down``, ``up``, or ``truncate``: every fraction is cut).
    ``printed``: (axles, feet, pounds) where the printed table departs from the formula. ``parts_govern``: a
    group may not carry more than the limits of its consecutive parts together. ``short_pairs``: two axles of a
    tandem's spacing carry what the formula gives instead of the tandem limit. ``columns``: up to ``columns_to_ft``
    the table gives more axles than this no more than so many; 0: it has a column for each number of axles.
    """

    factor_lb: int
    per_axle_ft: int
    constant_ft: int
    step_lb: int
    ties: str
    printed: tuple[tuple[int, int, float], ...]
    parts_govern: bool
    clause: str
    short_pairs: bool = False
    columns: int = 0
    columns_to_ft: int = 0


@dataclass(frozen=True, slots=True)
class LicenceClass:
    """A class of driver's licence and the classes that it covers directly."""

    name: str
    covers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A jurisdiction. ``bridge`` and ``licence`` name the rule functions that read the limits.

    ``formula``: the bridge formula, where the jurisdiction has one. ``reference``: figures that no plan is held
    to (calculations on request use them); the Limits sheet does not offer them. ``base``: the rule set that this
    one lies on, or empty. ``licences``: the classes that its drivers hold, lowest first; none: the rule set knows
    no classes and the licence is not checked. ``notes``: what people must know about the set as a whole.
    """

    name: str
    title: str
    bridge: str
    licence: str
    limits: Mapping[str, Limit]
    formula: BridgeFormula | None = None
    reference: Mapping[str, Limit] = field(default_factory=lambda: MappingProxyType({}))
    base: str = ""
    licences: tuple[LicenceClass, ...] = ()
    licence_clause: str = ""
    notes: tuple[str, ...] = ()

    def limit(self, key: str) -> Limit:
        """The limit or reference figure of that key. Raises KeyError when there is none."""
        return self.limits[key] if key in self.limits else self.reference[key]

    def value(self, key: str) -> float | None:
        """The limit's figure, or ``None`` where the rule set has none. Raises KeyError for an unknown key."""
        return self.limit(key).value

    def need(self, key: str) -> float:
        """The limit's figure; raises ValueError where the rule set has none."""
        value = self.limit(key).value
        if value is None:
            raise ValueError(f"rule set {self.name} has no {key}")
        return value

    def basis(self, key: str) -> str:
        """Where the limit is written."""
        return self.limit(key).basis

    @property
    def cautions(self) -> tuple[str, ...]:
        """What a plan under this rule set must tell its reader: the notes, and what is not checked at all."""
        found = list(self.notes)
        if not self.licences:
            found.append(f"{self.name} knows no licence classes: the driver's licence is not checked.")
        if all(self.value(key) is None for key in HOURS_KEYS):
            found.append(f"{self.name} has no hours of service: only the column Driving limit of Rigs is checked.")
        return tuple(found)


HOURS_KEYS = ("driving_h", "duty_window_h", "break_after_h")
"""The limits that make up the hours of service of one day."""

_FILES = MappingProxyType(
    {
        "US federal": "us_federal.toml",
        "US California": "us_california.toml",
        "US Colorado": "us_colorado.toml",
        "US Florida": "us_florida.toml",
        "US Indiana": "us_indiana.toml",
        "US Kentucky": "us_kentucky.toml",
        "US North Carolina": "us_north_carolina.toml",
        "US Oregon": "us_oregon.toml",
        "US Pennsylvania": "us_pennsylvania.toml",
        "US Texas": "us_texas.toml",
        "US Washington": "us_washington.toml",
        "US Wisconsin": "us_wisconsin.toml",
        "Canada national": "canada_national.toml",
        "Canada British Columbia": "canada_british_columbia.toml",
        "Canada Ontario": "canada_ontario.toml",
        "EU": "eu_96_53.toml",
    }
)
"""Names that Settings, Jurisdiction accepts, with their data files."""

_UNITS = MappingProxyType(
    {
        "lb": {"lb": 1.0, "kg": LB_PER_KG, "t": 1000 * LB_PER_KG},
        "in": {"in": 1.0, "ft": IN_PER_FT, "m": IN_PER_M},
        "lb/in": {"lb/in": 1.0, "kg/mm": LB_PER_KG * 1000 / IN_PER_M, "t/m": 1000 * LB_PER_KG / IN_PER_M},
        "mi": {"mi": 1.0, "km": 1 / KM_PER_MI},
        "h": {"h": 1.0},
        "min": {"min": 1.0},
        "%": {"%": 1.0},
    }
)
"""Units that a data file may state a figure in, by the core's unit, with the exact factors into it."""
_ENDINGS = MappingProxyType({"_lb_per_in": "lb/in", "_pct": "%"})


def jurisdictions() -> tuple[str, ...]:
    """Names that Settings, Jurisdiction accepts."""
    return tuple(_FILES)


def load_rule_set(jurisdiction: str, overrides: Iterable[LimitOverride] = ()) -> RuleSet:
    """The jurisdiction's rule set with overrides applied; raises KeyError for an unknown name or limit."""
    data = _merged(jurisdiction)
    limits = {key: _limit(key, row) for key, row in data["limits"].items()}
    reference = {key: _limit(key, row) for key, row in data.get("reference", {}).items()}
    return RuleSet(
        name=jurisdiction,
        title=data["title"],
        bridge=data["bridge"],
        licence=data["licence"],
        limits=_overridden(limits, overrides),
        formula=_formula(data["bridge_formula"]) if "bridge_formula" in data else None,
        reference=MappingProxyType(reference),
        base=data.get("base", ""),
        licences=tuple(LicenceClass(row["name"], tuple(row["covers"])) for row in data.get("licence_classes", ())),
        licence_clause=data.get("licence_clause", ""),
        notes=tuple(data.get("notes", ())),
    )


def _merged(jurisdiction: str) -> dict[str, Any]:
    """The file's tables; those of an overlay lie on its base's. Raises KeyError where one adds what is not there.

    An overlay's row replaces value, unit, clause, edition, date and evidence of the base's, and keeps the name.
    """
    data = read_table(_FILES[jurisdiction])
    if "base" not in data:
        return data
    merged = _merged(data["base"])
    for table in ("limits", "reference"):
        for key, row in data.pop(table, {}).items():
            merged[table][key] = {"name": merged[table][key]["name"], **row}
    merged.get("bridge_formula", {}).update(data.pop("bridge_formula", {}))
    return merged | data


def _overridden(limits: Mapping[str, Limit], overrides: Iterable[LimitOverride]) -> Mapping[str, Limit]:
    merged = dict(limits)
    for override in overrides:
        old = merged[override.key]
        merged[override.key] = Limit(
            old.key, old.name, override.value, old.unit, override.note, "user", "user", "user"
        )
    return MappingProxyType(merged)


def read_table(file: str) -> dict[str, Any]:
    """One of this folder's TOML files as read."""
    return tomllib.loads(resources.files(__package__).joinpath(file).read_text(encoding="utf-8"))


def own_unit(key: str) -> str:
    """The core's unit of a limit, which its key ends in: ``gross_lb`` -> lb, ``tyre_lb_per_in`` -> lb/in."""
    for ending, unit in _ENDINGS.items():
        if key.endswith(ending):
            return unit
    return key.rsplit("_", 1)[1]


def _limit(key: str, row: Mapping[str, Any]) -> Limit:
    """A row of the file in the core's unit; raises KeyError for a unit of another dimension."""
    unit, value, stated = own_unit(key), row.get("value"), ""
    factor = _UNITS[unit][row["unit"]]
    if value is not None and row["unit"] != unit:
        value, stated = value * factor, f"{value:,} {row['unit']}"
    return Limit(
        key=key,
        name=row["name"],
        value=value,
        unit=unit,
        clause=row["clause"],
        edition=row["edition"],
        read=row["read"],
        evidence=row["evidence"],
        stated=stated,
    )


def _formula(row: Mapping[str, Any]) -> BridgeFormula:
    return BridgeFormula(
        factor_lb=row["factor_lb"],
        per_axle_ft=row["per_axle_ft"],
        constant_ft=row["constant_ft"],
        step_lb=row["step_lb"],
        ties=row["ties"],
        printed=tuple((cell["axles"], cell["feet"], cell["lb"]) for cell in row["printed"]),
        parts_govern=row["parts_govern"],
        clause=row["clause"],
        short_pairs=row.get("short_pairs", False),
        columns=row.get("columns", 0),
        columns_to_ft=row.get("columns_to_ft", 0),
    )
