"""What the yearly saving hangs on, as bars round the figure found: the widest on top, the zero line across."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dispatch.io.fleet_looks import short
from dispatch.io.house_style import DARK
from dispatch.io.pictures import INK, PALE, TEXT_PT, WHITE, WIDTH_IN, picture

from dispatch.comparison.yearly import SWING_PCT, Swing, Yearly

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW_IN, HEAD_IN, FOOT_IN = 0.3, 0.55, 0.5
NAMES_IN, RIGHT_IN = 1.45, 0.15
ROOM = 0.13
"""Share of the axis that the figures at the bars' ends need on either side."""
HEIGHT = 0.6
LEAST_SPAN_USD = 1_000
"""Dollars that the axis shows at least, so that its whole dollars differ."""


def tornado_picture(year: Yearly, kind: str = "png", width_in: float = WIDTH_IN) -> bytes:
    """A bar a figure from the net saving with it lower to that with it higher, round the net as found.

    In the ``svg`` the halves of the bars are the groups ``swing-1-low``, ``swing-1-high`` and so on from the top.
    """
    high = HEAD_IN + FOOT_IN + ROW_IN * len(year.tornado)

    def draw(figure: Figure) -> None:
        place = (NAMES_IN / width_in, FOOT_IN / high, 1 - (NAMES_IN + RIGHT_IN) / width_in)
        axes = figure.add_axes((*place, 1 - (HEAD_IN + FOOT_IN) / high))
        _set_up(axes, year)
        for number, swing in enumerate(year.tornado):
            _bar(axes, number, swing, year.net_cents)
        _key(figure, high)

    return picture(high / width_in, draw, kind, width_in)


def tornado_words(year: Yearly) -> str:
    """The picture in words."""
    bars = "; ".join(
        f"{one.figure} {_usd(one.low_cents)} to {_usd(one.high_cents)}"
        if one.width
        else f"{one.figure} changes nothing"
        for one in year.tornado
    )
    return (
        f"Bars: net saving a year of {year.variant}, {_usd(year.net_cents)} USD as found, with one figure at a "
        f"time {SWING_PCT} % lower to {SWING_PCT} % higher, the widest first: {bars}."
    )


def _usd(cents: int) -> str:
    return f"{round(cents / 100):,}"


def _set_up(axes: Axes, year: Yearly) -> None:
    ends = [0, year.net_cents, *(cents for one in year.tornado for cents in (one.low_cents, one.high_cents))]
    least, most = min(ends) / 100, max(ends) / 100
    room = ROOM * max(most - least, LEAST_SPAN_USD)
    axes.set_xlim(least - room, most + room)
    axes.set_ylim(len(year.tornado) - 0.5, -0.5)
    axes.set_yticks(range(len(year.tornado)))
    axes.set_yticklabels([one.figure for one in year.tornado], fontsize=TEXT_PT)
    axes.tick_params(axis="x", labelsize=TEXT_PT)
    axes.tick_params(axis="y", length=0)
    axes.xaxis.set_major_formatter("{x:,.0f}")
    axes.set_xlabel("net saving a year (USD)", fontsize=TEXT_PT)
    axes.grid(axis="x", color=PALE, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.axvline(0, color=INK, linewidth=1.8, zorder=1.5)
    axes.axvline(year.net_cents / 100, color=INK, linewidth=0.8, linestyle=(0, (4, 3)), zorder=4)
    _over(axes, 0, "loses  \u25c4 0 \u25ba  pays")
    axes.set_title(
        f"{short(year.variant)}: net {_usd(year.net_cents)} USD a year as found (broken line)",
        fontsize=TEXT_PT,
        fontweight="bold",
        loc="left",
        pad=20,
        parse_math=False,
    )


def _over(axes: Axes, at: float, words: str) -> None:
    axes.annotate(
        words,
        (at, 1),
        xycoords=("data", "axes fraction"),
        xytext=(0, 3),
        textcoords="offset points",
        fontsize=TEXT_PT,
        ha="center",
        annotation_clip=False,
    )


def _bar(axes: Axes, number: int, swing: Swing, net_cents: int) -> None:
    """The half with the figure lower hatched, the half with it higher dark; what they come to at their ends."""
    net = net_cents / 100
    if not swing.width:
        axes.plot([net], [number], marker="D", markersize=5, color=INK, zorder=5)
        _end(axes, number, net, "changes nothing", right=True)
        return
    for end, cents in (("low", swing.low_cents), ("high", swing.high_cents)):
        dark = end == "high"
        (bar,) = axes.barh(
            number,
            cents / 100 - net,
            left=net,
            height=HEIGHT,
            linewidth=0.8,
            zorder=2,
            facecolor=DARK if dark else WHITE,
            edgecolor=INK,
            hatch="" if dark else "////",
        )
        bar.set_gid(f"swing-{number + 1}-{end}")
        _end(axes, number, cents / 100, _usd(cents), right=cents > net_cents)


def _end(axes: Axes, number: int, at: float, words: str, *, right: bool) -> None:
    axes.annotate(
        words,
        (at, number),
        xytext=(5 if right else -5, 0),
        textcoords="offset points",
        fontsize=TEXT_PT,
        va="center",
        ha="left" if right else "right",
        bbox={"facecolor": WHITE, "edgecolor": "none", "pad": 0.5},
        zorder=3,
    )


def _key(figure: Figure, high: float) -> None:
    from matplotlib.patches import Patch  # noqa: PLC0415 - only drawings need it

    keys = [
        Patch(facecolor=WHITE, edgecolor=INK, hatch="////", label=f"with it {SWING_PCT} % lower"),
        Patch(facecolor=DARK, edgecolor=INK, label=f"with it {SWING_PCT} % higher"),
    ]
    figure.legend(
        handles=keys,
        loc="upper right",
        bbox_to_anchor=(0.99, 1 - 0.02 / high),
        ncol=2,
        fontsize=TEXT_PT,
        frameon=False,
        handlelength=2.5,
    )
