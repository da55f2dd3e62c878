"""Tie-downs from behind: direct from vehicle to machine, and over the top from side to side.

The figures are the worked examples: four chains of 2,500 lb on a machine, two straps of 3,300 lb over a bucket.
"""

from __future__ import annotations

from itertools import pairwise

from pen import DARK, GREY, INK, LARGE, LIGHT, PALE, SMALL, box, dot, line, shape, sheet, words

WIDTH, HEIGHT = 960, 390
DECK_Y, HALF = 270.0, 155.0
CHAIN = 'stroke-width="3"'


def deck(middle: float) -> list[str]:
    """Deck and wheels from behind."""
    return [
        box(middle - HALF, DECK_Y, middle + HALF, DECK_Y + 14, GREY),
        box(middle - 130, DECK_Y + 14, middle - 80, DECK_Y + 46, DARK),
        box(middle + 80, DECK_Y + 14, middle + 130, DECK_Y + 46, DARK),
        *(dot(middle + side * (HALF - 8), DECK_Y + 7, 5, "white") for side in (-1, 1)),
    ]


def direct() -> list[str]:
    """A machine on tracks, a chain from each side; two more at the other end stand behind them."""
    middle = 250.0
    drawn = [
        *deck(middle),
        *(box(middle + side * 90 - 24, DECK_Y - 44, middle + side * 90 + 24, DECK_Y, DARK) for side in (-1, 1)),
        box(middle - 80, DECK_Y - 120, middle + 80, DECK_Y - 24, PALE),
        box(middle - 46, DECK_Y - 184, middle + 46, DECK_Y - 120, PALE),
    ]
    for side in (-1, 1):
        top = middle + side * 60, DECK_Y - 70
        drawn += [line(*top, middle + side * (HALF - 8), DECK_Y + 7, CHAIN), dot(*top, 4, INK)]
    return [
        *drawn,
        words(middle, 40, "Direct: vehicle to machine", LARGE),
        words(middle, 60, "counts half its rating, one anchor point each", SMALL),
        words(middle, 346, "two at each end: four chains of 2,500 lb", SMALL),
        words(middle, 364, "4 x 2,500 / 2 = 5,000 lb, half of a machine of 10,000", SMALL),
    ]


def over() -> list[str]:
    """A bucket with a strap from side to side; a second one stands behind it."""
    middle = 710.0
    body = [(-90, 0), (-104, -90), (104, -90), (90, 0)]
    ends = [(-HALF + 8, 7), (-106, -94), (106, -94), (HALF - 8, 7)]
    strap = [(middle + x, DECK_Y + y) for x, y in ends]
    return [
        *deck(middle),
        shape([(middle + x, DECK_Y + y) for x, y in body], PALE),
        *(line(*one, *two, CHAIN) for one, two in pairwise(strap)),
        words(middle, 40, "Over the top: side to side", LARGE),
        words(middle, 60, "counts its full rating, two anchor points each", SMALL),
        words(middle, 346, "two straps of 3,300 lb over a bucket of 1,500 lb", SMALL),
        words(middle, 364, "2 x 3,300 = 6,600 lb against 750; four anchor points", SMALL),
    ]


def svg() -> str:
    """The whole drawing."""
    parting = line(480, 40, 480, 360, f'stroke="{LIGHT}" stroke-width="0.6"')
    return sheet("Tie-downs, direct and over the top", WIDTH, HEIGHT, [*direct(), *over(), parting])
