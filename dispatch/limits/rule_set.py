"""A jurisdiction's limits, read from its TOML data file, with the user's overrides on top."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from importlib import resources
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True, slots=True)
class Limit:
    """One figure of law: value (``None``: the rule set has no such limit), unit and where it is written.

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

    @property
    def basis(self) -> str:
        """What the output prints as the basis of the limit; a figure from memory says so."""
        if self.evidence == "user":
            return f"Limits sheet, {self.name}"
        suffix = {"memory": " (from memory)", "common practice": " (common practice, no source)"}
        return self.clause + suffix.get(self.evidence, "")


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
    group may not carry more than the limits of its consecutive parts together.
    """

    factor_lb: int
    per_axle_ft: int
    constant_ft: int
    step_lb: int
    ties: str
    printed: tuple[tuple[int, int, float], ...]
    parts_govern: bool
    clause: str


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A jurisdiction. ``bridge`` and ``licence`` name the rule functions that read the limits.

    ``formula``: the bridge formula, where the jurisdiction has one. ``reference``: figures that no plan is held
    to (calculations on request use them); the Limits sheet does not offer them.
    """

    name: str
    title: str
    bridge: str
    licence: str
    limits: Mapping[str, Limit]
    formula: BridgeFormula | None = None
    reference: Mapping[str, Limit] = field(default_factory=lambda: MappingProxyType({}))

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


_FILES = MappingProxyType({"US federal": "us_federal.toml"})
_STATES = "us_states.toml"


def jurisdictions() -> tuple[str, ...]:
    """Names that Settings, Jurisdiction accepts."""
    return tuple(_FILES)


def load_rule_set(jurisdiction: str, overrides: Iterable[LimitOverride] = ()) -> RuleSet:
    """The jurisdiction's rule set with overrides applied; raises KeyError for an unknown name or limit."""
    return _rule_set(jurisdiction, read_table(_FILES[jurisdiction]), overrides)


def state_variant(state: str, overrides: Iterable[LimitOverride] = ()) -> RuleSet:
    """The federal rule set with the figures of a state (postal code) that ``us_states.toml`` holds on top.

    The file holds single figures for comparison with published examples, not complete state rules; that is
    why states are not in ``jurisdictions``. Raises KeyError for a state without a figure.
    """
    merged, data = read_table(_FILES["US federal"]), read_table(_STATES)[state]
    for table in ("limits", "reference"):
        for key, row in data.get(table, {}).items():
            merged[table][key] |= row
    merged["bridge_formula"] |= data.get("bridge_formula", {})
    merged["title"] = data["title"]
    return _rule_set(state, merged, overrides)


def _rule_set(name: str, data: Mapping[str, Any], overrides: Iterable[LimitOverride]) -> RuleSet:
    limits = {key: _limit(key, row) for key, row in data["limits"].items()}
    reference = {key: _limit(key, row) for key, row in data.get("reference", {}).items()}
    return RuleSet(
        name=name,
        title=data["title"],
        bridge=data["bridge"],
        licence=data["licence"],
        limits=_overridden(limits, overrides),
        formula=_formula(data["bridge_formula"]) if "bridge_formula" in data else None,
        reference=MappingProxyType(reference),
    )


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


def _limit(key: str, row: Mapping[str, Any]) -> Limit:
    return Limit(
        key=key,
        name=row["name"],
        value=row.get("value"),
        unit=row["unit"],
        clause=row["clause"],
        edition=row["edition"],
        read=row["read"],
        evidence=row["evidence"],
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
    )
