"""The sign convention of the statics: frames of truck and trailer, coupler load, reactions.

Inches of the drawing's rig are scaled by ``SCALE``; the figures are the worked example of the axle loads.
"""

from __future__ import annotations

from pen import INK, LIGHT, arrow, box, line, measure, sheet, wheel, words

WIDTH, HEIGHT = 960, 470
SCALE = 1.35
STEER = 130.0
"""Where the steer axle stands in the drawing."""
WHEELBASE, COUPLER = 200.0, 160.0
GROUP, AXLES = 300.0, (270.0, 330.0)
DECK, TAIL, HINGE = 50.0, 420.0, 352.0
ITEM_FRONT, ITEM_LENGTH, ITEM_CG = 130.0, 150.0, 200.0
ROAD, DECK_Y = 270.0, 212.0


def at_truck(y_in: float) -> float:
    """Drawing place of ``y_in`` inches behind the steer axle."""
    return STEER + SCALE * y_in


def at_trailer(x_in: float) -> float:
    """Drawing place of ``x_in`` inches behind the coupler."""
    return at_truck(COUPLER + x_in)


def rig() -> list[str]:
    """Truck, trailer, item and road."""
    cab = at_truck(-30), at_truck(62)
    return [
        line(30, ROAD, WIDTH - 30, ROAD, f'stroke="{LIGHT}" stroke-width="1.5"'),
        box(cab[0], 150, cab[1], ROAD - 26, "#f2f2f2"),
        box(cab[1], 226, at_truck(WHEELBASE + 36), ROAD - 26, "#f2f2f2"),
        f'<path d="M {at_trailer(0):.1f} 226 V 186 H {at_trailer(DECK - 8):.1f} V {DECK_Y} '
        f"H {at_trailer(HINGE):.1f} L {at_trailer(TAIL):.1f} 238 V 250 L {at_trailer(HINGE):.1f} 226 "
        f'H {at_trailer(DECK - 20):.1f} V 198 H {at_trailer(0) + 8:.1f} V 226 Z" fill="#dcdcdc"/>',
        box(at_trailer(ITEM_FRONT), 140, at_trailer(ITEM_FRONT + ITEM_LENGTH), DECK_Y, "#f2f2f2"),
        *(wheel(at_truck(y), ROAD) for y in (0, WHEELBASE)),
        *(wheel(at_trailer(x), ROAD) for x in AXLES),
        f'<circle cx="{at_trailer(ITEM_CG):.1f}" cy="176" r="5" fill="{INK}"/>',
        words(at_trailer(ITEM_CG) + 30, 162, "CG of the item", 'font-size="12"'),
        words(at_trailer(HINGE) + 34, 203, "dovetail", 'font-size="12"'),
        words(at_truck(16), 200, "truck", 'font-size="12"'),
    ]


def forces() -> list[str]:
    """Weights down, reactions of the road up, the coupler load on the truck down."""
    return [
        arrow(at_trailer(ITEM_CG), 84, 136),
        words(at_trailer(ITEM_CG), 78, "W"),
        arrow(at_trailer(0), 130, 184),
        words(at_trailer(0) - 8, 136, "P, down on the truck: positive", 'text-anchor="end"'),
        *(arrow(at_truck(y), ROAD + 40, ROAD + 3) for y in (0, WHEELBASE)),
        arrow(at_trailer(GROUP), ROAD + 40, ROAD + 3),
        words(at_truck(0), ROAD + 55, "front"),
        words(at_truck(WHEELBASE), ROAD + 55, "rear group"),
        words(at_trailer(GROUP), ROAD + 55, "trailer axles T"),
    ]


def lengths() -> list[str]:
    """The frames: y behind the steer axle, x behind the coupler, the deck's own inches."""
    return [
        measure(at_truck(0), at_truck(WHEELBASE), 376, "b = 200, wheelbase"),
        measure(at_truck(0), at_truck(COUPLER), 350, "c = 160"),
        measure(at_trailer(0), at_trailer(GROUP), 428, "g = 300, middle of the trailer axles"),
        measure(at_trailer(0), at_trailer(ITEM_CG), 402, "x = 200, CG of the item"),
        measure(at_trailer(DECK), at_trailer(ITEM_FRONT), 112, "front edge"),
        line(at_trailer(DECK), 106, at_trailer(DECK), DECK_Y, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        line(at_trailer(ITEM_FRONT), 106, at_trailer(ITEM_FRONT), 140, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        line(at_truck(0), ROAD + 60, at_truck(0), 382, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        line(at_trailer(0), 226, at_trailer(0), 434, f'stroke="{LIGHT}" stroke-dasharray="4 3"'),
        words(at_truck(0), 456, "y = 0 at the steer axle", 'font-size="12"'),
        words(at_trailer(0), 456, "x = 0 at the coupler", 'font-size="12"'),
        measure(40, 150, 40, "positive rearward"),
        words(
            WIDTH / 2,
            30,
            "Sign convention: lengths in inches, positive rearward; loads in pounds",
            'font-size="15"',
        ),
    ]


def svg() -> str:
    """The whole drawing."""
    title = "Frames and signs of the statics of a truck and trailer"
    return sheet(title, WIDTH, HEIGHT, [*rig(), *forces(), *lengths()])
