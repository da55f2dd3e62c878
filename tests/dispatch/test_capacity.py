"""What still fits: worked by hand on the bare rig, and against the checks at every place and ten pounds more."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from dispatch.capacity import STEP_LB, Heaviest, further_item, heaviest, heaviest_items, payload_left
from dispatch.fleet import Deck, Licence, Rig
from dispatch.hand_loads import HandLoad, JudgedLoad, LoadLine, day_of, is_legal, judge
from dispatch.items import Facing
from dispatch.legality import gear_checks, leg_checks
from dispatch.limits import LimitOverride, load_rule_set
from dispatch.loaded_trips import loaded_trips
from dispatch.plan import Placed
from dispatch.problem import Problem
from dispatch.settings import Settings
from tests import factories as make
from tests.bare_rigs import EXACT, bare_rig, day
from tests.dispatch.test_hand_loads import JURISDICTIONS, block, judged_on, machine, rated
from tests.small_day import small_plan, small_problem


def alone(rig: Rig, settings: Settings = EXACT) -> Problem:
    return day(rig, [machine()], settings=settings)


def legal_alone(problem: Problem, rig: Rig, length_in: float, at_in: int, weight_lb: float) -> bool:
    line = LoadLine(further_item(problem.settings, length_in, weight_lb))
    own = day_of(problem, HandLoad("alone", rig.name, (line,)))
    return is_legal(own, rig, (Placed(0, Deck.MAIN, at_in, Facing.FORWARD),))


# -- worked by hand -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("over_pct", "weight_lb"), [(0.0, 10_970), (3.0, 10_650)])
def test_the_heaviest_item_of_ten_feet(over_pct: float, weight_lb: int) -> None:
    """Axle: W x/300 <= 6,000; coupler: W (1 - x/300) <= 5,000; best at x/300 = 6/11, x = 163.6 in.

    At x = 164: W <= 6,000/164*300 = 10,975 and W <= 5,000/136*300 = 11,029; at 163 the coupler allows 10,949.
    So 10,970 lb at 164, front edge 164 - 50 - 60 = 54; 3 % over: 10,975/1.03 = 10,656.
    """
    rig = rated(9_000.0)
    tolerances = {basis: replace(t, over_pct=over_pct) for basis, t in EXACT.tolerances.items()}
    found = heaviest(alone(rig, replace(EXACT, tolerances=tolerances)), rig, 120.0)
    assert found is not None
    assert (found.weight_lb, found.places, found.best_in) == (weight_lb, (54,), 54)
    assert found.stops == "Trailer axle 1"


def test_a_deck_too_short_has_no_answer_and_one_inch_more_has() -> None:
    """300 in of deck, 6 in of front clearance."""
    rig = bare_rig()
    assert heaviest(alone(rig), rig, 295.0) is None
    found = heaviest(alone(rig), rig, 294.0)
    assert found is not None
    assert found.places == (6,)


@pytest.mark.parametrize(
    ("rig", "name", "weight_lb"),
    [
        (bare_rig(trailer={"ramp_rating_lb": 4_325.0}), "Ramp", 4_320),
        (bare_rig(chains=0, straps=0), "Tie-downs", 0),
        (bare_rig(licence=Licence.NONE), "Licence", 0),
    ],
)
def test_gear_and_licence_limit_the_weight(rig: Rig, name: str, weight_lb: int) -> None:
    """A ramp of 4,325 lb; without chain or strap nothing rides, nor without a licence for such ratings."""
    found = heaviest(alone(rig), rig, 120.0)
    assert found is not None
    assert (found.weight_lb, found.stops) == (weight_lb, name)


@pytest.mark.parametrize(("length_in", "last_in"), [(586.0, 180), (585.0, None)])
def test_a_law_on_length_limits_the_places(length_in: float, last_in: int | None) -> None:
    """From the bumper 36 in ahead of the steer axle to the coupler 200 in behind it and the deck's end at 350."""
    rules = load_rule_set("US federal", [LimitOverride("length_in", length_in)])
    rig = bare_rig()
    found = heaviest(day(rig, [machine()], rule_set=rules), rig, 120.0)
    assert found is not None
    assert max((one.front_edge_in for one in found.allowed if one.most_lb), default=None) == last_in
    assert last_in is not None or found.stops == "Length"


def test_payload_left_behind_and_ahead() -> None:
    """4,000 lb at 100 to 220 (x = 210): axle 3,000 + 2,800, coupler 1,000 + 1,200, rated 9,000 and 6,000.

    Behind it 60 in long from 232 on: at 232, x = 312: W 312/300 <= 3,200 -> 3,076, and no load on the coupler.
    Ahead of it from 6 to 28: at 28, x = 108: coupler W (1 - 108/300) <= 3,800 -> 5,937; axle W 108/300 <= 3,200.
    Alone, after the other: coupler W 0.64 <= 5,000 -> 7,812.
    """
    _, judged = judged_on(rated(9_000.0), LoadLine(machine(weight_lb=4_000), 100))
    behind, ahead = payload_left(judged.problem, judged.trip, (60.0,))
    assert behind.behind
    assert not ahead.behind
    assert (behind.places[0].front_edge_in, behind.places[-1].front_edge_in) == (232, 240)
    assert behind.places[0].most_lb == 3_070
    assert (ahead.places[0].front_edge_in, ahead.places[-1].front_edge_in) == (6, 28)
    assert ahead.places[-1].most_lb == 5_930
    assert behind.best.front_edge_in == 232


def test_balance_can_ask_for_a_least_weight() -> None:
    """The coupler must carry 25 % at least; empty it carries 20 %: ahead of the axle some weight is needed.

    1,000 + W (1 - x/300) >= 0.25 (4,000 + W): at x = 116, W 0.6133 - 0.25 W >= 0: no weight is too little where
    nothing is short, so the band is raised to 30 %: 1,000 + 0.6133 W >= 1,200 + 0.3 W -> W >= 638.3.
    """
    bands = {hitch: replace(band, least_pct=30.0) for hitch, band in EXACT.coupler_bands.items()}
    rig = bare_rig()
    problem = alone(rig, replace(EXACT, coupler_bands=bands))
    found = heaviest(problem, rig, 120.0)
    assert found is not None
    assert found.allowed[0].front_edge_in == 6
    assert found.allowed[0].least_lb == 640
    assert not legal_alone(problem, rig, 120.0, 6, 630.0)
    assert legal_alone(problem, rig, 120.0, 6, 640.0)


# -- against the checks -------------------------------------------------------------------------------------------


def random_rig(rng: random.Random) -> Rig:
    length = rng.randint(150, 260)
    trailer = make.trailer(
        deck_length_in=float(length),
        coupler_to_first_axle_in=84 + length * rng.uniform(0.35, 0.8),
        gvwr_lb=30_000.0,
        axle_rating_lb=rng.choice([4_000.0, 8_000.0]),
        coupler_rating_lb=rng.choice([None, 4_000.0]),
        dovetail_length_in=rng.choice([0.0, length * 0.3]),
        dovetail_rating_lb=rng.choice([2_500.0, 8_000.0]),
        ramp_rating_lb=rng.choice([None, 9_005.0]),
    )
    truck = make.truck(rear_rating_lb=rng.choice([9_000.0, 14_500.0]))
    return make.rig(truck=truck, trailer=trailer, chains=rng.choice([3, 8]))


@pytest.mark.parametrize("seed", [*range(6), *(pytest.param(s, marks=pytest.mark.slow) for s in range(6, 36))])
def test_the_heaviest_is_legal_and_ten_pounds_more_are_nowhere(seed: int) -> None:
    rng = random.Random(seed)
    rules = load_rule_set(JURISDICTIONS[seed % len(JURISDICTIONS)])
    rig = replace(random_rig(rng), licence=Licence(rules.licences[-1].name))
    problem = make.problem([make.move()], [rig], rule_set=rules)
    length = float(rng.randint(40, 130))
    found = heaviest(problem, rig, length)
    assert found is not None
    edges = range(int(rig.trailer.deck_length_in - length) + 1)
    for weight in (found.weight_lb, found.weight_lb + STEP_LB, found.weight_lb + 50 * STEP_LB):
        legal = [at for at in edges if weight and legal_alone(problem, rig, length, at, weight)]
        assert legal == (list(found.places) if weight == found.weight_lb else [])
    assert found.best_in is None or found.best_in in found.places


@pytest.mark.parametrize("seed", [*range(6), *(pytest.param(s, marks=pytest.mark.slow) for s in range(6, 36))])
def test_payload_left_is_exact_at_every_place(seed: int) -> None:
    rng = random.Random(1_000 + seed)
    rig = random_rig(rng)
    lines = [LoadLine(make.item("m", rng.randint(1_500, 6_000), rng.randint(40, 70)))]
    if rng.random() < 0.5:
        lines.append(LoadLine(make.lifted("b", 500, 30)))
    problem = make.problem([make.move("M", lines[0].item)], [rig])
    judged = judge(problem, HandLoad("L", rig.name, tuple(lines)))
    if not judged.legal:
        assert not judged.fits
        return
    for left in payload_left(judged.problem, judged.trip, (48.0,)):
        for one in rng.sample(left.places, min(6, len(left.places))):
            for weight in {one.least_lb, one.most_lb, one.most_lb + STEP_LB, one.least_lb - STEP_LB, 3_000} - {0}:
                allowed = max(one.least_lb, 1) <= weight <= one.most_lb
                if weight > 0:
                    assert legal_with(problem, judged, left.behind, one.front_edge_in, weight) == allowed


def legal_with(problem: Problem, judged: JudgedLoad, behind: bool, at_in: int, weight_lb: float) -> bool:
    """The load with the further item loaded last (behind) or first (ahead), by the checks."""
    line = LoadLine(further_item(problem.settings, 48.0, weight_lb))
    lines = (*judged.load.lines, line) if behind else (line, *judged.load.lines)
    own = day_of(problem, HandLoad("L", judged.rig.name, lines))
    spots = [(p.deck, p.front_edge_in, p.facing) for p in judged.placements]
    spots.insert(len(spots) if behind else 0, (Deck.MAIN, at_in, Facing.FORWARD))
    placements = tuple(Placed(number, *spot) for number, spot in enumerate(spots))
    return is_legal(own, judged.rig, placements)


def test_every_rig_and_length_that_its_deck_takes() -> None:
    rigs = [bare_rig(), replace(bare_rig(trailer={"deck_length_in": 100.0}), name="short")]
    problem = replace(alone(rigs[0]), rigs=tuple(rigs))
    found = heaviest_items(problem)
    assert [(one.rig, one.length_in / 12) for one in found] == [
        *(("rig 1", feet) for feet in (6, 8, 10, 12, 15, 20)),
        ("short", 6),
    ]
    assert all(isinstance(one, Heaviest) and one.weight_lb > 0 for one in found)


def test_nothing_fits_beside_a_full_deck() -> None:
    _, judged = judged_on(bare_rig(), LoadLine(machine(length_in=280), 10), LoadLine(block(), 0, deck=None))
    assert payload_left(judged.problem, judged.trip, (60.0,)) == ()


def test_payload_left_on_a_planned_trip() -> None:
    """A trip of a plan: what is allowed behind its load is legal on the fullest leg, ten pounds more are not."""
    problem = small_problem()
    trip = loaded_trips(problem, small_plan())[2]
    found = payload_left(problem, trip, (48.0,))
    assert found
    for left in (one for one in found if one.behind):
        for weight, legal in ((left.best.most_lb, True), (left.best.most_lb + STEP_LB, False)):
            item = further_item(problem.settings, 48.0, weight)
            extra = replace(problem.hauls[0], index=len(problem.hauls), item=item, how=item.loads_by)
            day_ = replace(problem, hauls=(*problem.hauls, extra))
            placed = Placed(extra.index, Deck.MAIN, left.best.front_edge_in, Facing.FORWARD)
            legs = [leg.leg for leg in trip.legs if len(leg.leg.on_deck) == len(trip.fullest.leg.on_deck)]
            checks = [
                check
                for leg in legs
                for check in leg_checks(day_, trip.rig, replace(leg, on_deck=(*leg.on_deck, placed)))
            ]
            decks = [(*(problem.hauls[one.haul].item for one in leg.on_deck), item) for leg in legs]
            checks += gear_checks(day_, trip.rig, [extra], decks)
            assert all(check.ok for check in checks) == legal
