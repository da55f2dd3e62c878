"""Every input sheet and column, in one place: it feeds the reader, the template and the reference page."""

from __future__ import annotations

from dispatch.io.cells import folded
from dispatch.io.layout_candidates import CANDIDATES, OPTIONS
from dispatch.io.layout_columns import Sheet
from dispatch.io.layout_fees import ESCORTS, PERMIT_FEES
from dispatch.io.layout_fleet import TRAILERS, TRUCKS
from dispatch.io.layout_hand_loads import LOADS
from dispatch.io.layout_loads import ITEMS, MOVES
from dispatch.io.layout_mobilisation import MOBILISATION
from dispatch.io.layout_outside_haul import OUTSIDE_HAUL
from dispatch.io.layout_places import DISTANCES, SITES
from dispatch.io.layout_rates import RATES
from dispatch.io.layout_rigs import RIGS
from dispatch.io.layout_settings import LIMITS, SETTING_ROWS, SETTINGS
from dispatch.io.layout_tickets import TICKETS
from dispatch.io.layout_variants import VARIANTS

__all__ = [
    "CANDIDATES",
    "DISTANCES",
    "ESCORTS",
    "IGNORED_SHEETS",
    "ITEMS",
    "LIMITS",
    "LOADS",
    "MOBILISATION",
    "MOVES",
    "OPTIONS",
    "OUTSIDE_HAUL",
    "PERMIT_FEES",
    "RATES",
    "RIGS",
    "SETTINGS",
    "SETTING_ROWS",
    "SHEETS",
    "SITES",
    "START_SHEET",
    "TICKETS",
    "TRAILERS",
    "TRUCKS",
    "VARIANTS",
    "sheet_named",
]

SHEETS: tuple[Sheet, ...] = (
    ITEMS,
    TRUCKS,
    TRAILERS,
    RIGS,
    SITES,
    MOVES,
    DISTANCES,
    LOADS,
    TICKETS,
    VARIANTS,
    CANDIDATES,
    OPTIONS,
    MOBILISATION,
    RATES,
    PERMIT_FEES,
    ESCORTS,
    OUTSIDE_HAUL,
    SETTINGS,
    LIMITS,
)
"""Every input sheet, in the order of the template."""
START_SHEET = "Start here"
IGNORED_SHEETS = (START_SHEET,)
"""Sheets that the reader passes over without a warning."""

_BY_NAME = {folded(sheet.name): sheet for sheet in SHEETS}


def sheet_named(name: str) -> Sheet | None:
    """The declared sheet of that name, case and blanks aside; ``None`` when there is none."""
    return _BY_NAME.get(folded(name))
