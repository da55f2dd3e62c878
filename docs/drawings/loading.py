"""Coming aboard: a machine that climbs the tail, and a dead one that is winched up the loading angle.

The figures are the worked examples: 6,000 lb at the tail just balance 1,000 lb on the coupler; 1,000 lb on a slope
of three in five, rolling resistance 0.1, need 680 lb of pull.
"""

from __future__ import annotations

from pen import (
    GREY,
    INK,
    LARGE,
    LEFT,
    LIGHT,
    PALE,
    RIGHT,
    SMALL,
    arrow,
    box,
    dot,
    line,
    measure,
    pointer,
    shape,
    sheet,
    wheel,
    words,
)

WIDTH, HEIGHT = 960, 400
COUPLER, SCALE = 60.0, 1.0
GROUP, AXLES, DECK, TAIL = 300.0, (270.0, 330.0), 50.0, 350.0
ROAD, DECK_Y = 250.0, 195.0
SIN, COS, ROLLING = 0.6, 0.8, 0.1


def at(x_in: float) -> float:
    """Drawing place of inches behind the coupler."""
    return COUPLER + SCALE * x_in


def climb() -> list[str]:
    """Trailer and machine on its ramp; the weight acts at the end of the deck."""
    return [
        line(30, ROAD, at(480), ROAD, f'stroke="{LIGHT}" stroke-width="1.5"'),
        box(at(DECK), DECK_Y, at(TAIL), DECK_Y + 14, GREY),
        shape([(at(0), 215), (at(0), 170), (at(DECK), 170), (at(DECK), 182), (at(10), 182), (at(10), 215)], GREY),
        shape([(at(TAIL), DECK_Y), (at(440), ROAD), (at(430), ROAD), (at(TAIL), DECK_Y + 10)], GREY),
        *(wheel(at(x), ROAD, 18) for x in AXLES),
        shape([(at(318), 180), (at(398), 226), (at(425), 180), (at(345), 134)], PALE),
        dot(at(372), 180, 4, INK),
        arrow(at(TAIL), 92, DECK_Y - 3),
        words(at(TAIL), 84, "W, taken at the tail"),
        arrow(at(0), 120, 167),
        words(at(0) - 16, 110, "P, down on the truck", LEFT),
        arrow(at(GROUP), ROAD + 36, ROAD + 3),
        words(at(GROUP) + 8, ROAD + 32, "T", LEFT),
        measure(at(0), at(GROUP), 310, "g = 300"),
        measure(at(0), at(TAIL), 336, "tail of the deck: x = 350"),
        line(at(0), 215, at(0), 342, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        line(at(TAIL), 215, at(TAIL), 342, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        words(at(200), 364, "P = 1,000 + 6,000 (1 - 350 / 300) = 0; negative: lifts at the hitch", SMALL),
    ]


def along(distance: float, height: float) -> tuple[float, float]:
    """Drawing place so far up the slope and so far off it."""
    foot_x, foot_y = 930.0, 300.0
    return foot_x - COS * distance + SIN * height, foot_y - SIN * distance - COS * height


def winch() -> list[str]:
    """A body on the slope: weight down, its parts along and across the slope, the line pull up it."""
    corners = [along(130, 0), along(220, 0), along(220, 50), along(130, 50)]
    cg = along(175, 25)
    force = 110.0
    down, across = (cg[0], cg[1] + force), (cg[0] - SIN * COS * force, cg[1] + COS * COS * force)
    start, end = along(220, 25), along(310, 25)
    foot, top = along(0, 0), along(380, 0)
    return [
        shape([foot, top, (top[0], foot[1])], GREY),
        shape(corners, PALE),
        pointer(*cg, *down),
        pointer(*cg, *across),
        line(*across, *down, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        dot(*cg, 4, INK),
        pointer(*start, *end),
        words(down[0] + 8, down[1] - 4, "W = 1,000", LEFT),
        words(across[0] - 8, across[1] - 2, "W cos a = 800", RIGHT),
        words((across[0] + down[0]) / 2 - 8, (across[1] + down[1]) / 2 + 14, "W sin a = 600", RIGHT),
        words(end[0] + 30, end[1] - 8, "line pull", ""),
        words(foot[0] - 34, foot[1] - 7, "a", 'font-style="italic"'),
        words(760, 340, "up the slope: 600 + 0.1 x 800 = 680 lb; with a snatch block 340", SMALL),
        words(760, 358, "a: the loading angle; r = 0.1: the rolling resistance", SMALL),
    ]


def svg() -> str:
    """The whole drawing."""
    titles = [
        words(250, 36, "A machine climbs the tail", LARGE),
        words(750, 36, "A dead machine is winched", LARGE),
        line(548, 50, 548, 380, f'stroke="{LIGHT}" stroke-width="0.6"'),
    ]
    return sheet(
        "Climbing the tail, and the winch on the loading angle", WIDTH, HEIGHT, [*titles, *climb(), *winch()]
    )
