"""Facing mirrors an item: the same front edge, the centre of gravity and the contact from the other end.

The figures are the worked example of the places: 170 in long, centre of gravity at 60, contact from 20 to 120.
"""

from __future__ import annotations

from pen import (
    DARK,
    GREY,
    INK,
    LARGE,
    LEFT,
    LIGHT,
    PALE,
    RIGHT,
    SMALL,
    THIN,
    box,
    dot,
    line,
    measure,
    shape,
    sheet,
    words,
)

WIDTH, HEIGHT = 960, 470
FRONT_EDGE, LENGTH, CG, CONTACT = 100.0, 170.0, 60.0, (20.0, 120.0)
DECK_FRONT, SCALE = 130.0, 2.3


def at(inches: float) -> float:
    """Drawing place of inches behind the front of the deck."""
    return DECK_FRONT + SCALE * inches


def machine(deck_y: float, mirrored: bool) -> list[str]:
    """The machine on its deck; its nose, the slope, towards the truck or away from it."""

    def place(own_in: float) -> float:
        return at(FRONT_EDGE + (LENGTH - own_in if mirrored else own_in))

    top = deck_y - 86
    body = [(0, deck_y - 24), (45, top), (130, top), (LENGTH, top + 26), (LENGTH, deck_y - 16), (0, deck_y - 16)]
    low, high = sorted(place(end) for end in CONTACT)
    return [
        box(at(0), deck_y, at(300), deck_y + 12, GREY),
        shape([(place(x), y) for x, y in body], PALE),
        box(low, deck_y - 16, high, deck_y, DARK),
        dot(place(CG), deck_y - 50, 5, INK),
        words(place(24), deck_y - 30, "nose", SMALL),
        words(place(CG), deck_y - 62, "CG", SMALL),
        words((low + high) / 2, deck_y - 4, "contact", SMALL),
        line(place(CG), deck_y - 44, place(CG), deck_y + 76, THIN),
        line(at(FRONT_EDGE), deck_y - 96, at(FRONT_EDGE), deck_y + 40, THIN),
    ]


def lengths(deck_y: float, mirrored: bool) -> list[str]:
    """Where things are behind the front of the deck."""
    cg = FRONT_EDGE + (LENGTH - CG if mirrored else CG)
    start = FRONT_EDGE + (LENGTH - CONTACT[1] if mirrored else CONTACT[0])
    end = start + CONTACT[1] - CONTACT[0]
    said = "rearward: 100 + (170 - 60) = 210" if mirrored else "forward: 100 + 60 = 160"
    return [
        measure(at(0), at(FRONT_EDGE), deck_y + 38, "front edge 100"),
        measure(at(0), at(cg), deck_y + 68, f"centre of gravity, facing {said}"),
        words(at(cg) + 12, deck_y + 38, f"contact {start:.0f} to {end:.0f}", f"{SMALL} {LEFT}"),
        words(at(0) - 8, deck_y + 10, "truck", f"{SMALL} {RIGHT}"),
    ]


def svg() -> str:
    """The whole drawing."""
    drawn = [
        words(WIDTH / 2, 28, "The front edge is the edge nearest the truck, whatever the facing", LARGE),
        measure(40, 150, 44, "positive rearward"),
    ]
    for deck_y, mirrored in ((160.0, False), (370.0, True)):
        drawn += [*machine(deck_y, mirrored), *lengths(deck_y, mirrored)]
    drawn.append(line(30, 258, WIDTH - 30, 258, f'stroke="{LIGHT}" stroke-width="0.6"'))
    return sheet("Facing mirrors an item on the deck", WIDTH, HEIGHT, drawn)
