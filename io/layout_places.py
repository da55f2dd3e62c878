"""The sheets Sites and Distances."""

from __future__ import annotations

from dispatch.io.layout_columns import (
    Sheet,
    clock_time,
    duration,
    length,
    named,
    other,
    refers,
    text,
    weight,
    yes,
)
from dispatch.io.unit_names import Dimension

SITES = Sheet(
    name="Sites",
    purpose="Yards and job sites: where they are, when they are open, what they can take.",
    required=True,
    keys=("Site",),
    columns=(
        named("Site", "Name of the yard or job site.", example="North yard"),
        text("Address", "For the driver's page.", example="12 Quarry Lane"),
        other(
            "Latitude",
            "Degrees north (south negative). Needed with Longitude unless Distances has the roads.",
            Dimension.ANGLE,
            "deg",
            show_unit=False,
            least=-90,
            most=90,
            where="A map: six figures behind the point are plenty.",
            example="40.712",
        ),
        other(
            "Longitude",
            "Degrees east (west negative).",
            Dimension.ANGLE,
            "deg",
            show_unit=False,
            least=-180,
            most=180,
            where="A map.",
            example="-89.604",
        ),
        clock_time(
            "Opens", "Work starts no earlier; waiting at the gate is allowed.", default="always", example="6:00"
        ),
        clock_time("Closes", "Rigs leave by then.", default="always", example="17:30"),
        text("Contact", "Name and number for the driver.", example="gate, 555-0102"),
        length(
            "Longest rig",
            "Longest rig that can get in.",
            above=0,
            default="no limit",
            usual=(20, 200),
            example="75",
        ),
        length(
            "Highest load",
            "Greatest loaded height.",
            above=0,
            default="no limit",
            usual=(8, 30),
            example="13' 6\"",
        ),
        weight(
            "Heaviest gross",
            "Greatest gross weight of the rig, for a bridge or a culvert on the way in.",
            above=0,
            default="no limit",
            usual=(5_000, 300_000),
            example="80,000",
        ),
        duration(
            "Load minutes extra",
            "Extra minutes here, once a stop.",
            show_unit=False,
            value=0,
            usual=(0, 240),
            example="5",
        ),
        yes("Lift on site", "Whether lifted items can come on and off here.", True, example="yes"),
        text("Note", "Anything the driver should know.", example="turn left behind the scale"),
    ),
)

DISTANCES = Sheet(
    name="Distances",
    purpose="Measured roads. Pairs that are not listed are estimated from latitude and longitude.",
    keys=("From", "To"),
    later_wins=True,
    columns=(
        refers("From", "Sites", "One end.", required=True, example="North yard"),
        refers("To", "Sites", "The other end.", required=True, example="Mill Road"),
        other(
            "Distance",
            "Miles by the road that the rigs take.",
            Dimension.DISTANCE,
            "mi",
            required=True,
            usual=(0.1, 600),
            where="Odometer or a route planner set for trucks.",
            example="14.2",
        ),
        duration(
            "Minutes",
            "Driving minutes, loaded and empty alike.",
            show_unit=False,
            unit="min",
            above=0,
            default="distance and the speeds in Settings",
            usual=(1, 900),
            example="26",
        ),
        yes("Oneway", "yes: the row holds from From to To only.", False, example="no"),
    ),
)
