"""Limits as data: every figure has its source, overlays add nothing of their own, the docs page has no slip."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from dispatch.fleet import Licence
from dispatch.limits import (
    HOURS_KEYS,
    Limit,
    LimitOverride,
    RuleSet,
    jurisdictions,
    load_rule_set,
    own_unit,
    read_table,
    rule_set,
)
from dispatch.units import IN_PER_M, LB_PER_KG

FEDERAL = load_rule_set("US federal")
PAGE = (Path(__file__).parents[2] / "docs" / "limits-sources.md").read_text(encoding="utf-8")
EVIDENCE = {"seen", "memory", "common practice"}
RULE_SETS = [load_rule_set(name) for name in jurisdictions()]
OVERLAYS = [rules for rules in RULE_SETS if rules.base]
NEEDED = (
    *("width_in", "height_in", "length_in", "gross_lb", "tyre_lb_per_in", "steer_tyre_lb_per_in"),
    *("driving_h", "duty_window_h", "break_after_h", "break_min", "short_haul_mi", "counted_axle_pct"),
)
"""Figures that every rule set must hold or say that it has none."""


def name(rules: RuleSet) -> str:
    return rules.name


def figures(rules: RuleSet) -> list[Limit]:
    """Every figure that the rule set's own file holds."""
    base = load_rule_set(rules.base) if rules.base else None
    held = [*rules.limits.values(), *rules.reference.values()]
    return [limit for limit in held if base is None or limit != base.limit(limit.key)]


def row(limit: Limit) -> str:
    value = "not set" if limit.value is None else limit.stated or f"{limit.value:,}"
    return f"| {limit.name} | {value} | {limit.clause} | {limit.edition} | {limit.evidence} |"


def section(rules: RuleSet) -> str:
    """The part of the page that begins with the rule set's name."""
    parts = [part for part in PAGE.split("\n## ") if part.startswith(f"{rules.name}:")]
    assert len(parts) == 1, rules.name
    return parts[0]


@pytest.mark.parametrize("rules", RULE_SETS, ids=name)
def test_every_figure_has_its_source_and_its_row(rules: RuleSet) -> None:
    assert figures(rules)
    for limit in figures(rules):
        assert limit.name
        assert limit.clause
        assert limit.edition
        assert limit.read == "2026-11"
        assert limit.evidence in EVIDENCE
        assert limit.unit == own_unit(limit.key)
        assert row(limit) in section(rules)


@pytest.mark.parametrize("rules", RULE_SETS, ids=name)
def test_every_rule_set_is_complete(rules: RuleSet) -> None:
    for key in NEEDED:
        assert rules.limit(key).key == key
    names = [limit.name for limit in (*rules.limits.values(), *rules.reference.values())]
    assert len(set(names)) == len(names)
    assert rules.title
    assert rules.licence_clause
    assert {one.name for one in rules.licences} <= {one.value for one in Licence}


@pytest.mark.parametrize("rules", OVERLAYS, ids=name)
def test_overlays_hold_only_what_differs(rules: RuleSet) -> None:
    """A file's row that says what the base says would be noise, one with a new key a figure that nobody reads."""
    base, data = load_rule_set(rules.base), read_table(rule_set._FILES[rules.name])
    assert not base.base
    assert set(rules.limits) == set(base.limits)
    assert set(rules.reference) == set(base.reference)
    held = [*data.get("limits", {}), *data.get("reference", {})]
    assert {limit.key for limit in figures(rules)} == set(held)
    assert rules.bridge == base.bridge
    assert rules.notes != base.notes


def test_an_overlay_cannot_add_a_figure(monkeypatch: pytest.MonkeyPatch) -> None:
    read = rule_set.read_table

    def with_a_slip(file: str) -> dict[str, Any]:
        data = read(file)
        if file == "us_oregon.toml":
            data["limits"]["tyer_lb_per_in"] = data["limits"].pop("tyre_lb_per_in")
        return data

    monkeypatch.setattr(rule_set, "read_table", with_a_slip)
    with pytest.raises(KeyError, match="tyer_lb_per_in"):
        load_rule_set("US Oregon")
    monkeypatch.setattr(rule_set, "read_table", lambda file: with_a_slip(file) | {"base": "US Texas, Dallas"})
    with pytest.raises(KeyError, match="Dallas"):
        load_rule_set("US Oregon")


def test_figures_are_kept_in_the_unit_of_their_source() -> None:
    canada, europe = load_rule_set("Canada national"), load_rule_set("EU")
    assert canada.need("tandem_lb") == 17_000 * LB_PER_KG == pytest.approx(37_478.58, abs=0.005)
    assert canada.limit("tandem_lb").stated == "17,000 kg"
    assert canada.need("width_in") == 2.6 * IN_PER_M == pytest.approx(102.362, abs=0.0005)
    assert europe.need("gross_lb") == pytest.approx(40_000 * LB_PER_KG)
    assert load_rule_set("US California").need("length_in") == 780
    # 10 kg a millimetre of tyre width is 559.97 lb an inch.
    assert canada.need("tyre_lb_per_in") == pytest.approx(10 * 25.4 / 0.45359237)
    # 5 t a metre: 36 t over 7.2 m.
    assert europe.need("motor_four_axles_lb_per_in") * 7.2 * IN_PER_M == pytest.approx(36_000 * LB_PER_KG)


def test_a_figure_of_the_wrong_dimension_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    data = read_table("us_oregon.toml")
    data["limits"]["tyre_lb_per_in"]["unit"] = "kg"
    monkeypatch.setattr(rule_set, "read_table", lambda file: data if "oregon" in file else read_table(file))
    with pytest.raises(KeyError, match="kg"):
        load_rule_set("US Oregon")


def test_federal_figures_stand_as_they_did() -> None:
    """The overlays changed nothing below them."""
    held = {
        key: FEDERAL.value(key) for key in ("single_axle_lb", "tandem_lb", "gross_lb", "width_in", "height_in")
    }
    assert list(held.values()) == [20_000, 34_000, 80_000, 102, 162]
    unset = [limit.key for limit in FEDERAL.limits.values() if limit.value is None]
    assert unset == [
        *("length_in", "tyre_lb_per_in", "steer_tyre_lb_per_in", "close_axle_lb", "close_axle_in"),
        "steer_axle_lb",
    ]
    assert FEDERAL.cautions == ()


@pytest.mark.parametrize("rules", RULE_SETS[1:], ids=name)
def test_a_set_says_where_it_is_no_full_answer(rules: RuleSet) -> None:
    assert rules.cautions
    if rules.base == "US federal":
        assert "Interstate" in rules.cautions[0]
    elif rules.name == "EU":
        assert any("EN 12195-1" in note for note in rules.cautions)
    else:
        assert any("National Safety Code" in note for note in rules.cautions)


def test_what_is_not_checked_is_said() -> None:
    assert any("licence is not checked" in note for note in load_rule_set("Canada national").cautions)
    without = load_rule_set("EU", [LimitOverride(key, None) for key in HOURS_KEYS])
    assert any("only the column Driving limit" in note for note in without.cautions)
    assert not any("Driving limit" in note for note in load_rule_set("EU").cautions)


def test_securement_tables_are_on_the_page() -> None:
    data = read_table("securement.toml")
    for size in data["working_load"]["chain"]["30"]:
        cells = [data["working_load"]["chain"][grade].get(size) for grade in ("30", "43", "70", "80", "100")]
        shown = " | ".join("-" if wll_lb is None else f"{wll_lb:,}" for wll_lb in cells)
        assert f"| {size} | {shown} |" in PAGE
    for kind in ("webbing", "wire_rope"):
        for size, wll_lb in data["working_load"][kind].items():
            assert f"{size} in {wll_lb:,}" in PAGE


def test_override_says_where_it_comes_from() -> None:
    rules = load_rule_set("US federal", [LimitOverride("single_axle_lb", 22_000, "route permit")])
    assert rules.need("single_axle_lb") == 22_000
    assert rules.basis("single_axle_lb") == "Limits sheet, Single axle (lb)"
    with pytest.raises(KeyError):
        load_rule_set("US federal", [LimitOverride("cmv_lb", 1)])
    with pytest.raises(KeyError):
        load_rule_set("US Atlantis")


def test_figures_without_a_source_say_so() -> None:
    assert FEDERAL.basis("height_in").endswith("(common practice, no source)")
    basis = load_rule_set("Canada national").basis("tandem_lb")
    assert basis.endswith("tandem axle, 17,000 kg (from memory)")
    with pytest.raises(ValueError, match="has no length_in"):
        FEDERAL.need("length_in")
