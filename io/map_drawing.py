"""The day's roads as a map to scale, a panel a rig; the same bytes for the same day."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dispatch.io.output_units import OutputUnits
from dispatch.io.pictures import INK, MID, PALE, TEXT_PT, WHITE, WIDTH_IN, picture

from dispatch.day_map import DayMap, Drive, Point
from dispatch.units import KM_PER_MI

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ACROSS, PANELS = 2, 4
"""Panels side by side, and panels a picture: what one printed page takes."""
GAP_IN, HEAD_IN = 0.12, 0.26
LOWEST_IN, HIGHEST_IN = 1.8, 2.7
"""Height of a panel's map on paper."""
BEND = 0.14
"""How far a leg is bent, as a share of its length."""
LONGEST_NAME = 22
LETTER_IN, LINE_IN, OFF_IN = 0.068, 0.13, 0.06
"""About the size of a letter of a name, and how far it stands off its site."""
Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""
ROUND_MI = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)


def map_picture(
    day: DayMap, rigs: Sequence[str], units: OutputUnits, kind: str = "png", width_in: float = WIDTH_IN
) -> bytes:
    """Panels of up to ``PANELS`` rigs, all to one scale; loaded legs thick, empty ones thin and broken.

    In the ``svg`` a site is the group ``site-<number>`` by its place in ``DayMap.points``, in the first panel.
    """
    rows = math.ceil(len(rigs) / ACROSS)
    wide = (width_in - GAP_IN * (ACROSS + 1)) / ACROSS
    left, right, bottom, top = _edges(day, wide)
    high = wide * (top - bottom) / (right - left)
    total = rows * (high + HEAD_IN + GAP_IN)

    def draw(figure: Figure) -> None:
        for number, rig in enumerate(rigs):
            row, column = divmod(number, ACROSS)
            x = GAP_IN + column * (wide + GAP_IN)
            y = total - (row + 1) * (high + HEAD_IN + GAP_IN) + GAP_IN
            axes = figure.add_axes((x / width_in, y / total, wide / width_in, high / total))
            axes.set_xlim(left, right)
            axes.set_ylim(bottom, top)
            _panel(axes, day, rig, units, named=number == 0)

    return picture(total / width_in, draw, kind, width_in)


def _edges(day: DayMap, wide_in: float) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of every panel, miles, with room for names; one scale both ways."""
    easts = [point.east_mi for point in day.points.values()]
    norths = [point.north_mi for point in day.points.values()]
    middle_x, middle_y = (max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2
    span_x, span_y = max(max(easts) - min(easts), 0.5), max(max(norths) - min(norths), 0.5)
    scale = max(span_x * 1.5 / wide_in, span_y * 1.25 / HIGHEST_IN)
    high = min(max(span_y * 1.25, LOWEST_IN * scale), HIGHEST_IN * scale)
    return (
        middle_x - wide_in * scale / 2,
        middle_x + wide_in * scale / 2,
        middle_y - high / 2,
        middle_y + high / 2,
    )


def _panel(axes: Axes, day: DayMap, rig: str, units: OutputUnits, *, named: bool) -> None:
    axes.set_xticks(())
    axes.set_yticks(())
    for spine in axes.spines.values():
        spine.set(color=MID, linewidth=0.6)
    drives = [one for one in day.drives if one.rig == rig]
    trips = sorted({one.trip for one in drives if one.trip})
    words = f"trips {trips[0]}-{trips[-1]}" if len(trips) > 1 else f"trip {trips[0]}" if trips else "not used"
    axes.set_title(f"{rig}: {words}", fontsize=TEXT_PT + 1, fontweight="bold", loc="left", pad=4, parse_math=False)
    _sites(axes, day, drives, named=named)
    labelled: set[tuple[str, str]] = set()
    for one in drives:
        if _known(day, one):
            _leg(axes, day, one, labelled)
    _scale_bar(axes, units)


def _sites(axes: Axes, day: DayMap, drives: Sequence[Drive], *, named: bool) -> None:
    """Every site as a circle; those that the rig visits are white and have their names."""
    visited = {name for one in drives for name in (one.origin, one.destination)}
    left, right = axes.get_xlim()
    per_in = (right - left) / axes.get_window_extent().width * axes.figure.dpi
    taken = [_square(*_middle(day, one), 0.08 * per_in) for one in drives if one.loaded and _known(day, one)]
    taken += [_square(point.east_mi, point.north_mi, 0.04 * per_in) for point in day.points.values()]
    for number, (name, point) in enumerate(day.points.items(), start=1):
        used = name in visited
        look: dict[str, Any] = (
            {"color": WHITE, "markeredgecolor": INK} if used else {"color": PALE, "markeredgecolor": MID}
        )
        look |= {"gid": f"site-{number}"} if named else {}
        axes.plot((point.east_mi,), (point.north_mi,), marker="o", markersize=5, zorder=5, **look)
        if used:
            _name(axes, name, point, per_in, taken)


def _name(axes: Axes, name: str, point: Point, per_in: float, taken: list[Box]) -> None:
    """The name beside its site at the first of four corners where it covers nothing; ``per_in``: miles/inch."""
    text = textwrap.shorten(name, LONGEST_NAME, placeholder="..") or name[:LONGEST_NAME]
    wide, high = LETTER_IN * len(text) * per_in, LINE_IN * per_in
    low, end = axes.get_xlim()
    boxes = {}
    for right, above in ((True, True), (True, False), (False, True), (False, False)):
        x = point.east_mi + (OFF_IN * per_in if right else -OFF_IN * per_in - wide)
        y = point.north_mi + (0.02 * per_in if above else -0.02 * per_in - high)
        boxes[right, above] = (x, y, x + wide, y + high)
    inside = {place: box for place, box in boxes.items() if low <= box[0] and box[2] <= end}
    free = (place for place, box in inside.items() if not any(_cover(box, other) for other in taken))
    place = next(free, next(iter(inside), (True, True)))
    taken.append(boxes[place])
    backing = {"facecolor": WHITE, "edgecolor": "none", "pad": 0.4, "alpha": 0.8}
    x, y = boxes[place][0 if place[0] else 2], boxes[place][1]
    side = "left" if place[0] else "right"
    axes.text(
        x, y, text, fontsize=TEXT_PT, ha=side, va="bottom", color=INK, parse_math=False, zorder=6, bbox=backing
    )


def _known(day: DayMap, one: Drive) -> bool:
    return one.origin in day.points and one.destination in day.points


def _middle(day: DayMap, one: Drive) -> tuple[float, float]:
    """Half way along a leg's bend, which leaves the straight line by half of ``rad`` of its length."""
    start, end = day.points[one.origin], day.points[one.destination]
    across, up = end.east_mi - start.east_mi, end.north_mi - start.north_mi
    x, y = (start.east_mi + end.east_mi) / 2, (start.north_mi + end.north_mi) / 2
    return x + BEND / 2 * up, y - BEND / 2 * across


def _square(x: float, y: float, half: float) -> Box:
    return x - half, y - half, x + half, y + half


def _cover(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def _leg(axes: Axes, day: DayMap, one: Drive, labelled: set[tuple[str, str]]) -> None:
    """An arrow, bent so that there and back lie apart; a loaded one carries the number of its trip."""
    start, end = day.points[one.origin], day.points[one.destination]
    arrow: dict[str, Any] = {
        "arrowstyle": "-|>",
        "connectionstyle": f"arc3,rad={BEND}",
        "color": INK if one.loaded else MID,
        "linewidth": 1.9 if one.loaded else 0.9,
        "linestyle": "-" if one.loaded else (0, (4, 3)),
        "mutation_scale": 9,
        "shrinkA": 4,
        "shrinkB": 4,
    }
    ends = (start.east_mi, start.north_mi), (end.east_mi, end.north_mi)
    axes.annotate("", xy=ends[1], xytext=ends[0], arrowprops=arrow, zorder=4 if one.loaded else 3)
    if one.loaded and (one.origin, one.destination) not in labelled:
        labelled.add((one.origin, one.destination))
        box = {"boxstyle": "round,pad=0.15", "facecolor": WHITE, "edgecolor": INK, "linewidth": 0.6}
        axes.text(
            *_middle(day, one), str(one.trip), fontsize=TEXT_PT, ha="center", va="center", bbox=box, zorder=7
        )


def _scale_bar(axes: Axes, units: OutputUnits) -> None:
    """A bar of a round distance at the lower left."""
    left, right = axes.get_xlim()
    bottom, top = axes.get_ylim()
    per_unit = 1 / KM_PER_MI if units.metric_distance else 1.0
    length = max((one for one in ROUND_MI if one * per_unit <= 0.25 * (right - left)), default=ROUND_MI[0])
    x, y = left + 0.03 * (right - left), bottom + 0.05 * (top - bottom)
    axes.plot((x, x + length * per_unit), (y, y), color=INK, linewidth=2.2, solid_capstyle="butt", gid="scale-bar")
    axes.text(x, y, f"{length:g} {units.road}", fontsize=TEXT_PT, ha="left", va="bottom", color=INK)
