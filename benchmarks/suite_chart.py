"""The suite as a picture: how soon proofs come, how time and how memory grow."""

from __future__ import annotations

import math
import statistics
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from dispatch.io.pictures import INK, MID, PALE, TEXT_PT, picture

from benchmarks.growth import Sample, fit_size_law

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

SHAPE = 0.42
LINES = ("-", "--", "-.", ":", (0, (7, 1, 1, 1, 1, 1)), (0, (1, 1)))
MARKS = ("o", "s", "^", "D", "v", "x")
FIRST_S, LAST_S = 0.004, 400.0
"""Seconds shown: from before anything is proved, so that the key has its place, to after the longest limit."""
TICKS = (0.01, 0.1, 1, 10, 60, 300, 100, 200, 500, 1_000, 2_000, 4_000)
ROOM = 4.0
"""How much higher the axis goes than the figures, for the key."""

Proofs = Mapping[str, Sequence[float]]
"""Size -> seconds to the proof of the fewest trips, a day each; infinite: not proved."""
Grown = Mapping[str, Sequence[Sample]]
"""What was measured -> its samples."""


def chart(proofs: Proofs, times: Grown, memory: Grown) -> bytes:
    """The picture as SVG, the same bytes for the same record."""
    return picture(SHAPE, lambda figure: _draw(figure, proofs, times, memory), "svg")


def _draw(figure: Figure, proofs: Proofs, times: Grown, memory: Grown) -> None:
    boxes = [(left, 0.13, 0.25, 0.77) for left in (0.06, 0.40, 0.73)]
    shares, seconds, megabytes = (figure.add_axes(box) for box in boxes)
    _shares(shares, proofs)
    _growth(seconds, times, "seconds")
    _growth(megabytes, memory, "peak memory, MB")
    titles = ("fewest trips proved", "time", "memory")
    for axes, title in zip((shares, seconds, megabytes), titles, strict=True):
        axes.set_title(title, fontsize=TEXT_PT + 1, loc="left")
        axes.tick_params(labelsize=TEXT_PT)
        axes.grid(color=PALE, linewidth=0.6)
        axes.set_axisbelow(True)


def _shares(axes: Axes, proofs: Proofs) -> None:
    """The share of a size's days that are proved after so many seconds, as steps."""
    for number, (size, seconds) in enumerate(proofs.items()):
        done = sorted(one for one in seconds if one < math.inf)
        places = [FIRST_S, *done, LAST_S]
        levels = [0.0, *((place + 1) / len(seconds) for place in range(len(done)))]
        steps = [100 * level for level in (*levels, levels[-1])]
        style = LINES[number % len(LINES)]
        axes.step(places, steps, where="post", color=INK, linestyle=style, linewidth=1.2, label=size)
    axes.set_xscale("log")
    axes.set_xlim(FIRST_S, LAST_S)
    _plain(axes.xaxis, (0.1, 1, 10, 60, 300))
    axes.set_ylim(-3, 103)
    axes.set_xlabel("seconds", fontsize=TEXT_PT)
    axes.set_ylabel("days, %", fontsize=TEXT_PT)
    if proofs:
        axes.legend(fontsize=TEXT_PT, title="moves/rigs", title_fontsize=TEXT_PT, edgecolor=MID, loc="upper left")


def _growth(axes: Axes, grown: Grown, label: str) -> None:
    """A mark a run, the median of each size larger, and the law of moves as a line."""
    for number, (name, samples) in enumerate(grown.items()):
        if not samples:
            continue
        mark, style = MARKS[number % len(MARKS)], LINES[number % len(LINES)]
        axes.plot([s.moves for s in samples], [s.value for s in samples], mark, markersize=3, color=MID, zorder=2)
        middles = _medians(samples)
        axes.plot(list(middles), list(middles.values()), mark, markersize=6, color=INK, zorder=4)
        law = fit_size_law(samples)
        words = name if law is None else f"{name}: moves^{law.power:.1f}"
        ends = [min(middles), max(middles)]
        heights = [law(end) for end in ends] if law is not None else [middles[end] for end in ends]
        axes.plot(ends, heights, color=INK, linestyle=style, linewidth=1.1, label=words, zorder=3)
    axes.set_xscale("log")
    axes.set_yscale("log")
    low, high = axes.get_ylim()
    axes.set_ylim(low, high * ROOM)
    _plain(axes.xaxis, sorted({s.moves for samples in grown.values() for s in samples}))
    _plain(axes.yaxis, [one for one in TICKS if low <= one <= high])
    axes.set_xlabel("moves", fontsize=TEXT_PT)
    axes.set_ylabel(label, fontsize=TEXT_PT)
    if any(grown.values()):
        axes.legend(fontsize=TEXT_PT, edgecolor=MID, loc="upper left")


def _plain(axis: Any, places: Sequence[float]) -> None:
    """Ticks at these places, as plain numbers."""
    axis.set_ticks(places, [f"{place:g}" for place in places])
    axis.set_ticks([], minor=True)


def _medians(samples: Sequence[Sample]) -> dict[int, float]:
    by_moves: dict[int, list[float]] = defaultdict(list)
    for sample in samples:
        by_moves[sample.moves].append(sample.value)
    return {moves: statistics.median(values) for moves, values in sorted(by_moves.items())}
