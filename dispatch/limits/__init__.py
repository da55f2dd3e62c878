"""Limits as data: a TOML file a jurisdiction, every figure with unit, clause, edition and evidence."""

from dispatch.limits.rule_set import (
    HOURS_KEYS,
    BridgeFormula,
    LicenceClass,
    Limit,
    LimitOverride,
    RuleSet,
    jurisdictions,
    load_rule_set,
    own_unit,
    read_table,
)

__all__ = [
    "HOURS_KEYS",
    "BridgeFormula",
    "LicenceClass",
    "Limit",
    "LimitOverride",
    "RuleSet",
    "jurisdictions",
    "load_rule_set",
    "own_unit",
    "read_table",
]
