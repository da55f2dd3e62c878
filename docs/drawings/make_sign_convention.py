"""Draws the sign convention of the statics: ``python docs/drawings/make_sign_convention.py`` rewrites the SVG.

Plain SVG text without a library, so that the same script gives the same bytes everywhere. Inches of the drawing's
rig are scaled by ``SCALE``; the figures are the worked example of ``docs/calculation-notes.md``.
"""

from __future__ import annotations

from pathlib import Path

OUT = Path(__file__).with_name("sign-convention.svg")
WIDTH, HEIGHT = 960, 470
SCALE = 1.35
STEER = 130.0
"""Where the steer axle stands in the drawing."""
WHEELBASE, COUPLER = 200.0, 160.0
GROUP, AXLES = 300.0, (270.0, 330.0)
DECK, TAIL, HINGE = 50.0, 420.0, 352.0
ITEM_FRONT, ITEM_LENGTH, ITEM_CG = 130.0, 150.0, 200.0
ROAD, DECK_Y, WHEEL = 270.0, 212.0, 20.0
INK, LIGHT = "#1a1a1a", "#767676"


def at_truck(y_in: float) -> float:
    """Drawing place of ``y_in`` inches behind the steer axle."""
    return STEER + SCALE * y_in


def at_trailer(x_in: float) -> float:
    """Drawing place of ``x_in`` inches behind the coupler."""
    return at_truck(COUPLER + x_in)


def line(x1: float, y1: float, x2: float, y2: float, extra: str = "") -> str:
    """A straight line."""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" {extra}/>'


def box(x1: float, y1: float, x2: float, y2: float, fill: str) -> str:
    """A rectangle by two corners."""
    return f'<rect x="{x1:.1f}" y="{y1:.1f}" width="{x2 - x1:.1f}" height="{y2 - y1:.1f}" fill="{fill}"/>'


def words(x: float, y: float, text: str, extra: str = "") -> str:
    """A line of text, its middle at x."""
    return f'<text x="{x:.1f}" y="{y:.1f}" {extra}>{text}</text>'


def wheel(x: float) -> str:
    """A wheel on the road."""
    return f'<circle cx="{x:.1f}" cy="{ROAD - WHEEL:.1f}" r="{WHEEL:.1f}" fill="white"/>'


def arrow(x: float, y1: float, y2: float, colour: str = INK) -> str:
    """A force along the vertical from y1 to y2, its head at y2."""
    head = 8 if y2 > y1 else -8
    points = f"{x:.1f},{y2:.1f} {x - 4.5:.1f},{y2 - head:.1f} {x + 4.5:.1f},{y2 - head:.1f}"
    shaft = line(x, y1, x, y2 - head, f'stroke="{colour}" stroke-width="2"')
    return f'{shaft}<polygon points="{points}" fill="{colour}" stroke="none"/>'


def measure(x1: float, x2: float, y: float, text: str) -> str:
    """A length from x1 to x2, positive rearward: a tick at its zero, an arrow head at its end."""
    points = f"{x2:.1f},{y:.1f} {x2 - 8:.1f},{y - 4:.1f} {x2 - 8:.1f},{y + 4:.1f}"
    return (
        line(x1, y, x2 - 8, y)
        + line(x1, y - 6, x1, y + 6)
        + f'<polygon points="{points}" fill="{INK}" stroke="none"/>'
        + words((x1 + x2) / 2, y - 5, text)
    )


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
        *(wheel(at_truck(y)) for y in (0, WHEELBASE)),
        *(wheel(at_trailer(x)) for x in AXLES),
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
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'width="{WIDTH}" height="{HEIGHT}" font-family="sans-serif" font-size="13" text-anchor="middle">'
    )
    title = "<title>Frames and signs of the statics of a truck and trailer</title>"
    sheet = f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>'
    drawn = [f'<g stroke="{INK}" stroke-width="1.2">', *rig(), *forces(), *lengths(), "</g>"]
    # Text is filled, not stroked, wherever it stands.
    body = "\n".join(drawn).replace("<text ", f'<text stroke="none" fill="{INK}" ')
    return "\n".join([head, title, sheet, body, "</svg>"]) + "\n"


if __name__ == "__main__":
    OUT.write_text(svg(), encoding="utf-8", newline="\n")
