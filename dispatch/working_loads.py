"""Working load limits of tie-downs and the figures of the securement rules, read from their data file."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from dispatch.limits import read_table


@dataclass(frozen=True, slots=True)
class SecurementRule:
    """Figures of 49 CFR 393.102 to 393.130; pounds, inches, shares of weight."""

    short_length_in: float
    light_weight_lb: float
    per_length_in: float
    machine_from_lb: float
    machine_least: int
    light_vehicle_up_to_lb: float
    light_vehicle_least: int
    weight_share: float
    direct_share: float
    over_share: float
    count_clause: str
    machine_clause: str
    light_vehicle_clause: str
    aggregate_clause: str


@dataclass(frozen=True, slots=True)
class Forces:
    """Forces, pounds, that a securement system must withstand, against breaking strength and working load."""

    breaking_forward_lb: float
    breaking_rear_lb: float
    breaking_side_lb: float
    working_forward_lb: float
    working_rear_lb: float
    working_side_lb: float
    downward_lb: float


@lru_cache(maxsize=1)
def securement_rule() -> SecurementRule:
    """The securement figures in force in the data file."""
    data = _data()
    count, machine, light, sums = (data[key] for key in ("count", "machine", "light_vehicle", "aggregate"))
    return SecurementRule(
        short_length_in=count["short_length_in"],
        light_weight_lb=count["light_weight_lb"],
        per_length_in=count["per_length_in"],
        machine_from_lb=machine["from_lb"],
        machine_least=machine["least"],
        light_vehicle_up_to_lb=light["up_to_lb"],
        light_vehicle_least=light["least"],
        weight_share=sums["weight_share"],
        direct_share=sums["direct_share"],
        over_share=sums["over_share"],
        count_clause=count["clause"],
        machine_clause=machine["clause"],
        light_vehicle_clause=light["clause"],
        aggregate_clause=sums["clause"],
    )


def chain_wll_lb(size_in: str, grade: str | None = None) -> float:
    """Working load limit, pounds, of a chain by size (``3/8``) and grade; without a marked grade: grade 30.

    Source: 49 CFR 393.108, tables. Raises KeyError for a size or grade that the tables do not hold.
    """
    tables = _data()["working_load"]
    return float(tables["chain"][grade or tables["unmarked_chain_grade"]][size_in])


def webbing_wll_lb(width_in: str) -> float:
    """Working load limit, pounds, of webbing by width (``4``). Source: 49 CFR 393.108. Raises KeyError."""
    return float(_data()["working_load"]["webbing"][width_in])


def wire_rope_wll_lb(diameter_in: str) -> float:
    """Working load limit, pounds, of 6 x 37 fibre-core rope by diameter. Source: 49 CFR 393.108. KeyError."""
    return float(_data()["working_load"]["wire_rope"][diameter_in])


def assembly_wll_lb(*parts_lb: float | None) -> float | None:
    """Rating, pounds, of a tie-down: the lowest of its known parts (chain, hook, tensioner, anchor) or ``None``.

    Source: 49 CFR 393.108(a).
    """
    return min((part for part in parts_lb if part is not None), default=None)


def marked_or_table_lb(marked_lb: float | None, table_lb: float) -> float:
    """Working load limit, pounds: the maker's marking, higher or lower, else the table (49 CFR 393.108(b))."""
    return table_lb if marked_lb is None else marked_lb


def forces(weight_lb: float) -> Forces:
    """Forces, pounds, to withstand for a load of ``weight_lb``. Source: 49 CFR 393.102."""
    g = _data()["forces"]
    return Forces(
        breaking_forward_lb=g["breaking_forward_g"] * weight_lb,
        breaking_rear_lb=g["breaking_rear_g"] * weight_lb,
        breaking_side_lb=g["breaking_side_g"] * weight_lb,
        working_forward_lb=g["working_forward_g"] * weight_lb,
        working_rear_lb=g["working_rear_g"] * weight_lb,
        working_side_lb=g["working_side_g"] * weight_lb,
        downward_lb=g["downward_share"] * weight_lb,
    )


@lru_cache(maxsize=1)
def _data() -> dict[str, Any]:
    return read_table("securement.toml")
