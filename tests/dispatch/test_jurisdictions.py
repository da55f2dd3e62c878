"""The rule sets at work: legal at the limit, refused 1 lb (1 kg, 1 in) over it, by the checks and by the verifier.

Every rig's loads are set by its empty weights: the coupler stands over the rear axles and the load, 1,000 lb, over
the middle of the trailer axles. So front, rear and trailer axles carry exactly what a case says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import pytest

from dispatch.axle_rules import AxleRole, Place, axle_roles
from dispatch.bridge import axle_group_limits
from dispatch.dimensions import length_key
from dispatch.fleet import Hitch, Licence, Rig
from dispatch.items import Facing
from dispatch.legality import leg_checks
from dispatch.licences import class_needed, classes_short, covers
from dispatch.limits import HOURS_KEYS, LimitOverride, RuleSet, jurisdictions, load_rule_set
from dispatch.placement import DeckState, LoadRequest, Placer
from dispatch.problem import Problem
from dispatch.report import report
from dispatch.settings import Band, Settings
from dispatch.units import IN_PER_M, LB_PER_KG
from dispatch.verify_loads import leg_violations
from tests import factories as make
from tests.bare_rigs import EXACT, bare_rig, day, edge_for, exact, leg_of, point_item
from tests.small_day import small_plan, small_problem

US = load_rule_set("US federal")
CANADA = load_rule_set("Canada national")
BRITISH_COLUMBIA = load_rule_set("Canada British Columbia")
ONTARIO = load_rule_set("Canada Ontario")
EU = load_rule_set("EU")
LOAD_LB = 1_000.0
COUPLER_LB = 100.0
MIDDLE_IN = 300.0


def kg(weight_kg: float) -> float:
    """Kilograms in pounds."""
    return weight_kg * LB_PER_KG


def m(length_m: float) -> float:
    """Metres in inches."""
    return length_m * IN_PER_M


@dataclass(frozen=True)
class Weighed:
    """A combination by what its axle groups carry (pounds) and how they stand; ``check``: the one that binds.

    ``over``: which of ``front_lb``, ``rear_lb`` and ``trailer_lb`` gets the pound or kilogram too much.
    """

    rules: RuleSet
    check: str
    front_lb: float
    rear_lb: float
    trailer_lb: float
    over: str = "trailer_lb"
    rear_axles: int = 1
    rear_in: float = 51.0
    axles: int = 1
    spacing_in: float = 0.0
    wheelbase_in: float = 200.0
    hitch: Hitch = Hitch.GOOSENECK
    step_lb: float = 1.0
    tyres: int = 4
    also: tuple[str, ...] = ()
    """Other checks that have the same figure."""

    def rig(self) -> Rig:
        truck = {
            "empty_front_lb": self.front_lb,
            "empty_rear_lb": self.rear_lb - COUPLER_LB,
            "rear_axles": self.rear_axles,
            "rear_axle_spacing_in": self.rear_in,
            "rear_tyres": self.tyres * self.rear_axles,
            "wheelbase_in": self.wheelbase_in,
            "hitch": self.hitch,
        }
        trailer = {
            "empty_coupler": exact(COUPLER_LB),
            "empty_axles": exact(self.trailer_lb - LOAD_LB),
            "axles": self.axles,
            "shares": (1 / self.axles,) * self.axles,
            "axle_spacing_in": self.spacing_in or 1.0,
            "coupler_to_first_axle_in": MIDDLE_IN - self.spacing_in * (self.axles - 1) / 2,
            "tyres_per_axle": self.tyres,
            "hitch": self.hitch,
            "deck_width_in": 96.0,
        }
        return bare_rig(truck, trailer, licence=highest_class(self.rules))

    def heavier(self) -> Weighed:
        return replace(self, **{self.over: getattr(self, self.over) + self.step_lb})


def highest_class(rules: RuleSet) -> Licence:
    return Licence(rules.licences[-1].name) if rules.licences else Licence.NONE


def refused(rig: Rig, rules: RuleSet, **item: Any) -> set[str]:
    """Names of the checks that refuse the rig with its load; the verifier refuses for the same."""
    load = point_item(weight_lb=LOAD_LB, **item)
    problem: Problem = day(rig, [load], rule_set=rules)
    leg = leg_of((0, edge_for(rig, load, MIDDLE_IN)))
    names = {check.name for check in leg_checks(problem, rig, leg) if not check.ok}
    assert {violation.kind for violation in leg_violations(problem, rig, leg)} == names
    return names


WEIGHED = [
    # United States: 20,000, 34,000, three axles over 9 ft 42,500, 80,000 at 51 ft and more.
    Weighed(US, "Legal axle 3", 8_000, 15_000, 20_000),
    Weighed(US, "Legal axle 2", 8_000, 20_000, 15_000, "rear_lb"),
    Weighed(US, "Legal axle 1", 20_000, 8_000, 15_000, "front_lb"),
    Weighed(US, "Legal axles 3-4", 8_000, 10_000, 34_000, axles=2, spacing_in=48),
    Weighed(US, "Legal axles 3-5", 8_000, 10_000, 42_500, axles=3, spacing_in=54),
    Weighed(
        *(US, "Legal gross", 19_000, 31_000, 30_000, "front_lb", 2),
        axles=2,
        spacing_in=49,
        wheelbase_in=300,
        also=("Legal axles 1-5",),
    ),
    # Canada: 9,100, 17,000, 21,000 / 23,000 / 24,000 by spread, steer 5,500 kg; gross by the sum of the units.
    Weighed(CANADA, "Legal axle 1", kg(5_500), kg(6_000), kg(6_000), "front_lb", step_lb=kg(1)),
    Weighed(CANADA, "Legal axle 3", kg(4_000), kg(6_000), kg(9_100), step_lb=kg(1)),
    Weighed(
        CANADA, "Legal axles 3-4", kg(4_000), kg(6_000), kg(17_000), axles=2, spacing_in=m(1.2), step_lb=kg(1)
    ),
    Weighed(
        CANADA, "Legal axles 3-5", kg(4_000), kg(6_000), kg(21_000), axles=3, spacing_in=m(1.2), step_lb=kg(1)
    ),
    Weighed(
        CANADA, "Legal axles 3-5", kg(4_000), kg(6_000), kg(23_000), axles=3, spacing_in=m(1.5), step_lb=kg(1)
    ),
    Weighed(
        CANADA, "Legal axles 3-5", kg(4_000), kg(6_000), kg(24_000), axles=3, spacing_in=m(1.8), step_lb=kg(1)
    ),
    Weighed(
        BRITISH_COLUMBIA,
        "Legal axles 1-5",  # one drive axle: 38,000 kg in all
        *(kg(5_900), kg(9_000), kg(23_100)),
        axles=3,
        spacing_in=m(1.8),
        step_lb=kg(1),
    ),
    Weighed(ONTARIO, "Legal axle 3", kg(4_000), kg(6_000), kg(10_000), step_lb=kg(1)),
    Weighed(ONTARIO, "Legal axle 3", kg(4_000), kg(6_000), kg(9_000), step_lb=kg(1), tyres=2),
    Weighed(
        ONTARIO, "Legal axles 3-4", kg(4_000), kg(6_000), kg(19_100), axles=2, spacing_in=m(1.8), step_lb=kg(1)
    ),
    Weighed(
        *(ONTARIO, "Legal axles 3-4", kg(4_000), kg(6_000), kg(18_000)),
        axles=2,
        spacing_in=m(1.8),
        step_lb=kg(1),
        tyres=2,
        also=("Legal axle 3", "Legal axle 4"),  # 9,000 each on single tyres
    ),
    Weighed(
        ONTARIO, "Legal axles 3-5", kg(4_000), kg(6_000), kg(26_000), axles=3, spacing_in=m(1.8), step_lb=kg(1)
    ),
    # European Union: 10, 11.5, 11 / 16 / 18, 21 / 24, truck 18 and 25, 36 t, a quarter on driving axles.
    Weighed(EU, "Legal axle 3", kg(6_000), kg(8_000), kg(10_000), step_lb=kg(1)),
    Weighed(EU, "Legal axle 1", kg(10_000), kg(7_000), kg(8_000), "front_lb", step_lb=kg(1)),
    Weighed(EU, "Legal axle 2", kg(6_000), kg(11_500), kg(9_000), "rear_lb", step_lb=kg(1)),
    Weighed(EU, "Legal axles 3-4", kg(6_000), kg(8_000), kg(11_000), axles=2, spacing_in=m(0.99), step_lb=kg(1)),
    Weighed(EU, "Legal axles 3-4", kg(6_000), kg(9_000), kg(16_000), axles=2, spacing_in=m(1.0), step_lb=kg(1)),
    Weighed(EU, "Legal axles 3-4", kg(6_000), kg(9_000), kg(18_000), axles=2, spacing_in=m(1.3), step_lb=kg(1)),
    Weighed(EU, "Legal axles 3-5", kg(6_000), kg(9_500), kg(21_000), axles=3, spacing_in=m(1.3), step_lb=kg(1)),
    Weighed(EU, "Legal axles 3-5", kg(5_000), kg(10_500), kg(24_000), axles=3, spacing_in=m(1.31), step_lb=kg(1)),
    Weighed(EU, "Legal axles 2-3", kg(6_900), kg(18_000), kg(9_000), "rear_lb", 2, m(1.3), step_lb=kg(1)),
    Weighed(EU, "Legal axles 1-2", kg(7_000), kg(11_000), kg(9_000), "front_lb", step_lb=kg(1)),
    Weighed(EU, "Legal axles 1-3", kg(7_500), kg(17_500), kg(9_000), "front_lb", 2, m(1.3), step_lb=kg(1)),
    Weighed(EU, "Legal axles 1-4", kg(7_000), kg(9_500), kg(19_500), axles=2, spacing_in=m(1.8), step_lb=kg(1)),
    Weighed(
        *(EU, "Legal trailer", kg(6_000), kg(9_000), kg(18_000) - COUPLER_LB),
        axles=2,
        spacing_in=m(1.8),
        hitch=Hitch.PINTLE,
        step_lb=kg(1),
    ),
    Weighed(EU, "Driving axles least", kg(6_000), kg(6_000), kg(12_000), "front_lb", axles=2, spacing_in=m(1.3)),
]


@pytest.mark.parametrize("case", WEIGHED, ids=lambda case: f"{case.rules.name}, {case.check}")
def test_weight_at_the_limit_and_one_more(case: Weighed) -> None:
    assert refused(case.rig(), case.rules) == set()
    assert refused(case.heavier().rig(), case.rules) == {case.check, *case.also}


def test_gross_of_40_tonnes_is_two_checks_that_agree() -> None:
    """Five axles: the whole group and the rule set's gross are the same figure of the directive."""
    case = Weighed(
        *(EU, "Legal gross", kg(7_000), kg(15_000), kg(18_000), "front_lb", 2, m(1.3), 2, m(1.3)), step_lb=kg(1)
    )
    assert refused(case.rig(), EU) == set()
    assert refused(case.heavier().rig(), EU) == {"Legal gross", "Legal axles 1-5"}


LIGHT = Weighed(US, "", kg(3_000), kg(3_500), kg(4_000))
SIZES = [(US, 102.0, 162.0, None), (CANADA, m(2.6), m(4.15), m(23)), (ONTARIO, m(2.6), m(4.15), m(23))]
SIZES += [(EU, m(2.55), m(4.0), m(16.5)), (load_rule_set("US California"), 102.0, 168.0, 780.0)]


@pytest.mark.parametrize(
    ("rules", "width_in", "height_in", "length_in"), SIZES, ids=lambda one: getattr(one, "name", "")
)
def test_sizes_at_the_limit_and_one_inch_over(
    rules: RuleSet, width_in: float, height_in: float, length_in: float | None
) -> None:
    rig = replace(LIGHT, rules=rules).rig()
    assert refused(rig, rules, width_in=width_in) == set()
    assert refused(rig, rules, width_in=width_in + 1) >= {"Width"}
    deck_in = rig.trailer.deck_height_in
    assert refused(rig, rules, height_in=height_in - deck_in) == set()
    assert refused(rig, rules, height_in=height_in - deck_in + 1) == {"Height"}
    if length_in is None:
        return
    # 36 in of overhang, 200 to the coupler, 350 to the end of the deck.
    for hitch in (Hitch.GOOSENECK, Hitch.PINTLE):
        drawn = rules.name == "EU" and hitch is Hitch.PINTLE
        rest_in = (m(18.75) if drawn else length_in) - 586
        at, over = (with_tail(rig, hitch, rest_in + inch) for inch in (0, 1))
        assert refused(at, rules) == set()
        assert refused(over, rules) == {"Length"}
        assert length_key(at, rules) == ("length_drawbar_in" if drawn else "length_in")


def with_tail(rig: Rig, hitch: Hitch, tail_in: float) -> Rig:
    trailer = replace(rig.trailer, hitch=hitch, deck_to_rear_in=tail_in)
    return replace(rig, truck=replace(rig.truck, hitch=hitch), trailer=trailer)


@pytest.mark.parametrize("name", jurisdictions())
def test_a_light_rig_rides_everywhere(name: str) -> None:
    rules = load_rule_set(name)
    assert refused(replace(LIGHT, rules=rules).rig(), rules) == set()


@pytest.mark.parametrize("name", jurisdictions())
def test_every_limit_may_be_lifted(name: str) -> None:
    """A lifted limit is not checked and breaks nothing, hours included. The bridge formula is not among them."""
    rules = load_rule_set(name)
    lifted = load_rule_set(name, [LimitOverride(key, None) for key in rules.limits])
    assert all(lifted.value(key) is None for key in HOURS_KEYS)
    heavy = Weighed(lifted, "", kg(3_000), kg(90_000), kg(90_000), axles=3, spacing_in=48)
    found = {check for check in refused(heavy.rig(), lifted, width_in=140.0) if check.startswith("Legal")}
    assert not found if lifted.formula is None else all("-" in check for check in found)
    for key in rules.limits:
        one = load_rule_set(name, [LimitOverride(key, None)])
        axle_group_limits(POSITIONS, one, roles=ROLES)


STEER, DRIVE = AxleRole(Place.STEER, dual=False), AxleRole(Place.DRIVE, dual=True)
DUAL, SINGLE = AxleRole(Place.TRAILER, dual=True), AxleRole(Place.TRAILER, dual=False)
POSITIONS = [0.0, 190, 241, 500, 550, 600]
ROLES = [STEER, DRIVE, DRIVE, DUAL, DUAL, DUAL]


def trailer_group(rules: RuleSet, spacings_m: Sequence[float], role: AxleRole = DUAL) -> float:
    """Limit, kilograms, of all axles of a trailer that stand so far apart, or of none: infinite."""
    positions = [0.0, 5.0, 12.0]
    for spacing_m in spacings_m:
        positions.append(positions[-1] + spacing_m)
    roles = [STEER, DRIVE, *(role,) * (len(spacings_m) + 1)]
    limits = axle_group_limits([m(x) for x in positions], rules, roles=roles)
    wanted = (2, len(positions) - 1)
    found = [one.limit_lb / LB_PER_KG for one in limits if (one.first, one.last) == wanted]
    return round(found[0], 6) if found else float("inf")


@pytest.mark.parametrize(
    ("spacings_m", "national", "ontario"),
    [
        ([0.85], 9_100, 10_000),  # less than a tandem's spread: one single axle
        ([1.19], 9_100, 10_000),
        ([1.2], 17_000, 18_000),
        ([1.79], 17_000, 18_000),
        ([1.8], 17_000, 19_100),
        ([2.9], 17_000, 19_100),
        ([3.0], float("inf"), float("inf")),  # two units, no group
        ([0.85, 0.85], 17_000, 18_000),  # three axles of a tandem's spread
        ([1.19, 1.19], 17_000, 18_000),
        ([1.2, 1.2], 21_000, 21_300),
        ([1.5, 1.5], 23_000, 24_000),
        ([1.8, 1.8], 24_000, 26_000),
        ([2.0, 2.0], 24_000, 26_000),  # wider than a tridem: no more than one
        ([1.2, 1.2, 1.2], 24_000, 26_000),  # four axles: no more than a long tridem
    ],
)
def test_canadian_units_by_spread(spacings_m: list[float], national: float, ontario: float) -> None:
    """Figures of the memorandum (tandem, break points from memory) and of O. Reg. 413/05, at their boundaries."""
    assert trailer_group(CANADA, spacings_m) == national
    assert trailer_group(ONTARIO, spacings_m) == ontario


def test_canadian_whole_is_the_sum_of_its_units() -> None:
    """5,500 + 17,000 + 24,000 kg = 46,500, the memorandum's figure for six axles (from memory)."""
    positions = [0.0, m(5), m(6.35), m(13), m(14.8), m(16.6)]
    whole = {(g.first, g.last): g for g in axle_group_limits(positions, CANADA, roles=ROLES)}[0, 5]
    assert whole.limit_lb / LB_PER_KG == pytest.approx(46_500)
    assert "sum of the axle units" in whole.basis


def test_british_columbia_keeps_the_lower_short_tridem() -> None:
    assert [trailer_group(BRITISH_COLUMBIA, [s, s]) for s in (1.2, 1.5, 1.8)] == [21_000, 23_000, 24_000]


def test_the_directive_past_its_own_table() -> None:
    """Wider than a tridem, or more axles: no more than 24 t; two axles no more than two single ones."""
    assert [trailer_group(EU, spacings) for spacings in ([1.9], [5.0])] == [20_000, 20_000]
    assert [trailer_group(EU, [s] * n) for n, s in ((2, 1.5), (2, 4.0), (3, 1.31), (3, 1.2))] == [
        *(24_000, 24_000, 24_000),
        21_000,
    ]


def test_four_axle_trucks_by_the_distance_of_their_axles() -> None:
    """Annex I, 4.3: five tonnes a metre between the outer axles, at most 32 t."""
    for outer_m, tonnes in ((6.0, 30.0), (6.4, 32.0), (7.0, 32.0)):
        positions = [0.0, m(outer_m - 2.6), m(outer_m - 1.3), m(outer_m), m(12)]
        limits = axle_group_limits(positions, EU, roles=[STEER, DRIVE, DRIVE, DRIVE, DUAL])
        found = next(one.limit_lb for one in limits if (one.first, one.last) == (0, 3))
        assert found / LB_PER_KG / 1000 == pytest.approx(tonnes)


@pytest.mark.parametrize("name", ["EU", "Canada national"])
def test_roles_are_asked_for(name: str) -> None:
    with pytest.raises(ValueError, match="role of each of the 6 axles"):
        axle_group_limits(POSITIONS, load_rule_set(name))
    with pytest.raises(ValueError, match="role of each of the 6 axles"):
        axle_group_limits(POSITIONS, load_rule_set(name), roles=ROLES[:-1])
    with pytest.raises(ValueError, match="increase"):
        axle_group_limits([0, 100, 100], load_rule_set(name), roles=ROLES[:3])


def test_roles_change_nothing_in_the_united_states() -> None:
    for rules in (US, load_rule_set("US Pennsylvania")):
        assert axle_group_limits(POSITIONS, rules) == axle_group_limits(POSITIONS, rules, roles=ROLES)


def test_roles_of_a_rig() -> None:
    rig = Weighed(US, "", 1, 1, 1_001, rear_axles=2, axles=2, spacing_in=40, tyres=2).rig()
    single_drive = AxleRole(Place.DRIVE, dual=False)
    assert axle_roles(rig) == (STEER, single_drive, single_drive, SINGLE, SINGLE)
    # One rear axle on four tyres is dual, two on four are not.
    assert axle_roles(Weighed(US, "", 1, 1, 1_001).rig())[1].dual


# -- states ---------------------------------------------------------------------------------------------------


def group_lb(name: str, positions_in: Sequence[float]) -> float:
    """Limit of all the axles together under a state's rules."""
    limits = axle_group_limits(positions_in, load_rule_set(name))
    return next(one.limit_lb for one in limits if (one.first, one.last) == (0, len(positions_in) - 1))


@pytest.mark.parametrize(("feet", "printed_lb"), [(4, 34_000), (5, 35_000), (6, 36_000), (7, 37_000), (8, 38_000)])
def test_two_close_axles_in_pennsylvania(feet: int, printed_lb: int) -> None:
    """67 Pa. Code 185.3, the two-axle column as printed; seen."""
    assert group_lb("US Pennsylvania", [0, 12 * feet]) == printed_lb
    assert group_lb("US federal", [0, 12 * feet]) == 34_000


def test_axles_near_each_other_in_pennsylvania() -> None:
    """75 Pa.C.S. 4943(a)(2): 18,000 on an axle under 6 ft from the next; 6 to 8 ft held alike. Seen."""
    limits = axle_group_limits([0, 150, 200, 297], load_rule_set("US Pennsylvania"))
    singles = [one.limit_lb for one in limits if one.first == one.last]
    assert singles == [20_000, 18_000, 18_000, 20_000]


@pytest.mark.parametrize(
    ("feet", "axles", "printed_lb"),
    [(12, 4, 50_000), (12, 5, 50_000), (16, 5, 52_500), (16, 6, 52_500), (28, 6, 60_500), (28, 3, 57_000)],
)
def test_california_gives_more_axles_no_more(feet: int, axles: int, printed_lb: int) -> None:
    """California Vehicle Code 35551, cells as printed; seen up to 28 ft."""
    assert group_lb("US California", [12 * feet * i / (axles - 1) for i in range(axles)]) == printed_lb


@pytest.mark.parametrize(
    ("feet", "axles", "printed_lb"),
    [(11, 4, 49_000), (14, 5, 56_500), (15, 5, 57_000), (18, 6, 64_500), (21, 7, 72_000), (23, 7, 73_000)],
)
def test_cells_that_washington_added(feet: int, axles: int, printed_lb: int) -> None:
    """RCW 46.44.041, cells outside the federal printed area, as printed; seen."""
    assert group_lb("US Washington", [12 * feet * i / (axles - 1) for i in range(axles)]) == printed_lb


@pytest.mark.parametrize(
    ("name", "tandem_lb"),
    [("US North Carolina", 38_000), ("US Colorado", 36_000), ("US Florida", 40_000), ("US Texas", 34_000)],
)
def test_state_tandems(name: str, tandem_lb: int) -> None:
    """N.C.G.S. 20-118; C.R.S. 42-4-507; Florida Statutes 316.535; Texas size and weight limits. Seen."""
    assert group_lb(name, [0, 48]) == tandem_lb
    assert group_lb(name, [0, 39]) == 20_000


def test_axles_of_wisconsin_are_one_under_42_inches() -> None:
    """Wis. Stat. 348.01(2): seen; exactly 42 in counts as one, stricter."""
    assert [group_lb("US Wisconsin", [0, x]) for x in (41, 42, 42.01)] == [20_000, 20_000, 34_000]


TYRES = [
    ("US California", 620),
    ("US Florida", 550),
    ("US Indiana", 800),
    ("US Texas", 650),
    ("US Washington", 600),
]


@pytest.mark.parametrize(("name", "per_inch"), [*TYRES, ("US Oregon", 600), ("US Kentucky", 700)])
def test_tyre_width_at_the_limit_and_one_pound_over(name: str, per_inch: float) -> None:
    """Two front tyres of 10 in."""
    rules = load_rule_set(name)
    for over_lb, names in ((0, set[str]()), (1, {"Tyre width"})):
        rig = replace(LIGHT, rules=rules, front_lb=20 * per_inch + over_lb).rig()
        rig = replace(rig, truck=replace(rig.truck, front_tyre_width_in=10.0))
        assert refused(rig, rules) == names


def test_tyre_width_in_ontario_differs_on_the_steer_axle() -> None:
    """Weight limit chart: 11 kg a millimetre on the front axle, 10 on the others; 250 mm tyres. Seen."""
    for front_kg, trailer_kg, names in (
        (5_500, 10_000, set[str]()),
        (5_501, 10_000, {"Tyre width"}),
        (5_500, 9_001, {"Tyre width"}),
    ):
        rig = replace(LIGHT, rules=ONTARIO, front_lb=kg(front_kg), trailer_lb=kg(trailer_kg)).rig()
        width_in = 225 / 25.4 if trailer_kg == 9_001 else 250 / 25.4
        truck = replace(rig.truck, front_tyre_width_in=250 / 25.4)
        rig = replace(rig, truck=truck, trailer=replace(rig.trailer, tyre_width_in=width_in))
        assert refused(rig, ONTARIO) == names


# -- licences -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("truck_kg", "trailer_kg", "needed"),
    [
        (3_500, 0, "B"),
        (2_500, 1_000, "B"),  # together 3,500
        (2_500, 1_001, "B96"),
        (3_250, 1_000, "B96"),  # 4,250
        (3_251, 1_000, "BE"),
        (3_500, 3_501, "C1E"),
        (3_500, 8_501, "CE"),  # over 12,000 together
        (3_501, 750, "C1"),
        (7_500, 750, "C1"),
        (7_500, 4_501, "CE"),
        (7_501, 750, "C"),
        (7_501, 751, "CE"),
    ],
)
def test_categories_of_the_union(truck_kg: float, trailer_kg: float, needed: str) -> None:
    """Directive 2006/126/EC, Article 4(4), at its boundaries."""
    assert class_needed(kg(truck_kg), kg(trailer_kg), 0, EU) == needed


def test_categories_cover_by_kind_not_by_rank() -> None:
    """C drives no trailer that needs BE; CE drives all. Directive 2006/126/EC, Article 6(2)."""
    held = {"B": "B", "B96": "B B96", "BE": "B B96 BE", "C1": "B C1", "C1E": "B B96 BE C1 C1E"}
    held |= {"C": "B C1 C", "CE": "B B96 BE C1 C1E C CE"}
    for one, covered in held.items():
        found = [other.name for other in EU.licences if covers(Licence(one), Licence(other.name), EU)]
        assert found == ["none", *covered.split()]
    assert classes_short(Licence.C, Licence.BE, EU) == 1
    assert classes_short(Licence.B, Licence.CE, EU) == 6
    assert not covers(Licence.A, Licence.B, EU)  # a class of another rule set


@pytest.mark.parametrize(
    ("truck_kg", "trailer_kg", "axles", "ontario", "columbia"),
    [
        (6_400, 4_600, 2, "G", "5"),
        (6_401, 4_600, 2, "D", "5"),
        (11_001, 0, 3, "D", "3"),
        (5_000, 4_601, 2, "A", "1"),
    ],
)
def test_classes_of_the_provinces(
    truck_kg: float, trailer_kg: float, axles: int, ontario: str, columbia: str
) -> None:
    """The ministry's truck handbook; the public insurer's list, a trailer over 4,600 kg taken as air-braked."""
    masses = (kg(truck_kg), kg(trailer_kg), 0)
    assert class_needed(*masses, ONTARIO, truck_axles=axles) == ontario
    assert class_needed(*masses, BRITISH_COLUMBIA, truck_axles=axles) == columbia
    assert class_needed(*masses, CANADA, truck_axles=axles) is Licence.NONE
    assert covers(Licence.NONE, Licence.A, CANADA)


def test_licence_check_says_the_rule_set_s_clause() -> None:
    load = point_item(weight_lb=LOAD_LB)
    for rules, licence, short, words in (
        (EU, Licence.C, 1, "Directive 2006/126/EC, Article 4(4): needs CE"),
        (ONTARIO, Licence.G, 2, "Ontario licence classes: needs A"),
        (CANADA, Licence.NONE, 0, "licence classes are the provinces': not checked"),
    ):
        rig = replace(replace(LIGHT, rules=rules).rig(), licence=licence)
        problem = day(rig, [load], rule_set=rules, settings=EXACT)
        checks = leg_checks(problem, rig, leg_of((0, edge_for(rig, load, MIDDLE_IN))))
        check = next(one for one in checks if one.name == "Licence")
        assert (check.value, check.ok) == (short, short == 0)
        assert check.basis.startswith(words)


# -- where on the deck ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("rules", [EU, CANADA, ONTARIO], ids=lambda rules: rules.name)
@pytest.mark.parametrize(
    "weight_lb", [11_000, 15_500, *(pytest.param(lb, marks=pytest.mark.slow) for lb in (6_000, 14_000))]
)
@pytest.mark.parametrize("hitch", [Hitch.GOOSENECK, Hitch.BALL])
def test_placement_knows_every_rule(rules: RuleSet, weight_lb: float, hitch: Hitch) -> None:
    """A place is found if and only if one exists on the grid, inch by inch; ball: coupler behind the axle."""
    rig = make.rig(
        truck=make.truck(hitch=hitch, coupler_ahead_in=6.0 if hitch is Hitch.GOOSENECK else -40.0),
        trailer=make.trailer(hitch=hitch, deck_width_in=96.0),
        licence=highest_class(rules),
    )
    free = Settings(coupler_bands={one: Band(0.0, 100.0) for one in Hitch}, steer_least_pct=60.0)
    load = make.item(weight_lb=weight_lb, length_in=140, facings=(Facing.FORWARD,))
    problem = day(rig, [load], rule_set=rules, settings=free)
    edges = range(6, int(rig.trailer.deck_length_in) - 140 + 1)
    legal = [edge for edge in edges if all(c.ok for c in leg_checks(problem, rig, leg_of((0, edge))))]
    assert [edge for edge in edges if not leg_violations(problem, rig, leg_of((0, edge)))] == legal
    found = Placer(problem).find(rig, LoadRequest((0,), (0,), (DeckState((0,), "a", "b"),)))
    assert (found is not None) is bool(legal)
    assert found is None or found.placements[0].front_edge_in in legal


def test_a_plan_says_what_its_rule_set_leaves_out() -> None:
    for rules in (US, EU, CANADA):
        summary = report(replace(small_problem(), rules=rules), small_plan()).summary
        assert summary.cautions[: len(rules.cautions)] == rules.cautions
