"""How much each trailer is used under each fleet: hours out of the yard and trips, as bars with their figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from dispatch.io.fleet_looks import fleet_look, short
from dispatch.io.pictures import PALE, TEXT_PT, WIDTH_IN, picture

from dispatch.comparison.glance import UseLine
from dispatch.units import MIN_PER_H

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW_IN, HEAD_IN, FOOT_IN = 0.21, 0.1, 0.5
LETTER_IN, GAP_IN, FIGURE_IN = 0.08, 0.2, 1.6
"""Room of a letter of a name, between parts, and of the figures behind a bar."""
MOST_ROWS = 28
"""Bars of one picture at most."""


def use_panels(uses: Sequence[UseLine]) -> Iterator[Sequence[UseLine]]:
    """The bars in pictures: a trailer's fleets under each other, trailers in the order of the fleets."""
    trailers = list(dict.fromkeys(one.trailer for one in uses))
    ordered = [one for trailer in trailers for one in uses if one.trailer == trailer]
    for first in range(0, len(ordered), MOST_ROWS):
        yield ordered[first : first + MOST_ROWS]


def trailer_use_height(rows: int) -> float:
    """Height of a picture in inches."""
    return HEAD_IN + FOOT_IN + ROW_IN * rows


def trailer_use_picture(
    uses: Sequence[UseLine], fleets: Sequence[str], kind: str = "png", width_in: float = WIDTH_IN
) -> bytes:
    """A row a trailer and fleet: hours out at the left, trips at the right, all days together.

    In the ``svg`` the bars are the groups ``hours-1``, ``trips-1`` and so on from the top.
    """
    high = trailer_use_height(len(uses))
    names = _names_in(uses)
    each = (width_in - names - 2 * FIGURE_IN - GAP_IN) / 2

    def draw(figure: Figure) -> None:
        tall = (FOOT_IN / high, each / width_in, 1 - (HEAD_IN + FOOT_IN) / high)
        hours = figure.add_axes((names / width_in, *tall))
        trips = figure.add_axes(((names + each + FIGURE_IN + GAP_IN) / width_in, *tall))
        _set_up(hours, [one.out_min / MIN_PER_H for one in uses], "hours out of the yard, all days (h)")
        _set_up(trips, [one.trips for one in uses], "trips, all days")
        _names(hours, uses, names)
        for number, one in enumerate(uses):
            look, out_h = fleets.index(one.variant), one.out_min / MIN_PER_H
            _bar(
                hours,
                number,
                out_h,
                look,
                f"hours-{number + 1}",
                f"{out_h:,.1f} h, {out_h / one.days:.1f} h a day",
            )
            words = f"{one.trips}, on {one.used_days} of {one.days} days"
            _bar(trips, number, one.trips, look, f"trips-{number + 1}", words)

    return picture(high / width_in, draw, kind, width_in)


def trailer_use_words(uses: Sequence[UseLine]) -> str:
    """A picture in words."""
    parts = (
        f"{one.trailer} under {one.variant}: {one.out_min / MIN_PER_H:,.1f} h and {one.trips} trips "
        f"on {one.used_days} of {one.days} days"
        for one in uses
    )
    return f"Bars of hours out and trips of each trailer. {'; '.join(parts)}."


def _set_up(axes: Axes, values: Sequence[float], words: str) -> None:
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - only drawings need it

    axes.set_xlim(0, max(values, default=0.0) or 1.0)
    axes.set_ylim(len(values) - 0.5, -0.5)
    axes.set_yticks([])
    axes.xaxis.set_major_locator(MaxNLocator(nbins=4, integer=True))
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.tick_params(labelsize=TEXT_PT)
    axes.set_xlabel(words, fontsize=TEXT_PT, loc="left")
    axes.grid(axis="x", color=PALE, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _names_in(uses: Sequence[UseLine]) -> float:
    """Room of the names left of the bars."""
    longest = (
        max(len(short(name)) for name in names)
        for names in zip(*((one.trailer, one.variant) for one in uses), strict=True)
    )
    return LETTER_IN * sum(longest) + 2 * GAP_IN


def _names(axes: Axes, uses: Sequence[UseLine], room_in: float) -> None:
    """The fleet beside each bar; the trailer once, at the far left, beside its first bar."""
    axes.set_yticks(range(len(uses)))
    axes.set_yticklabels([short(one.variant) for one in uses], fontsize=TEXT_PT, parse_math=False)
    axes.tick_params(axis="y", length=0)
    before = ""
    for number, one in enumerate(uses):
        if one.trailer != before:
            axes.annotate(
                short(one.trailer),
                (0, number),
                xycoords=("axes fraction", "data"),
                xytext=(4 - 72 * room_in, 0),
                textcoords="offset points",
                fontsize=TEXT_PT,
                fontweight="bold",
                va="center",
                annotation_clip=False,
                parse_math=False,
            )
        before = one.trailer


def _bar(axes: Axes, number: int, value: float, look: int, name: str, words: str) -> None:
    (bar,) = axes.barh(number, value, height=0.68, zorder=2, **fleet_look(look))
    bar.set_gid(name)
    axes.annotate(
        words,
        (value, number),
        xytext=(5, 0),
        textcoords="offset points",
        fontsize=TEXT_PT,
        va="center",
        annotation_clip=False,
    )
