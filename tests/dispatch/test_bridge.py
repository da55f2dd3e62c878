"""Group limits and the bridge formula: the printed table, boundaries, the state rules that were seen."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dispatch.bridge import axle_class, axle_group_limits, bridge_formula_lb, counted_axles, rounded_feet
from dispatch.limits import BridgeFormula, LimitOverride, RuleSet, load_rule_set

FEDERAL = load_rule_set("US federal")


def formula(rules: RuleSet = FEDERAL) -> BridgeFormula:
    assert rules.formula is not None
    return rules.formula


def by_group(positions_in: list[float], rules: RuleSet = FEDERAL) -> dict[tuple[int, int], float]:
    return {(g.first, g.last): g.limit_lb for g in axle_group_limits(positions_in, rules)}


def spread(axles: int, span_in: float) -> list[float]:
    return [span_in * i / (axles - 1) for i in range(axles)]


# Federal bridge table as enacted in RCW 46.44.041 and N.C.G.S. 20-118, a sample of rows; seen. Rows are feet
# between the outer axles, columns 2 to 7 axles; 8.1 is the row "over 8 ft" (97 in and more).
PRINTED = {
    8: (34_000, 34_000),
    8.1: (38_000, 42_000),
    9: (39_000, 42_500),
    10: (40_000, 43_500),
    13: (None, 45_500, 50_500),
    17: (None, 48_500, 53_500, 58_500),
    20: (None, 51_000, 55_500, 60_500, 66_000),
    22: (None, 52_500, 56_500, 61_500, 67_000),
    24: (None, 54_000, 58_000, 63_000, 68_500, 74_000),
    28: (None, 57_000, 60_500, 65_500, 71_000, 76_500),
    32: (None, 60_000, 63_500, 68_000, 73_000, 78_500),
    36: (None, None, 66_000, 70_500, 75_500),
    38: (None, None, 67_500, 72_000, 77_000),
    42: (None, None, 70_000, 74_000, 79_000),
    46: (None, None, 72_500, 76_500),
    51: (None, None, 76_000, 80_000),
    57: (None, None, 80_000),
}
CELLS = [
    (feet, axles, printed_lb)
    for feet, row in PRINTED.items()
    for axles, printed_lb in enumerate(row, start=2)
    if printed_lb is not None
]


@pytest.mark.parametrize(("feet", "axles", "printed_lb"), CELLS)
def test_printed_bridge_table(feet: float, axles: int, printed_lb: int) -> None:
    assert by_group(spread(axles, 12 * feet))[0, axles - 1] == printed_lb


def test_sample_has_every_printed_cell() -> None:
    assert len(CELLS) == 50


@pytest.mark.parametrize(("axles", "feet"), [(4, 36), (4, 37), (4, 38)])
def test_two_tandems_carry_68_000_from_36_feet(axles: int, feet: int) -> None:
    """23 U.S.C. 127(a): the starred cells of the table."""
    span_in = 12.0 * feet
    assert by_group([0, 50, span_in - 50, span_in])[0, 3] == 68_000
    assert by_group(spread(axles, span_in))[0, 3] < 68_000  # evenly spread axles are no two tandems


def test_two_tandems_test_is_on_true_inches() -> None:
    """35 ft 11 in rounds to 36 ft in the formula, and is short of the exception all the same."""
    assert by_group([0, 50, 381, 431])[0, 3] == 66_000
    assert by_group([0, 50, 382, 432])[0, 3] == 68_000


def test_groups_of_the_drawing() -> None:
    """The picture of docs/calculation-notes.md: axles at 0, 16, 20, 50 and 54 ft, 500 (L N / (N - 1) + 12 N + 36).

    16 and 30 ft of two axles: 46,000 and 60,000, no more than 40,000. 54 ft of five: 81,750, 81,500, gross 80,000.
    """
    singles = dict.fromkeys([(i, i) for i in range(5)], 20_000)
    assert by_group([12.0 * feet for feet in (0, 16, 20, 50, 54)]) == singles | {
        **{(0, 1): 40_000, (1, 2): 34_000, (2, 3): 40_000, (3, 4): 34_000},
        **{(0, 2): 51_000, (1, 3): 61_500, (2, 4): 61_500},
        **{(0, 3): 75_500, (1, 4): 68_000, (0, 4): 80_000},
    }
    assert [bridge_formula_lb(axles, feet, formula()) for axles, feet in ((2, 16), (2, 30), (4, 38), (5, 54))] == [
        *(46_000, 60_000, 67_500, 81_500)
    ]


def test_lone_pairs_at_the_boundaries() -> None:
    """23 CFR 658.5 and 658.17: 40 in inclusive is one single axle, 96 in inclusive a tandem."""
    limits_lb = {span_in: by_group([0, span_in])[0, 1] for span_in in (40, 40.01, 96, 96.01, 101.99, 102)}
    assert limits_lb == {40: 20_000, 40.01: 34_000, 96: 34_000, 96.01: 38_000, 101.99: 38_000, 102: 39_000}
    assert [axle_class(x, FEDERAL) for x in (0, 40, 40.01, 96, 96.01)] == [
        *("single", "single"),
        *("tandem", "tandem"),
        "bridge",
    ]


def test_conversion_noise_decides_nothing() -> None:
    """40 and 96 in by way of millimetres are still 40 and 96 in."""
    noise_in = 1e-9
    assert by_group([0, 40 + noise_in])[0, 1] == 20_000
    assert by_group([0, 96 + noise_in])[0, 1] == 34_000
    assert by_group([0, 50, 382, 432 - noise_in])[0, 3] == 68_000


def test_only_exact_halves_go_down() -> None:
    """Ties of the federal table: N = 3 at odd L, N = 5 at L = 2 mod 4, N = 7 at L = 3 mod 6; one is printed up."""
    up = formula(load_rule_set("US Pennsylvania"))
    for axles in range(3, 10):
        for feet in range(8, 61):
            exact = 500 * (feet * axles / (axles - 1) + 12 * axles + 36)
            down_lb, up_lb = bridge_formula_lb(axles, feet, formula()), bridge_formula_lb(axles, feet, up)
            assert abs(down_lb - exact) <= 250.001
            assert down_lb % 500 == 0
            tie = math.isclose(exact % 500, 250)
            assert (up_lb - down_lb) == (500 if tie and (axles, feet) != (5, 38) else 0)


def test_truncating_rule_cuts_every_fraction() -> None:
    cut = BridgeFormula(500, 12, 36, 500, "truncate", (), False, "")
    assert bridge_formula_lb(4, 17, formula()) == 53_500
    assert bridge_formula_lb(4, 17, cut) == 53_000


@pytest.mark.parametrize(("inches", "up", "down"), [(605, 50, 50), (606, 51, 50), (606.1, 51, 51), (0, 0, 0)])
def test_rounded_feet(inches: float, up: int, down: int) -> None:
    """Wis. Stat. 348.15 practice: 50 ft 5 in -> 50, 50 ft 6 in -> 51."""
    assert (rounded_feet(inches), rounded_feet(inches, "down")) == (up, down)


def test_sum_of_the_parts_governs_in_wisconsin() -> None:
    """Wisconsin DOT examples, seen: axles at 0, 10, 38 and 42 ft with a 13,000 lb steer axle."""
    rules = load_rule_set("US Wisconsin", [LimitOverride("steer_axle_lb", 13_000)])
    found = by_group([0, 120, 456, 504], rules)
    assert {key: found[key] for key in ((0, 1), (1, 2), (2, 3), (0, 2), (1, 3))} == {
        (0, 1): 33_000,
        (1, 2): 40_000,
        (2, 3): 34_000,
        (0, 2): 53_000,
        (1, 3): 54_000,
    }
    federal = by_group([0, 120, 456, 504])
    assert (federal[0, 2], federal[1, 3]) == (64_500, 60_000)


def test_lightly_loaded_axle_does_not_count_in_wisconsin() -> None:
    """Wis. Stat. 348.15(8), seen: less than 8 per cent of gross."""
    assert counted_axles([12_000, 44_000, 4_000], load_rule_set("US Wisconsin")) == (0, 1)
    assert counted_axles([12_000, 43_200, 4_800], load_rule_set("US Wisconsin")) == (0, 1, 2)
    assert counted_axles([12_000, 44_000, 4_000], FEDERAL) == (0, 1, 2)


def test_user_figures_replace_the_law() -> None:
    raised = load_rule_set("US federal", [LimitOverride("tandem_lb", 36_000, "state route")])
    assert by_group([0, 200, 250], raised)[1, 2] == 36_000
    lifted = load_rule_set("US federal", [LimitOverride("single_axle_lb", None)])
    assert by_group([0, 200, 250], lifted)[0, 0] == 80_000
    assert by_group([0, 200, 250], lifted)[1, 2] == 34_000
    both = load_rule_set("US federal", [LimitOverride("single_axle_lb", None), LimitOverride("gross_lb", None)])
    assert (0, 0) not in by_group([0, 200, 250], both)
    low = load_rule_set("US federal", [LimitOverride("gross_lb", 33_000)])
    assert by_group([0, 200, 250], low)[1, 2] == 33_000


def test_every_group_says_its_basis() -> None:
    groups = axle_group_limits([0, 190, 244, 500, 549, 598], FEDERAL)
    assert len(groups) == 6 * 7 // 2
    assert all(group.basis for group in groups)
    assert "N = 5, L = 34 ft" not in groups[0].basis
    assert any(group.basis.endswith("N = 4, L = 30 ft") for group in groups)


def test_positions_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="increase"):
        axle_group_limits([0, 200, 200], FEDERAL)
    with pytest.raises(ValueError, match="two axles"):
        bridge_formula_lb(1, 10, formula())


GAPS = st.lists(st.integers(24, 400), min_size=1, max_size=7)


@given(gaps=GAPS, where=st.integers(0, 6), wider_in=st.integers(0, 200))
def test_spreading_axles_never_lowers_a_limit(gaps: list[int], where: int, wider_in: int) -> None:
    """Without the exception for two tandems, which asks for axles that stay near each other."""
    rules = load_rule_set("US federal", [LimitOverride("two_tandem_spacing_in", None)])
    wider = list(gaps)
    wider[where % len(gaps)] += wider_in
    before, after = (by_group([float(sum(g[:i])) for i in range(len(g) + 1)], rules) for g in (gaps, wider))
    assert all(after[key] >= before[key] for key in before)


def test_spreading_a_tandem_can_lower_a_limit() -> None:
    """Pairs 86 and 96 in apart are two tandems over 36 ft: 68,000. At 97 and 96 in they are none: 66,500."""
    assert by_group([0, 86, 336, 432])[0, 3] == 68_000
    assert by_group([0, 97, 347, 443])[0, 3] == 66_500


@given(axles=st.integers(2, 8), span_in=st.integers(30, 800))
def test_a_further_axle_inside_a_group_never_lowers_its_limit(axles: int, span_in: int) -> None:
    fewer, more = (by_group(spread(n, float(span_in)))[0, n - 1] for n in (axles, axles + 1))
    assert more >= fewer


@given(gaps=GAPS)
def test_no_group_exceeds_gross_or_its_axles_law(gaps: list[int]) -> None:
    limits = by_group([float(sum(gaps[:i])) for i in range(len(gaps) + 1)])
    assert all(limit_lb <= 80_000 for limit_lb in limits.values())
    assert all(limit_lb == 20_000 for (first, last), limit_lb in limits.items() if first == last)
    assert all(limit_lb <= 40_000 for (first, last), limit_lb in limits.items() if last - first == 1)
