"""Limits as data: a TOML file a jurisdiction, every figure with unit, clause, edition and evidence."""

from dispatch.limits.rule_set import Limit, LimitOverride, RuleSet, jurisdictions, load_rule_set

__all__ = ["Limit", "LimitOverride", "RuleSet", "jurisdictions", "load_rule_set"]
