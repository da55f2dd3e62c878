"""The days side by side: own trips and outside hauls of every fleet, what is proved, and what limits the day."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from dispatch.io.fleet_looks import fleet_keys, fleet_look, short
from dispatch.io.house_style import DARK
from dispatch.io.pictures import INK, MID, TEXT_PT, WHITE, WIDTH_IN, picture

from dispatch.comparison.glance import BETTER, CHANGES, DayGlance, FleetDay

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure
    from matplotlib.lines import Line2D
    from matplotlib.patches import Patch

CHART_IN, MARK_IN, GAP_IN, HEAD_IN, FOOT_IN = 1.75, 0.2, 0.05, 0.1, 0.15
NAMES_IN, RIGHT_IN = 1.75, 0.1
LETTER_IN, LONGEST_DAY = 0.075, 20
"""Room of a letter under the picture, and how many a day's name may have there."""
KEY_ROW_IN, KEYS_A_ROW = 0.2, 4
MOST_DAYS, MOST_BARS, FEWEST_DAYS = 24, 72, 6
"""Days and bars of one picture at most, but these days in any case."""
NARROWEST = 8
"""So many days find room even where there are fewer, so that the bars of one day do not fill the page."""
SHARE = 0.8
"""Of a day's room that its bars take."""


def panels(days: Sequence[DayGlance]) -> Iterator[Sequence[DayGlance]]:
    """The days in pictures of about equal length, none of them too narrow to read."""
    fleets = len(days[0].fleets) if days else 1
    most = max(FEWEST_DAYS, min(MOST_DAYS, MOST_BARS // fleets))
    each = math.ceil(len(days) / math.ceil(len(days) / most)) if days else 1
    for first in range(0, len(days), each):
        yield days[first : first + each]


def fleet_days_height(days: Sequence[DayGlance], width_in: float = WIDTH_IN) -> float:
    """Height of a picture in inches."""
    fleets = len(days[0].fleets)
    return HEAD_IN + _keys_in(fleets) + CHART_IN + GAP_IN + MARK_IN * (fleets - 1) + _names_in(days, width_in)


def _day_in(days: Sequence[DayGlance], width_in: float) -> float:
    """Width of a day."""
    return (width_in - NAMES_IN - RIGHT_IN) / max(len(days), NARROWEST)


def _longest_in(days: Sequence[DayGlance]) -> float:
    """Length of the longest name of a day as it is written."""
    return LETTER_IN * max(len(short(day.day, LONGEST_DAY)) for day in days)


def _level(days: Sequence[DayGlance], width_in: float) -> bool:
    """Whether the names of the days have room level."""
    return _longest_in(days) < _day_in(days, width_in)


def _names_in(days: Sequence[DayGlance], width_in: float) -> float:
    """Height that the names of the days need."""
    return FOOT_IN + (2 * LETTER_IN if _level(days, width_in) else _longest_in(days))


def fleet_days_picture(
    days: Sequence[DayGlance], most: float, kind: str = "png", width_in: float = WIDTH_IN
) -> bytes:
    """A group of bars a day, one a fleet; under it a row of marks for every fleet but the first.

    ``most``: the greatest number that any picture of the history shows, so that all have one scale. In the ``svg``
    the bars of own trips are the groups ``trips-1-1`` and so on: day, then fleet; those of outside hauls
    ``outside-1-1``; the marks ``mark-1-1``: day, then fleet after the first.
    """
    names = [fleet.variant for fleet in days[0].fleets]
    high, foot = fleet_days_height(days, width_in), _names_in(days, width_in)

    def draw(figure: Figure) -> None:
        left, width = NAMES_IN / width_in, 1 - (NAMES_IN + RIGHT_IN) / width_in
        strip = MARK_IN * (len(names) - 1)
        chart = figure.add_axes((left, (foot + strip + GAP_IN) / high, width, CHART_IN / high))
        marks = figure.add_axes((left, foot / high, width, strip / high)) if strip else chart
        for axes in (chart, marks):
            axes.set_xlim(-0.5, max(len(days), NARROWEST) - 0.5)
        _set_up(chart, most)
        for number, day in enumerate(days):
            _day(chart, number, day)
        if strip:
            _marks(marks, days, names[1:])
        _day_names(marks, days, level=_level(days, width_in))
        figure.legend(
            handles=[*fleet_keys(names), *_other_keys()],
            loc="upper right",
            bbox_to_anchor=(0.995, 1.0),
            ncol=KEYS_A_ROW,
            fontsize=TEXT_PT,
            frameon=False,
            handlelength=2.5,
            labelspacing=0.3,
        )

    return picture(high / width_in, draw, kind, width_in)


def greatest(days: Sequence[DayGlance]) -> float:
    """The greatest number of trips and outside hauls of a day."""
    return max((fleet.trips + fleet.outside for day in days for fleet in day.fleets), default=0.0)


def fleet_days_words(days: Sequence[DayGlance]) -> str:
    """A picture in words."""
    names = [fleet.variant for fleet in days[0].fleets]
    parts = []
    for number, name in enumerate(names):
        fleets = [day.fleets[number] for day in days]
        open_days = sum(not fleet.proved for fleet in fleets)
        words = f"{name} {sum(one.trips for one in fleets):g} own trips"
        words += f" and {sum(one.outside for one in fleets)} outside hauls"
        if open_days:
            words += f", fewest not proved on {open_days} of {len(days)} days"
        if number:
            changed = [day.day for day in days if day.marks[number - 1] in CHANGES]
            words += f", changes {', '.join(changed) if changed else 'no day'}"
        parts.append(words)
    return f"Bars of trips a day from {days[0].day} to {days[-1].day}: {'; '.join(parts)}."


def _keys_in(fleets: int) -> float:
    return KEY_ROW_IN * math.ceil((fleets + 2) / KEYS_A_ROW) + 0.1


def _other_keys() -> list[Patch | Line2D]:
    from matplotlib.lines import Line2D  # noqa: PLC0415 - only drawings need it
    from matplotlib.patches import Patch  # noqa: PLC0415

    return [
        Patch(facecolor=WHITE, edgecolor=INK, linewidth=1.0, linestyle=(0, (2, 1)), label="outside hauls, on top"),
        Line2D(
            [],
            [],
            color=INK,
            marker="_",
            markersize=6,
            label="not proved: line to the fewest possible; ?: not known",
        ),
    ]


def _set_up(axes: Axes, most: float) -> None:
    from matplotlib.ticker import MaxNLocator  # noqa: PLC0415 - only drawings need it

    axes.set_ylim(0, max(most, 1.0) * 1.12)
    axes.yaxis.set_major_locator(MaxNLocator(nbins=6, integer=True))
    axes.set_ylabel("trips", fontsize=TEXT_PT)
    axes.tick_params(labelsize=TEXT_PT)
    axes.tick_params(axis="x", length=0, labelbottom=False)
    axes.grid(axis="y", color=MID, linewidth=0.4)
    axes.set_axisbelow(True)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _day(axes: Axes, number: int, day: DayGlance) -> None:
    wide = SHARE / len(day.fleets)
    for place, fleet in enumerate(day.fleets):
        at = number - SHARE / 2 + (place + 0.5) * wide
        (own,) = axes.bar(at, fleet.trips, width=wide * 0.94, zorder=2, **fleet_look(place))
        own.set_gid(f"trips-{number + 1}-{place + 1}")
        if fleet.outside:
            look: dict[str, Any] = {
                "facecolor": WHITE,
                "edgecolor": INK,
                "linewidth": 1.0,
                "linestyle": (0, (2, 1)),
            }
            (out,) = axes.bar(at, fleet.outside, bottom=fleet.trips, width=wide * 0.94, zorder=2, **look)
            out.set_gid(f"outside-{number + 1}-{place + 1}")
        if not fleet.proved:
            _open(axes, at, fleet)


def _open(axes: Axes, at: float, fleet: FleetDay) -> None:
    """Down to the fewest trips that are not excluded; a question mark where nothing is known."""
    if fleet.fewest is None:
        top = fleet.trips + fleet.outside
        axes.text(at, top, "?", fontsize=TEXT_PT, fontweight="bold", ha="center", va="bottom", color=INK)
        return
    ends = [fleet.fewest, fleet.trips]
    axes.plot([at, at], ends, color=WHITE, linewidth=3.4, marker="_", markersize=8, markeredgewidth=3.0, zorder=3)
    axes.plot([at, at], ends, color=INK, linewidth=1.2, marker="_", markersize=6, markeredgewidth=1.2, zorder=4)


def _day_names(axes: Axes, days: Sequence[DayGlance], *, level: bool) -> None:
    axes.set_xticks(range(len(days)))
    names = [short(day.day, LONGEST_DAY) for day in days]
    axes.set_xticklabels(names, fontsize=TEXT_PT, rotation=0 if level else 90, parse_math=False)
    axes.tick_params(axis="x", length=0, labelbottom=True)


def _marks(axes: Axes, days: Sequence[DayGlance], others: Sequence[str]) -> None:
    """A cell a day and fleet: dark where it is better, hatched where it is worse, else what the limit is."""
    from matplotlib.patches import Rectangle  # noqa: PLC0415 - only drawings need it

    axes.set_ylim(len(others) - 0.5, -0.5)
    axes.set_yticks(range(len(others)))
    axes.set_yticklabels([short(name) for name in others], fontsize=TEXT_PT, parse_math=False)
    axes.tick_params(axis="y", length=0)
    for side in ("top", "right", "left", "bottom"):
        axes.spines[side].set_visible(False)
    for number, day in enumerate(days):
        for row, mark in enumerate(day.marks):
            better, changed = mark in BETTER, mark in CHANGES
            look: dict[str, Any] = {
                "facecolor": DARK if better else WHITE,
                "hatch": "" if better or not changed else "////",
            }
            cell = Rectangle((number - 0.5, row - 0.5), 1, 1, edgecolor=MID, linewidth=0.6, **look)
            cell.set_gid(f"mark-{number + 1}-{row + 1}")
            axes.add_patch(cell)
            axes.text(
                number,
                row,
                mark,
                fontsize=TEXT_PT - 0.5,
                fontweight="bold" if changed else "normal",
                ha="center",
                va="center",
                color=WHITE if better else INK,
                bbox=None if better or not changed else {"facecolor": WHITE, "edgecolor": "none", "pad": 0.5},
            )
