"""The sheets Settings and Limits, and every row that Settings may hold. Defaults are the core's own."""

from __future__ import annotations

from dispatch.io.layout_bid_settings import BID_SETTINGS
from dispatch.io.layout_columns import (
    Column,
    Reads,
    Sheet,
    duration,
    length,
    one_of,
    other,
    per_cent,
    plain,
    text,
    weight,
    whole,
)
from dispatch.io.unit_names import Dimension

from dispatch.limits import jurisdictions
from dispatch.settings import Objective, Settings

_DEFAULT = Settings()
_SPEEDS = {"above": 0, "most": 100, "usual": (10, 70)}

BASES = {
    "Scale ticket": "scale ticket",
    "Data plate": "data plate",
    "Catalogue base": "catalogue base",
    "Estimate": "estimate",
}
"""How the tolerance rows begin, with the weight basis that each is for."""
BANDS = {
    "gooseneck": ("gooseneck",),
    "ball or pintle": ("ball", "pintle"),
    "fifth wheel": ("fifth wheel",),
}
"""How the coupler share rows end, with the hitches that each is for."""


def _tolerances() -> tuple[Column, ...]:
    tolerances = {basis.value: tolerance for basis, tolerance in _DEFAULT.tolerances.items()}
    rows = []
    for start, basis in BASES.items():
        both = tolerances[basis]
        for word, value in (("over", both.over_pct), ("under", both.under_pct)):
            side = "heavier" if word == "over" else "lighter"
            meaning = f"How much {side} than stated a true weight may be when its basis is {basis}."
            rows.append(per_cent(f"{start} {word}", meaning, value=value, most=50.0, usual=(0, 20)))
    return tuple(rows)


def _bands() -> tuple[Column, ...]:
    bands = {hitch.value: band for hitch, band in _DEFAULT.coupler_bands.items()}
    rows = []
    for end, hitches in BANDS.items():
        both = bands[hitches[0]]
        for word, value in (("least", both.least_pct), ("most", both.most_pct)):
            meaning = f"{word.capitalize()} share of a loaded trailer's weight on its coupler: {end}."
            rows.append(per_cent(f"Coupler share {word}, {end}", meaning, value=value))
    return tuple(rows)


SETTING_ROWS: tuple[Column, ...] = (
    Column(name="Day", reads=Reads.DAY, meaning="The day planned.", default="today", example="2026-11-25"),
    one_of("Jurisdiction", jurisdictions(), "Whose limits of law hold.", value=_DEFAULT.jurisdiction),
    one_of("Objective", Objective, "What comes first after the moves left out.", value=_DEFAULT.objective.value),
    duration("Time limit", "Longest search.", unit="s", above=0, value=_DEFAULT.time_limit_s, usual=(1, 36_000)),
    plain(
        "Circuity factor",
        "Road distance over great-circle distance, where a distance is estimated.",
        least=1,
        value=_DEFAULT.circuity_factor,
        usual=(1, 2),
    ),
    duration(
        "Hook minutes",
        "Changing over a shared truck or driver at the yard.",
        show_unit=False,
        value=_DEFAULT.hook_min,
    ),
    other(
        "Speed loaded",
        "Average speed loaded, where no minutes are given.",
        Dimension.SPEED,
        "mph",
        value=_DEFAULT.speed_loaded_mph,
        **_SPEEDS,
    ),
    other(
        "Speed empty",
        "Average speed empty, where no minutes are given.",
        Dimension.SPEED,
        "mph",
        value=_DEFAULT.speed_empty_mph,
        **_SPEEDS,
    ),
    duration(
        "Load minutes", "To load and chain one item.", show_unit=False, value=_DEFAULT.load_min, usual=(1, 240)
    ),
    duration("Unload minutes", "To unload one item.", show_unit=False, value=_DEFAULT.unload_min, usual=(1, 240)),
    length("Gap between items", "Least gap between two items.", value=_DEFAULT.gap_in / 12, usual=(0, 6)),
    length(
        "Front clearance",
        "Least gap to the front of the deck.",
        value=_DEFAULT.front_clearance_in / 12,
        usual=(0, 6),
    ),
    length(
        "Rear overhang allowed",
        "How far an item may reach past the end of the deck.",
        value=_DEFAULT.rear_overhang_in / 12,
        usual=(0, 10),
    ),
    per_cent(
        "Steer least",
        "Least load on the steer axle, as a share of its own empty load.",
        unit_text="% of empty front",
        value=_DEFAULT.steer_least_pct,
        usual=(50, 100),
    ),
    *_tolerances(),
    *_bands(),
    plain(
        "Rolling resistance, wheels",
        "Pull over weight while winching: wheels.",
        value=_DEFAULT.rolling_wheels,
        most=1,
    ),
    plain(
        "Rolling resistance, tracks",
        "Pull over weight while winching: tracks and skids.",
        value=_DEFAULT.rolling_tracks,
        most=1,
    ),
    whole(
        "Most items on a trip",
        "No trip carries more items than this.",
        value=_DEFAULT.most_items_per_trip,
        least=1,
        most=12,
        usual=(1, 8),
    ),
    weight(
        "Scale tolerance",
        "How far a reading on a scale ticket may be off: this or the share below, whichever is more.",
        above=0,
        value=_DEFAULT.scale_tolerance_lb,
        usual=(5, 200),
    ),
    per_cent(
        "Scale tolerance share",
        "How far a reading on a scale ticket may be off, as a share of it.",
        value=_DEFAULT.scale_tolerance_pct,
        most=10.0,
        usual=(0, 2),
    ),
    length(
        "Tape tolerance",
        "How far places on the sheet Tickets and a truck's coupler may be off, measured with a tape.",
        unit="in",
        value=_DEFAULT.tape_tolerance_in,
        usual=(0, 6),
    ),
    *BID_SETTINGS,
    one_of("Weight unit of the output", ("lb", "kg"), "Unit of weights in the schedule.", value="lb"),
    one_of("Distance unit of the output", ("mi", "km"), "Unit of road distances in the schedule.", value="mi"),
)
"""Every setting, in the order in which the template lists them."""

SETTINGS = Sheet(
    name="Settings",
    purpose="What differs from the defaults. A later row for the same setting wins.",
    keys=("Setting",),
    later_wins=True,
    columns=(
        Column(
            name="Setting",
            reads=Reads.CHOICE,
            meaning="Name of the setting; its unit may stand behind it as in a header.",
            choices=tuple(row.header for row in SETTING_ROWS),
            required=True,
            example="Load minutes (min)",
        ),
        text("Value", "Its value; a blank leaves the default.", example="20"),
        text("Note", "For people.", example=""),
    ),
)

LIMITS = Sheet(
    name="Limits",
    purpose="The jurisdiction's figures where a state, a province or a route has others. A later row wins.",
    keys=("Limit",),
    later_wins=True,
    columns=(
        text(
            "Limit",
            "Name of the limit; its unit may stand behind it as in a header.",
            required=True,
            example="Overall length (ft)",
        ),
        text("Value", "Its value, or none where there is no such limit.", required=True, example="65"),
        text("Note", "Where the figure is written.", example="state code"),
    ),
)
