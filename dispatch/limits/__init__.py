"""Limits as data: a TOML file a jurisdiction, every figure with unit, clause, edition and evidence."""

from dispatch.limits.rule_set import (
    BridgeFormula,
    Limit,
    LimitOverride,
    RuleSet,
    jurisdictions,
    load_rule_set,
    read_table,
    state_variant,
)

__all__ = [
    "BridgeFormula",
    "Limit",
    "LimitOverride",
    "RuleSet",
    "jurisdictions",
    "load_rule_set",
    "read_table",
    "state_variant",
]
