"""How far each check of the day is used, as bars: the tight ones stand out by shade, hatching and figure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dispatch.io.house_style import DARK, TIGHT_USE
from dispatch.io.pictures import INK, MID, PALE, TEXT_PT, WHITE, WIDTH_IN, picture

from dispatch.day_map import CheckUse

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW_IN, HEAD_IN, FOOT_IN = 0.185, 0.1, 0.42
NAMES_IN, WORDS_IN = 1.75, 1.95
MOST_ROWS = 30
"""More checks than these are not drawn: they are used least."""


def use_picture(uses: Sequence[CheckUse], kind: str = "png", width_in: float = WIDTH_IN) -> bytes:
    """A bar a check to its greatest use over the day's legs, a tick for every leg, the limit as a line.

    In the ``svg`` the bars are the groups ``use-1`` and so on, the tightest first.
    """
    shown = uses[:MOST_ROWS]
    high = HEAD_IN + FOOT_IN + ROW_IN * max(len(shown), 1)
    most = max([1.0, *(use.most for use in shown)])

    def draw(figure: Figure) -> None:
        place = (NAMES_IN / width_in, FOOT_IN / high, 1 - (NAMES_IN + WORDS_IN) / width_in)
        axes = figure.add_axes((*place, 1 - (HEAD_IN + FOOT_IN) / high))
        _set_up(axes, shown, most)
        for number, use in enumerate(shown):
            _bar(axes, number, use)

    return picture(high / width_in, draw, kind, width_in)


def _set_up(axes: Axes, shown: Sequence[CheckUse], most: float) -> None:
    axes.set_xlim(0, 100 * most)
    axes.set_ylim(len(shown) - 0.5, -0.5)
    axes.set_yticks(range(len(shown)))
    axes.set_yticklabels([use.name for use in shown], fontsize=TEXT_PT, parse_math=False)
    axes.tick_params(axis="x", labelsize=TEXT_PT)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel("use in the worst case, % of the limit; a tick is one leg", fontsize=TEXT_PT)
    axes.axvline(100, color=INK, linewidth=1.6, zorder=4)
    axes.axvline(100 * TIGHT_USE, color=INK, linewidth=0.7, linestyle=(0, (4, 3)), zorder=4)
    axes.grid(axis="x", color=PALE, linewidth=0.6)
    axes.set_axisbelow(True)
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)


def _bar(axes: Axes, number: int, use: CheckUse) -> None:
    tight = use.most >= TIGHT_USE
    look: dict[str, Any] = {"facecolor": DARK if tight else PALE, "edgecolor": INK if tight else MID}
    if use.waived:
        look = {"facecolor": WHITE, "edgecolor": INK, "hatch": "////"}
    (bar,) = axes.barh(number, 100 * use.most, height=0.66, linewidth=0.7, zorder=2, **look)
    bar.set_gid(f"use-{number + 1}")
    ticks = [100 * one for one in use.uses]
    axes.vlines(
        ticks, number - 0.33, number + 0.33, color=WHITE if tight and not use.waived else INK, linewidth=0.5
    )
    where = f"trip {use.trip}" + (f", leg {use.leg}" if use.leg else "") + (", by permit" if use.waived else "")
    axes.annotate(
        f"{use.most:.1%}  {where}",
        (1, number),
        xycoords=("axes fraction", "data"),
        xytext=(6, 0),
        textcoords="offset points",
        fontsize=TEXT_PT,
        fontweight="bold" if tight and not use.waived else "normal",
        va="center",
        annotation_clip=False,
    )
