"""Legal weight of single axles, tandems and every group of consecutive axles: the bridge formula and its table."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from dispatch.axle_rules import AXLE_RULES, AxleRole, GroupLimit
from dispatch.limits import BridgeFormula, RuleSet
from dispatch.units import IN_PER_FT, SLACK_IN


@dataclass(frozen=True, slots=True)
class _Law:
    """The figures of a rule set that group limits are made of, hashable; a lifted limit is infinite."""

    single_lb: float
    tandem_lb: float
    gross_lb: float
    steer_lb: float
    single_in: float
    tandem_in: float
    two_tandem_in: float
    two_tandem_lb: float
    close_lb: float
    close_in: float
    formula: BridgeFormula | None
    single_basis: str
    tandem_basis: str
    gross_basis: str
    steer_basis: str
    two_tandem_basis: str
    close_basis: str


def axle_group_limits(
    positions_in: Sequence[float], rules: RuleSet, *, roles: Sequence[AxleRole] | None = None
) -> tuple[GroupLimit, ...]:
    """Limits, pounds, of every axle and of every group of two or more consecutive axles, by first then last.

    ``positions_in``: axle positions of the whole rig, inches, increasing, first the steer axle. ``roles``: what
    each axle is (``axle_rules.axle_roles``); needed by every rule set but the American ones. The rule set names
    its rule function; what follows is ``us_federal``, the others are in ``axle_rules``. Axles not over
    40 in apart in all are one single axle, over 40 and not over 96 in a tandem whatever their count, beyond that
    the bridge formula holds; two axles carry no more than two single axles, no group more than the gross limit;
    two consecutive tandems 36 ft or more between outer axles may carry 34,000 each. The 40 in, 96 in and
    36 ft tests are on true inches. Groups that the rule set does not limit are left out.
    Source: 23 U.S.C. 127(a); 23 CFR 658.5 and 658.17. Raises ValueError when positions do not increase, or when
    the rule set needs roles and there is not one for each axle.
    """
    if any(b <= a for a, b in pairwise(positions_in)):
        raise ValueError(f"axle positions must increase from the steer axle rearward: {tuple(positions_in)}")
    if rules.bridge == "us_federal":
        return _group_limits(tuple(float(x) for x in positions_in), _law(rules))
    if roles is None or len(roles) != len(positions_in):
        raise ValueError(f"rule set {rules.name} needs the role of each of the {len(positions_in)} axles")
    found = AXLE_RULES[rules.bridge](positions_in, roles, rules)
    return tuple(sorted(found, key=lambda limit: (limit.first, limit.last)))


def rounded_feet(inches: float, half: str = "up") -> int:
    """Length in whole feet, nearest; a length with exactly 6 inches over goes ``half`` (``up`` or ``down``).

    606 in (50 ft 6 in) -> 51; 605 in -> 50. Source: practice of Wis. Stat. 348.15; federal text gives feet only.
    """
    noise_in = SLACK_IN if half == "up" else -SLACK_IN
    feet = (inches + noise_in) / IN_PER_FT + 0.5
    return math.floor(feet) if half == "up" else math.ceil(feet) - 1


def bridge_formula_lb(axles: int, length_ft: int, formula: BridgeFormula) -> float:
    """Bridge formula weight, pounds, for ``axles`` (2 or more) over ``length_ft`` whole feet, without any cap.

    W = 500 [L N / (N - 1) + 12 N + 36], in exact arithmetic, rounded as the formula's table rounds: N = 3,
    L = 9 is 42,750 and prints 42,500. Source: 23 U.S.C. 127(a). Raises ValueError when axles < 2.
    """
    if axles < 2:
        raise ValueError(f"the bridge formula needs two axles or more, not {axles}")
    for printed_axles, printed_ft, printed_lb in formula.printed:
        if (axles, length_ft) == (printed_axles, printed_ft):
            return printed_lb
    if length_ft <= formula.columns_to_ft:
        axles = min(axles, formula.columns)
    feet = Fraction(length_ft * axles, axles - 1) + formula.per_axle_ft * axles + formula.constant_ft
    steps = formula.factor_lb * feet / formula.step_lb
    return float(_rounded(steps, formula.ties) * formula.step_lb)


def axle_class(span_in: float, rules: RuleSet) -> str:
    """``single``, ``tandem`` or ``bridge``: what the law sees in axles ``span_in`` inches apart in all."""
    law = _law(rules)
    if span_in <= law.single_in + SLACK_IN:
        return "single"
    return "tandem" if span_in <= law.tandem_in + SLACK_IN else "bridge"


def counted_axles(loads_lb: Sequence[float], rules: RuleSet) -> tuple[int, ...]:
    """Indices of the axles that count: those that carry the least share of gross that the rule set asks for.

    Without such a rule every axle counts. Source of the known one: Wis. Stat. 348.15(8), 8 per cent.
    """
    least_pct = rules.value("counted_axle_pct")
    gross_lb = sum(loads_lb)
    if least_pct is None or gross_lb <= 0:
        return tuple(range(len(loads_lb)))
    return tuple(i for i, load_lb in enumerate(loads_lb) if load_lb / gross_lb * 100 >= least_pct)


def _rounded(steps: Fraction, ties: str) -> int:
    """Nearest whole number; an exact half goes ``down`` or ``up``; ``truncate`` cuts every fraction."""
    whole = math.floor(steps)
    over = steps - whole
    if ties == "truncate":
        return whole
    half = Fraction(1, 2)
    return whole + (over >= half if ties == "up" else over > half)


def _law(rules: RuleSet) -> _Law:
    def most(key: str) -> float:
        value = rules.value(key)
        return math.inf if value is None else float(value)

    return _Law(
        single_lb=most("single_axle_lb"),
        tandem_lb=most("tandem_lb"),
        gross_lb=most("gross_lb"),
        steer_lb=most("steer_axle_lb"),
        single_in=rules.value("single_spacing_in") or 0.0,
        tandem_in=rules.value("tandem_spacing_in") or 0.0,
        two_tandem_in=most("two_tandem_spacing_in"),
        two_tandem_lb=2 * most("two_tandem_each_lb"),
        close_lb=most("close_axle_lb"),
        close_in=rules.value("close_axle_in") or 0.0,
        formula=rules.formula,
        single_basis=rules.basis("single_axle_lb"),
        tandem_basis=rules.basis("tandem_lb"),
        gross_basis=rules.basis("gross_lb"),
        steer_basis=rules.basis("steer_axle_lb"),
        two_tandem_basis=rules.basis("two_tandem_spacing_in"),
        close_basis=rules.basis("close_axle_lb"),
    )


@lru_cache(maxsize=1024)
def _group_limits(positions_in: tuple[float, ...], law: _Law) -> tuple[GroupLimit, ...]:
    count = len(positions_in)
    limits: dict[tuple[int, int], GroupLimit] = {}
    for axles in range(1, count + 1):
        for first in range(count - axles + 1):
            last = first + axles - 1
            limit = _group_limit(positions_in, first, last, law)
            if law.formula is not None and law.formula.parts_govern:
                limit = _capped_by_parts(limit, limits, law.formula)
            limits[first, last] = limit
    ordered = (limits[key] for key in sorted(limits))
    return tuple(limit for limit in ordered if limit.limit_lb < math.inf)


def _group_limit(positions_in: tuple[float, ...], first: int, last: int, law: _Law) -> GroupLimit:
    span_in = positions_in[last] - positions_in[first]
    if span_in <= law.single_in + SLACK_IN:
        limit_lb, basis = law.single_lb, law.single_basis
        if first == last == 0 and law.steer_lb < limit_lb:
            limit_lb, basis = law.steer_lb, law.steer_basis
        if first == last and law.close_lb < limit_lb and _has_neighbour(positions_in, first, law):
            limit_lb, basis = law.close_lb, law.close_basis
    elif span_in <= law.tandem_in + SLACK_IN:
        limit_lb, basis = law.tandem_lb, law.tandem_basis
        if law.formula is not None and law.formula.short_pairs and last - first == 1:
            limit_lb, basis = _bridge_limit(positions_in, first, last, law)
    else:
        limit_lb, basis = _bridge_limit(positions_in, first, last, law)
    if law.gross_lb < limit_lb:
        limit_lb, basis = law.gross_lb, law.gross_basis
    return GroupLimit(first, last, limit_lb, basis)


def _has_neighbour(positions_in: tuple[float, ...], axle: int, law: _Law) -> bool:
    """Whether another axle stands no farther away than the law calls near."""
    here_in = positions_in[axle]
    return any(abs(x - here_in) <= law.close_in + SLACK_IN for i, x in enumerate(positions_in) if i != axle)


def _bridge_limit(positions_in: tuple[float, ...], first: int, last: int, law: _Law) -> tuple[float, str]:
    axles, span_in = last - first + 1, positions_in[last] - positions_in[first]
    limit_lb, basis = math.inf, ""
    if law.formula is not None:
        feet = rounded_feet(span_in)
        limit_lb = bridge_formula_lb(axles, feet, law.formula)
        basis = f"{law.formula.clause}, N = {axles}, L = {feet} ft"
    if axles == 2 and 2 * law.single_lb < limit_lb:
        return 2 * law.single_lb, f"{law.single_basis}, two single axles"
    if limit_lb < law.two_tandem_lb < math.inf and _are_two_tandems(positions_in, first, last, law):
        return law.two_tandem_lb, law.two_tandem_basis
    return limit_lb, basis


def _are_two_tandems(positions_in: tuple[float, ...], first: int, last: int, law: _Law) -> bool:
    """Whether the group is two consecutive tandems, far enough apart between its outer axles."""
    if positions_in[last] - positions_in[first] < law.two_tandem_in - SLACK_IN:
        return False

    def is_tandem(start: int, end: int) -> bool:
        span_in = positions_in[end] - positions_in[start]
        return law.single_in + SLACK_IN < span_in <= law.tandem_in + SLACK_IN

    return any(is_tandem(first, cut) and is_tandem(cut + 1, last) for cut in range(first, last))


def _capped_by_parts(
    limit: GroupLimit, limits: dict[tuple[int, int], GroupLimit], formula: BridgeFormula
) -> GroupLimit:
    """The limit, or the least sum of the limits of two consecutive parts where that is lower."""
    sums = [
        limits[limit.first, cut].limit_lb + limits[cut + 1, limit.last].limit_lb
        for cut in range(limit.first, limit.last)
    ]
    least_lb = min(sums, default=math.inf)
    if least_lb >= limit.limit_lb:
        return limit
    return GroupLimit(limit.first, limit.last, least_lb, f"{formula.clause}, sum of the parts")
