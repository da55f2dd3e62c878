"""Every group of consecutive axles has its limit: five axles at 0, 16, 20, 50 and 54 ft behind the steer axle."""

from __future__ import annotations

from pen import GREY, LARGE, LEFT, LIGHT, PALE, SMALL, THIN, box, line, sheet, wheel, words

WIDTH, HEIGHT = 960, 560
AXLES_FT = (0, 16, 20, 50, 54)
START, SCALE = 50.0, 7.0
ROAD = 150.0
GROUPS = (
    (1, 2, "16 ft: formula 46,000, no more than two single axles: 40,000"),
    (2, 3, "4 ft, a tandem: 34,000"),
    (3, 4, "30 ft: formula 60,000; 40,000"),
    (4, 5, "4 ft, a tandem: 34,000"),
    (1, 3, "20 ft, N = 3: 51,000"),
    (2, 4, "34 ft, N = 3: 61,500"),
    (3, 5, "34 ft, N = 3: 61,500"),
    (1, 4, "50 ft, N = 4: 75,333, rounded 75,500"),
    (2, 5, "38 ft, N = 4: 67,500; two tandems 36 ft or more apart: 68,000"),
    (1, 5, "54 ft, N = 5: 81,750, half down 81,500; gross: 80,000"),
)
"""First and last axle, its length and limit in pounds."""


def at(feet: float) -> float:
    """Drawing place of feet behind the steer axle."""
    return START + SCALE * feet


def rig() -> list[str]:
    """Tractor, trailer and axle numbers."""
    return [
        box(at(-3), 78, at(6), ROAD - 18, PALE),
        box(at(6), 112, at(23), ROAD - 18, PALE),
        box(at(15), 92, at(57), 108, GREY),
        line(at(-4), ROAD, at(59), ROAD, f'stroke="{LIGHT}" stroke-width="1.5"'),
        *(wheel(at(feet), ROAD, 15) for feet in AXLES_FT),
        *(words(at(feet), ROAD - 11, str(number)) for number, feet in enumerate(AXLES_FT, start=1)),
        *(line(at(feet), ROAD + 4, at(feet), 520, THIN) for feet in AXLES_FT),
        words(at(59) + 12, ROAD - 40, "each axle alone: 20,000", f"{SMALL} {LEFT}"),
    ]


def bracket(row: int, first: int, last: int, limit: str) -> list[str]:
    """One group: from its first axle to its last, with its limit beside it."""
    y = ROAD + 40 + 34 * row
    x1, x2 = at(AXLES_FT[first - 1]), at(AXLES_FT[last - 1])
    return [
        line(x1, y, x2, y, 'stroke-width="2"'),
        line(x1, y - 6, x1, y + 6, 'stroke-width="2"'),
        line(x2, y - 6, x2, y + 6, 'stroke-width="2"'),
        words(at(59) + 12, y + 4, f"{first}-{last}: {limit}", f"{SMALL} {LEFT}"),
    ]


def svg() -> str:
    """The whole drawing."""
    drawn = [words(WIDTH / 2, 32, "Limits of every group of consecutive axles, in pounds (US federal)", LARGE)]
    drawn += rig()
    for row, group in enumerate(GROUPS):
        drawn += bracket(row, *group)
    return sheet("Bridge groups over the axles of a rig", WIDTH, HEIGHT, drawn)
