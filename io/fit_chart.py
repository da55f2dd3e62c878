"""What still fits, as a picture: weight allowed against the place of the item, a line a length."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from dispatch.io.output_units import OutputUnits
from dispatch.io.pictures import INK, MID, PALE, TEXT_PT, picture

from dispatch.capacity import Allowed

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHAPE = 0.27
"""Height over width."""
LINES = ("-", "--", "-.", ":", (0, (7, 1, 1, 1, 1, 1)), (0, (1, 1)))
MARKS = ("o", "s", "^", "D", "v", "x")
"""Lengths are told apart by line and mark, not by colour; more than six begin anew."""
MARK_EVERY_IN = 24


@dataclass(frozen=True, slots=True)
class Curve:
    """Weights allowed for an item of one length; ``words`` name it in the key."""

    words: str
    places: tuple[Allowed, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands on the deck already: its name, front and rear end behind the deck's front, inches."""

    name: str
    front_in: float
    rear_in: float


def fit_chart(
    curves: Sequence[Curve],
    standing: Sequence[Standing],
    deck_length_in: float,
    dovetail_in: float,
    units: OutputUnits,
    kind: str = "png",
) -> bytes:
    """The picture: places behind the deck's front to the right, weights upward, the truck at the left.

    ``dovetail_in``: length of the deck's end that slopes. Where balance asks for a least weight, a thin line of
    the same kind shows it.
    """
    return picture(SHAPE, lambda figure: _draw(figure, curves, standing, deck_length_in, dovetail_in, units), kind)


def _draw(
    figure: Figure,
    curves: Sequence[Curve],
    standing: Sequence[Standing],
    deck_length_in: float,
    dovetail_in: float,
    units: OutputUnits,
) -> None:
    axes = figure.add_axes((0.075, 0.17, 0.705, 0.79))
    scale = units.to_length
    for number, curve in enumerate(curves):
        _curve(axes, number, curve, units)
    _standing(axes, standing, units)
    axes.set_xlim(0, scale(deck_length_in))
    axes.set_ylim(0, axes.get_ylim()[1] * 1.05)
    if dovetail_in:
        hinge = scale(deck_length_in - dovetail_in)
        axes.axvspan(hinge, scale(deck_length_in), facecolor="none", edgecolor=PALE, hatch="xx", zorder=0)
        level = axes.get_xaxis_transform()
        axes.text(
            hinge,
            0.03,
            " dovetail",
            transform=level,
            fontsize=TEXT_PT,
            va="bottom",
            ha="left",
            color=INK,
            bbox={"facecolor": "#ffffff", "edgecolor": "none", "pad": 1.0},
            zorder=4,
        )
    axes.set_xlabel(f"front edge of the further item behind the deck's front ({units.length})", fontsize=TEXT_PT)
    axes.set_ylabel(f"allowed weight ({units.weight})", fontsize=TEXT_PT)
    axes.tick_params(labelsize=TEXT_PT)
    axes.yaxis.set_major_formatter("{x:,.0f}")
    axes.grid(color=PALE, linewidth=0.6, zorder=0)
    axes.set_axisbelow(True)
    if curves:
        # Beside the deck: on it, the legend would hide the very places that are left.
        axes.legend(
            fontsize=TEXT_PT,
            loc="upper left",
            bbox_to_anchor=(1.01, 1.0),
            borderaxespad=0.0,
            handlelength=4.0,
            edgecolor=MID,
        )


def _curve(axes: Axes, number: int, curve: Curve, units: OutputUnits) -> None:
    """The greatest weight as a line, broken where no weight is allowed; the least one thin where there is one."""
    style, mark = LINES[number % len(LINES)], MARKS[number % len(MARKS)]
    places = [units.to_length(place.front_edge_in) for place in curve.places]
    most = [units.to_weight(place.most_lb) for place in curve.places]
    look: dict[str, Any] = {"color": INK, "linestyle": style, "zorder": 3}
    axes.plot(
        places, most, linewidth=1.3, label=curve.words, marker=mark, markersize=4, markevery=MARK_EVERY_IN, **look
    )
    if any(place.least_lb for place in curve.places):
        axes.plot(places, [units.to_weight(place.least_lb) for place in curve.places], linewidth=0.6, **look)


def _standing(axes: Axes, standing: Sequence[Standing], units: OutputUnits) -> None:
    """Grey spans with their names where something stands already."""
    for one in standing:
        left, right = units.to_length(one.front_in), units.to_length(one.rear_in)
        axes.axvspan(left, right, facecolor=PALE, edgecolor=MID, hatch="//", linewidth=0.6, zorder=1)
        axes.text(
            (left + right) / 2,
            0.5,
            one.name,
            transform=axes.get_xaxis_transform(),
            fontsize=TEXT_PT,
            ha="center",
            va="center",
            rotation=90,
            color=INK,
            parse_math=False,
            bbox={"facecolor": "#ffffff", "edgecolor": "none", "pad": 1.0},
            zorder=4,
        )
