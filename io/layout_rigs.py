"""The sheet Rigs."""

from __future__ import annotations

from dispatch.io.layout_columns import (
    Sheet,
    clock_time,
    duration,
    money,
    named,
    one_of,
    plain,
    refers,
    text,
    weight,
    whole,
    yes,
)
from dispatch.io.layout_variants import VARIANT_COLUMNS
from dispatch.io.unit_names import Dimension

from dispatch.fleet import Licence

_AMERICAN = (Licence.A, Licence.B, Licence.C, Licence.NONE)
LICENCES = tuple(one.value for one in (*_AMERICAN, *(other for other in Licence if other not in _AMERICAN)))
"""Every class of every rule set, the American ones first."""

RIGS = Sheet(
    name="Rigs",
    purpose="Truck, trailer and driver that go out together. Rigs may share any of them, from one yard.",
    required=True,
    keys=("Rig",),
    columns=(
        named("Rig", "Name of the rig.", example="R-1"),
        refers("Truck", "Trucks", "Its truck.", required=True, example="T-3"),
        refers("Trailer", "Trailers", "Its trailer.", required=True, example="G-24"),
        text("Driver", "Its driver; the same name on two rigs is one person.", example="Driver 1"),
        one_of(
            "Licence",
            LICENCES,
            "The driver's class, one of the rule set's; blank: its highest. The rule set says which a rig needs.",
            value="A",
            example="A",
        ),
        refers("Yard", "Sites", "Where its day starts.", required=True, example="North yard"),
        refers("End", "Sites", "Where its day ends.", default="the yard", example=""),
        clock_time("Shift start", "Leaves the yard no earlier.", required=True, example="6:00"),
        clock_time("Shift end", "Is back by then, on the same day.", required=True, example="17:00"),
        duration(
            "Driving limit",
            "Most driving on the day; the stricter of this and the rule set holds.",
            unit="h",
            above=0,
            default="the rule set's",
            usual=(2, 15),
            example="",
        ),
        whole("Chains", "Chains with binders on board.", value=8, usual=(0, 40), example="8"),
        weight(
            "Chain rating",
            "Working load limit of one chain with its binder.",
            where="Tag or grade mark.",
            above=0,
            default="not checked",
            usual=(1_000, 40_000),
            example="6,600",
        ),
        whole("Straps", "Straps on board.", value=4, usual=(0, 40), example="4"),
        weight(
            "Strap rating",
            "Working load limit of one strap.",
            where="Tag on the strap.",
            above=0,
            default="not checked",
            usual=(500, 20_000),
            example="3,300",
        ),
        money(
            "Cost per hour",
            "Paid hour, from leaving the yard to returning.",
            Dimension.MONEY_PER_HOUR,
            default="0",
            usual=(0, 500),
            example="90",
        ),
        money(
            "Cost per mile",
            "Mile, loaded or empty.",
            Dimension.MONEY_PER_MILE,
            default="0",
            usual=(0, 20),
            example="2.25",
        ),
        money("Cost per trip", "Every trip.", value=0, example="0"),
        duration(
            "Overtime after",
            "Paid hours before overtime.",
            unit="h",
            default="no overtime",
            usual=(4, 14),
            example="8",
        ),
        plain("Overtime factor", "What an overtime hour costs.", value=1.5, least=1, usual=(1, 3), example="1.5"),
        yes("Available", "no: stays in the yard today.", True, example="yes"),
        *VARIANT_COLUMNS,
    ),
)
