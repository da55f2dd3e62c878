"""What the tickets offer for the sheets: rounded figures with their uncertainty and the basis that covers it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dispatch.coupler_place import COLUMN as COUPLER_PLACE
from dispatch.items import WeightBasis
from dispatch.settings import Settings
from dispatch.ticket_estimates import CG
from dispatch.units import round_half_up
from dispatch.weighing_results import Estimate, NewFigure, Subject

_BASES = (WeightBasis.SCALE_TICKET, WeightBasis.DATA_PLATE, WeightBasis.ESTIMATE)
"""Those with a tolerance to both sides, in the order in which they are offered."""
_USEFUL_CG_IN = 6.0
"""A centre of gravity known no better says less than a look at the machine; common practice, no source."""


def new_figures(estimates: Sequence[Estimate], settings: Settings) -> Iterator[NewFigure]:
    """A figure for every estimate that improves on its sheet, with remarks; nothing is written anywhere.

    A weight improves on a sheet that it contradicts, or whose range is wider. A centre of gravity is offered when
    it is known to 6 in and lies over what touches the deck, a coupler's place when it contradicts the sheet.
    """
    better = [one for one in estimates if _improves(one)]
    for one in better:
        if one.figure == CG:
            yield _offer(one, None, "")
        elif one.figure == COUPLER_PLACE:
            yield _offer(one, None, "differs from the sheet: measure it again with a tape")
        elif one.subject is Subject.TRUCK:
            yield _offer(one, None, _truck_remark(_pct(one), settings))
        else:
            # A trailer's sheet has one basis for both empty weights: the wider uncertainty decides.
            alike = [other for other in better if (other.subject, other.name) == (one.subject, one.name)]
            yield _offer(one, *_basis(max(_pct(other) for other in alike if other.unit == "lb"), settings))


def _improves(one: Estimate) -> bool:
    if one.subject is Subject.TOGETHER or one.value is None or one.half_width is None:
        return False
    if one.figure == COUPLER_PLACE:
        return one.agrees is False
    if one.figure == CG:
        return not one.remark and one.half_width <= _USEFUL_CG_IN
    return one.value > 0 and (one.agrees is False or one.half_width <= (one.stated_high - one.stated_low) / 2)


def _offer(one: Estimate, basis: WeightBasis | None, remark: str) -> NewFigure:
    return NewFigure(
        subject=one.subject,
        name=one.name,
        column=one.figure,
        unit=one.unit,
        now=one.stated,
        value=_rounded(one),
        half_width=one.half_width or 0.0,
        basis=basis,
        remark=remark,
    )


def _rounded(one: Estimate) -> float:
    """Weights to ten pounds where the uncertainty is larger than that, to one otherwise; lengths to 0.1 in."""
    value, half_width = one.value or 0.0, one.half_width or 0.0
    if one.unit == "in":
        return round(value, 1)
    step = 10 if half_width > 10 else 1
    return float(step * round_half_up(value / step))


def _pct(one: Estimate) -> float:
    """Half-width and what rounding adds, per cent of the figure offered."""
    rounded = _rounded(one)
    return 100 * ((one.half_width or 0.0) + abs(rounded - (one.value or 0.0))) / max(rounded, 1.0)


def _least_tolerance_pct(basis: WeightBasis, settings: Settings) -> float:
    return min(settings.tolerances[basis].over_pct, settings.tolerances[basis].under_pct)


def _basis(pct: float, settings: Settings) -> tuple[WeightBasis | None, str]:
    """The first basis whose tolerance covers the 95 % half-width, and what to do where it is no scale ticket's."""
    covering = [basis for basis in _BASES if pct <= _least_tolerance_pct(basis, settings)]
    if covering and covering[0] is WeightBasis.SCALE_TICKET:
        return covering[0], ""
    scale = _least_tolerance_pct(WeightBasis.SCALE_TICKET, settings)
    ways = [f"basis {covering[0].value}"] if covering else []
    ways += [f"Scale ticket over and under of {_up(pct):.1f} % in Settings", "or weigh again"]
    remark = f"+-{pct:.1f} % is more than the {scale:g} % of a scale ticket: {', '.join(ways)}"
    return (covering[0] if covering else None), remark


def _truck_remark(pct: float, settings: Settings) -> str:
    """A truck's empty weights have no tolerance of their own: the checks take them as weighed."""
    scale = _least_tolerance_pct(WeightBasis.SCALE_TICKET, settings)
    return "" if pct <= scale else f"+-{pct:.1f} %; the checks take a truck's weights as exact: weigh again"


def _up(pct: float) -> float:
    return -(-pct * 10 // 1) / 10
