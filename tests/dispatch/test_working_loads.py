"""Working load limits: the whole tables, and the weakest part."""

from __future__ import annotations

import pytest

from dispatch.working_loads import (
    assembly_wll_lb,
    chain_wll_lb,
    marked_or_table_lb,
    webbing_wll_lb,
    wire_rope_wll_lb,
)

SIZES = ("1/4", "5/16", "3/8", "7/16", "1/2", "5/8")
# 49 CFR 393.108 tables, seen.
CHAINS = {
    "30": (1_300, 1_900, 2_650, 3_700, 4_500, 6_900),
    "43": (2_600, 3_900, 5_400, 7_200, 9_200, 13_000),
    "70": (3_150, 4_700, 6_600, 8_750, 11_300, 15_800),
    "80": (3_500, 4_500, 7_100, None, 12_000, 18_100),
    "100": (4_300, 5_700, 8_800, None, 15_000, 22_600),
}


@pytest.mark.parametrize("grade", CHAINS)
def test_chain_table(grade: str) -> None:
    for size, wll_lb in zip(SIZES, CHAINS[grade], strict=True):
        if wll_lb is None:
            with pytest.raises(KeyError):
                chain_wll_lb(size, grade)
        else:
            assert chain_wll_lb(size, grade) == wll_lb


def test_unmarked_chain_is_grade_30() -> None:
    """49 CFR 393.108(e), seen."""
    assert chain_wll_lb("3/8") == 2_650


def test_webbing_and_wire_rope_tables() -> None:
    assert [webbing_wll_lb(width) for width in ("1 3/4", "2", "3", "4")] == [1_750, 2_000, 3_000, 4_000]
    ropes_lb = [wire_rope_wll_lb(size) for size in (*SIZES, "3/4")]
    assert ropes_lb == [1_400, 2_100, 3_000, 4_100, 5_300, 8_300, 10_900]


def test_weakest_part_and_marking() -> None:
    """49 CFR 393.108(a), (b): the lowest part; a marking beats the table, higher or lower."""
    assert assembly_wll_lb(6_600, 5_400, None, 7_000) == 5_400
    assert assembly_wll_lb(None) is None
    assert (marked_or_table_lb(7_100, 6_600), marked_or_table_lb(None, 6_600)) == (7_100, 6_600)
