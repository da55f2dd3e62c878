"""A jurisdiction's limits, read from its TOML data file, with the user's overrides on top."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType


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
class RuleSet:
    """A jurisdiction. ``bridge``, ``licence`` and ``hours`` name the rule functions that read the limits."""

    name: str
    title: str
    bridge: str
    licence: str
    limits: Mapping[str, Limit]

    def value(self, key: str) -> float | None:
        """The limit's figure, or ``None`` where the rule set has none. Raises KeyError for an unknown key."""
        return self.limits[key].value

    def need(self, key: str) -> float:
        """The limit's figure; raises ValueError where the rule set has none."""
        value = self.limits[key].value
        if value is None:
            raise ValueError(f"rule set {self.name} has no {key}")
        return value

    def basis(self, key: str) -> str:
        """Where the limit is written."""
        return self.limits[key].basis


_FILES = MappingProxyType({"US federal": "us_federal.toml"})


def jurisdictions() -> tuple[str, ...]:
    """Names that Settings, Jurisdiction accepts."""
    return tuple(_FILES)


def load_rule_set(jurisdiction: str, overrides: Iterable[LimitOverride] = ()) -> RuleSet:
    """The jurisdiction's rule set with overrides applied; raises KeyError for an unknown name or limit."""
    text = resources.files(__package__).joinpath(_FILES[jurisdiction]).read_text(encoding="utf-8")
    data = tomllib.loads(text)
    limits = {
        key: Limit(
            key=key,
            name=row["name"],
            value=row.get("value"),
            unit=row["unit"],
            clause=row["clause"],
            edition=row["edition"],
            read=row["read"],
            evidence=row["evidence"],
        )
        for key, row in data["limits"].items()
    }
    for override in overrides:
        old = limits[override.key]
        limits[override.key] = Limit(
            old.key, old.name, override.value, old.unit, override.note, "user", "user", "user"
        )
    return RuleSet(jurisdiction, data["title"], data["bridge"], data["licence"], MappingProxyType(limits))
