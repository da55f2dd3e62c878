"""Pressure under what stands on the deck, and the part of it behind the dovetail's hinge.

1,000 lb on 100 in, the worked examples of the notes: centred, off-centre within the middle third, one end lifted,
two axles. Pressure is drawn downward from the deck, to one scale.
"""

from __future__ import annotations

from dataclasses import dataclass

from pen import DARK, GREY, INK, LARGE, LEFT, PALE, SMALL, THIN, arrow, box, dot, line, shape, sheet, words

WIDTH, HEIGHT = 960, 730
SCALE, DEEP = 2.6, 34.0
"""Pixels an inch along the deck; pixels for the mean pressure of 10 lb/in."""


@dataclass(frozen=True)
class Panel:
    """One case: centre of gravity and hinge, inches from the start of the contact; what the ends press, lb/in."""

    title: str
    cg: float
    hinge: float
    pressed: tuple[tuple[float, float], tuple[float, float]]
    formula: str
    behind: str


PANELS = (
    Panel("centred: e = 0", 50, 50, ((0, 10), (100, 10)), "p = W / L = 10 lb/in", "500 lb behind the hinge"),
    Panel(
        *("off-centre: e = 10, not over L / 6", 60, 50, ((0, 4), (100, 16))),
        *("p = W / L (1 + 12 e s / L²): 4 to 16 lb/in", "50 (10 + 16) / 2 = 650 lb behind the hinge"),
    ),
    Panel(
        *("lifted: e = 30, d = 20, triangle of 3 d = 60", 80, 70, ((40, 0), (100, 1_000 / 30))),
        *("0 to 2 W / 3 d = 33.3 lb/in", "1,000 (1 - (30 / 60)²) = 750 lb behind the hinge"),
    ),
)
AXLES = Panel(
    *("two axles: point loads at the ends", 70, 40, ((0, 300), (100, 700))),
    *("W (cg - start) / L = 700 on the rear axle", "700 lb behind the hinge"),
)


def machine(left: float, deck: float, panel: Panel, axles: bool) -> list[str]:
    """Machine, deck, hinge and the weight at the centre of gravity."""

    def at(inches: float) -> float:
        return left + SCALE * inches

    wheels = [dot(at(x), deck - 12, 12, "white") for x in (0, 100)]
    feet = wheels if axles else [box(at(0), deck - 12, at(100), deck, DARK)]
    return [
        box(at(-25), deck, at(panel.hinge), deck + 7, GREY),
        box(at(panel.hinge), deck, at(125), deck + 7, "#8c8c8c"),
        box(at(-8), deck - 66, at(108), deck - 12, PALE),
        *feet,
        dot(at(panel.cg), deck - 40, 4, INK),
        arrow(at(panel.cg), deck - 96, deck - 46),
        words(at(panel.cg) + 8, deck - 84, "W = 1,000", f"{SMALL} {LEFT}"),
        line(at(50), deck - 66, at(50), deck - 12, THIN),
        line(at(panel.hinge), deck - 10, at(panel.hinge), deck + 142, 'stroke-dasharray="7 3"'),
        dot(at(panel.hinge), deck + 3.5, 4.5, "white"),
        words(at(panel.hinge), deck + 154, "hinge", SMALL),
        words(at(50), deck - 110, panel.title, 'font-weight="bold"'),
        words(at(50), deck + 172, panel.formula, SMALL),
        words(at(50), deck + 190, panel.behind, SMALL),
    ]


def spread(left: float, deck: float, panel: Panel) -> list[str]:
    """The pressure along the contact, dark where it rests behind the hinge."""
    (start, first), (end, last) = panel.pressed

    def corner(inches: float, pressure: float) -> tuple[float, float]:
        return left + SCALE * inches, deck + 10 + DEEP * pressure / 10

    middle = first + (last - first) * (panel.hinge - start) / (end - start)
    ahead = [corner(start, 0), corner(start, first), corner(panel.hinge, middle), corner(panel.hinge, 0)]
    behind = [corner(panel.hinge, 0), corner(panel.hinge, middle), corner(end, last), corner(end, 0)]
    return [shape(ahead, PALE), shape(behind, DARK)]


def points(left: float, deck: float, panel: Panel) -> list[str]:
    """Two point loads, their lengths to scale."""
    drawn = []
    for place, load in panel.pressed:
        x = left + SCALE * place
        drawn += [
            arrow(x, deck + 10, deck + 20 + load / 10),
            words(x, deck + 36 + load / 10, f"{load:.0f}", SMALL),
        ]
    return drawn


def svg() -> str:
    """The whole drawing."""
    legend = "dark: behind the hinge, on the dovetail; dashed in the machine: the middle of the contact"
    drawn = [
        words(WIDTH / 2, 28, "What 1,000 lb on 100 in of contact puts on the deck and on its dovetail", LARGE),
        words(WIDTH / 2, 50, legend, SMALL),
    ]
    places = ((110.0, 190.0), (590.0, 190.0), (110.0, 525.0), (590.0, 525.0))
    for (left, deck), panel in zip(places, (*PANELS, AXLES), strict=True):
        axles = panel is AXLES
        drawn += [points, spread][not axles](left, deck, panel) + machine(left, deck, panel, axles)
    return sheet("Contact pressure and the dovetail's hinge", WIDTH, HEIGHT, drawn)
