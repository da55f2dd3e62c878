"""Limits as data: every figure has its source, and the docs page repeats them without a slip."""

from __future__ import annotations

from pathlib import Path

import pytest

from dispatch.limits import Limit, LimitOverride, jurisdictions, load_rule_set, read_table, state_variant

FEDERAL = load_rule_set("US federal")
PAGE = (Path(__file__).parents[2] / "docs" / "limits-sources.md").read_text(encoding="utf-8")
EVIDENCE = {"seen", "memory", "common practice"}
STATES = list(read_table("us_states.toml"))


def row(limit: Limit) -> str:
    value = "not set" if limit.value is None else f"{limit.value:,}"
    return f"| {limit.name} | {value} | {limit.clause} | {limit.edition} | {limit.evidence} |"


@pytest.mark.parametrize("limit", [*FEDERAL.limits.values(), *FEDERAL.reference.values()], ids=lambda one: one.key)
def test_every_federal_figure_has_its_source_and_its_row(limit: Limit) -> None:
    assert limit.clause
    assert limit.edition
    assert limit.read
    assert limit.evidence in EVIDENCE
    assert row(limit) in PAGE


@pytest.mark.parametrize("state", STATES)
def test_state_figures_have_their_row(state: str) -> None:
    changed = [
        limit
        for table in ("limits", "reference")
        for limit in getattr(state_variant(state), table).values()
        if limit not in getattr(FEDERAL, table).values()
    ]
    assert changed or state_variant(state).formula != FEDERAL.formula
    for limit in changed:
        value = f"{limit.value:,}"
        assert f"| {state} | {limit.name} | {value} | {limit.clause} | {limit.evidence} |" in PAGE


def test_securement_tables_are_on_the_page() -> None:
    data = read_table("securement.toml")
    for size in data["working_load"]["chain"]["30"]:
        cells = [data["working_load"]["chain"][grade].get(size) for grade in ("30", "43", "70", "80", "100")]
        shown = " | ".join("-" if wll_lb is None else f"{wll_lb:,}" for wll_lb in cells)
        assert f"| {size} | {shown} |" in PAGE
    for kind in ("webbing", "wire_rope"):
        for size, wll_lb in data["working_load"][kind].items():
            assert f"{size} in {wll_lb:,}" in PAGE


def test_names_are_unique() -> None:
    names = [limit.name for limit in (*FEDERAL.limits.values(), *FEDERAL.reference.values())]
    assert len(set(names)) == len(names)


def test_states_are_no_jurisdictions() -> None:
    assert not set(STATES) & set(jurisdictions())
    with pytest.raises(KeyError):
        state_variant("ZZ")


def test_override_says_where_it_comes_from() -> None:
    rules = load_rule_set("US federal", [LimitOverride("single_axle_lb", 22_000, "route permit")])
    assert rules.need("single_axle_lb") == 22_000
    assert rules.basis("single_axle_lb") == "Limits sheet, Single axle (lb)"
    with pytest.raises(KeyError):
        load_rule_set("US federal", [LimitOverride("cmv_lb", 1)])


def test_figures_without_a_source_say_so() -> None:
    assert FEDERAL.basis("height_in").endswith("(common practice, no source)")
    with pytest.raises(ValueError, match="has no length_in"):
        FEDERAL.need("length_in")
