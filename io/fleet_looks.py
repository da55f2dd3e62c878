"""How fleets are told apart in pictures: by shade and hatching, the base pale, in the order of Variants."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from dispatch.io.house_style import DARK
from dispatch.io.pictures import INK, PALE, WHITE

if TYPE_CHECKING:
    from matplotlib.patches import Patch

HATCHES = ("////", "....", "\\\\\\\\", "xxxx", "----")
"""Of the fleets after the second; more than these begin anew, and stand in the order of the key."""
LONGEST = 24
"""Letters of a name that a picture shows."""


def fleet_look(number: int) -> dict[str, Any]:
    """Fill of the fleet with this number; 0 is the base."""
    fill: dict[str, Any] = {"facecolor": WHITE, "edgecolor": INK, "linewidth": 0.6}
    if number == 0:
        return fill | {"facecolor": PALE}
    if number == 1:
        return fill | {"facecolor": DARK}
    return fill | {"hatch": HATCHES[(number - 2) % len(HATCHES)]}


def fleet_keys(names: Sequence[str]) -> list[Patch]:
    """What the key of a picture shows of the fleets."""
    from matplotlib.patches import Patch  # noqa: PLC0415 - only drawings need it

    return [Patch(label=short(name), **fleet_look(number)) for number, name in enumerate(names)]


def short(name: str, longest: int = LONGEST) -> str:
    """The name, cut where it is too long for a picture; the tables have it whole."""
    return name if len(name) <= longest else f"{name[: longest - 3].rstrip()}..."
