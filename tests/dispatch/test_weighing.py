"""Scale tickets against the sheets: by hand, against known truth, contradictions, what is offered.

No published example of the two-weighing method with its readings was found; the nearest printed figures are the
Army's loads of one combination with three machines, used at the end.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import yaml
from scipy.stats import binom, chi2

from dispatch.axle_loads import rig_loads
from dispatch.coupler_place import coupler_place
from dispatch.fleet import Deck, Rig, Trailer, Truck
from dispatch.items import Facing, Item, WeightBasis
from dispatch.least_squares import (
    COVERAGE_FACTOR,
    chance_of_more,
    fit,
    ratio_with_uncertainty,
    standard_uncertainty,
)
from dispatch.new_figures import new_figures
from dispatch.settings import TOLERANCES, Settings, Tolerance
from dispatch.ticket_estimates import CG, WEIGHT, Solved, item_estimates, solve_tickets
from dispatch.ticket_model import Unknown, linked, ticket_model
from dispatch.tickets import ScaleTolerance, Standing, Ticket
from dispatch.weighing import weigh
from dispatch.weighing_results import Estimate, Subject, Weighing
from tests import factories as make
from tests.bare_rigs import exact

SETTINGS = Settings()
TWENTY = ScaleTolerance(20.0)
SIGMA = 20 / math.sqrt(3)


def truck(name: str = "T-1", **changes: Any) -> Truck:
    values = {"wheelbase_in": 204.0, "coupler_ahead_in": 6.0, "empty_front_lb": 7_900.0, "empty_rear_lb": 6_300.0}
    return make.truck(name, **(values | changes))


def trailer(name: str = "G-30", coupler_lb: float = 2_700, axles_lb: float = 8_000, **changes: Any) -> Trailer:
    """Axles 240, 282 and 324 in behind the coupler, deck from 90 in on."""
    values = {"coupler_to_first_axle_in": 240.0, "deck_from_coupler_in": 90.0, "neck": make.neck()}
    return make.trailer(name, coupler_lb, axles_lb, **(values | changes))


def rig(name: str = "gooseneck", truck_: Truck | None = None, trailer_: Trailer | None = None) -> Rig:
    return make.rig(name, truck=truck_ or truck(), trailer=trailer_ or trailer())


def excavator(**changes: Any) -> Item:
    values = {"length_in": 206.0, "cg_in": 137.0, "contact_from_in": 100.0, "contact_length_in": 77.0}
    return make.item("ME-4", 11_650, **(values | changes))


def bucket() -> Item:
    return make.lifted("BK-24", 640, 30)


def alone(name: str, front: float, rear: float, on: Rig, tolerance: ScaleTolerance = TWENTY) -> Ticket:
    return Ticket(name, on, front, rear, None, (), tolerance)


def hitched(
    name: str,
    front: float,
    rear: float,
    axles: float,
    on: Rig,
    *standing: Standing,
    scale: ScaleTolerance = TWENTY,
) -> Ticket:
    return Ticket(name, on, front, rear, axles, standing, scale)


def of(weighing: Weighing, name: str, figure: str) -> Estimate:
    (found,) = (one for one in weighing.estimates if (one.name, one.figure) == (name, figure))
    return found


RIG = rig()
ALONE = alone("1", 7_900, 6_300, RIG)
EMPTY = hitched("2", 7_980, 8_920, 8_000, RIG)
LOADED = hitched("3", 8_000, 9_740, 19_140, RIG, Standing(excavator(), 38.0))


# -- the worked example of docs/scale-tickets.md, by hand ------------------------------------------------------


def test_two_weighings_give_the_empty_trailer_and_the_coupler_place() -> None:
    """Front gains 80 and rear 2,620 lb: coupler 2,700 lb, c = 204 * 2,620 / 2,700 = 197.96 in, 6.04 in ahead."""
    weighing = weigh([ALONE, EMPTY], SETTINGS)
    place = of(weighing, "T-1", "Coupler ahead of rear axle")
    assert place.value == pytest.approx(204 - 204 * 2_620 / 2_700)
    share = 2_620 / 2_700
    u_by_hand = 204 * math.sqrt(2) * SIGMA * math.hypot(share, 1 - share) / 2_700
    assert place.u == pytest.approx(u_by_hand)
    assert place.half_width == pytest.approx(2.40, abs=0.01)
    assert place.agrees
    assert of(weighing, "G-30", "Empty axles").value == pytest.approx(8_000)
    assert of(weighing, "G-30", "Empty axles").half_width == pytest.approx(2 * SIGMA)
    coupler = of(weighing, "G-30", "Empty coupler")
    assert coupler.value == pytest.approx(2_700, abs=1)
    # The sum of both gains has an uncertainty of two sigmas; knowing the coupler's place makes it smaller.
    assert 1.4 * SIGMA < coupler.u < 2 * SIGMA


def test_difference_of_two_weighings_is_the_item() -> None:
    """W = 36,880 - 24,900 = 11,980 lb; CG 282 * 11,140 / 11,980 - 128 = 134.2 in behind the front end.

    With the coupler's place left free only the sums count, which is the arithmetic by hand.
    """
    model = ticket_model([ALONE, EMPTY, LOADED], SETTINGS, frozenset({"T-1"}))
    weight, cg = item_estimates(Solved(model, model.fit()))
    assert weight.value == pytest.approx(11_980, abs=0.1)
    assert weight.u == pytest.approx(math.sqrt(6) * SIGMA, rel=1e-4)
    assert weight.half_width == pytest.approx(56.6, abs=0.1)
    assert cg.value == pytest.approx(282 * 11_140 / 11_980 - 128, abs=0.01)
    share, per_lb = 11_140 / 11_980, 282 / 11_980
    from_scale = 2 * SIGMA**2 * per_lb**2 * ((1 - share) ** 2 + 2 * share**2)
    assert cg.u == pytest.approx(math.sqrt(from_scale + (1 / 3) * (11_650 / 11_980) ** 2), rel=1e-3)
    assert cg.half_width == pytest.approx(1.5, abs=0.05)


def test_the_coupler_place_sharpens_the_estimate_and_shifts_it_little() -> None:
    weighing = weigh([ALONE, EMPTY, LOADED], SETTINGS)
    weight = of(weighing, "ME-4", WEIGHT)
    assert weight.value == pytest.approx(11_980, abs=25)
    assert weight.half_width < 56.6
    assert not weighing.contradictions
    (new,) = (row for row in weighing.new_figures if (row.name, row.column) == ("ME-4", WEIGHT))
    assert new.value == 10 * round(weight.value / 10)
    assert new.basis is WeightBasis.SCALE_TICKET


def test_comparison_by_hand() -> None:
    """ME-4 at 38 in: CG 265 in behind the coupler; axles 8,000 + 11,650 * 265/282 = 18,947.7 lb."""
    weighing = weigh([ALONE, EMPTY, LOADED], SETTINGS)
    row = weighing.comparisons[-1]
    assert (row.ticket, row.axles, row.weighed_lb) == ("3", "Trailer", 19_140)
    assert row.predicted_lb == pytest.approx(8_000 + 11_650 * 265 / 282)
    item_high_lb = 11_650 * 1.03
    assert row.high_lb == pytest.approx(8_040 + item_high_lb * 265 / 282 + item_high_lb / 282)
    assert row.difference_lb == pytest.approx(192.3, abs=0.1)
    assert row.ok
    heavier = replace(LOADED, trailer_lb=19_600.0)
    outside = weigh([heavier], SETTINGS).comparisons[-1]
    assert outside.outside_lb == pytest.approx(19_580 - row.high_lb)
    lighter = replace(LOADED, trailer_lb=18_000.0)
    assert weigh([lighter], SETTINGS).comparisons[-1].outside_lb == pytest.approx(18_020 - row.low_lb)


def test_tolerance_is_uniform() -> None:
    """GUM (JCGM 100:2008) 4.3.7: a rectangular distribution of half-width a has u = a / sqrt(3)."""
    assert standard_uncertainty(3.0) == pytest.approx(math.sqrt(3))
    assert ScaleTolerance(20, 0.2).of(5_000) == 20
    assert ScaleTolerance(20, 0.2).of(34_000) == pytest.approx(68)


# -- least squares ----------------------------------------------------------------------------------------------


def test_weighted_mean_of_two_readings() -> None:
    """u = 10 and 20 lb: weights 4 to 1, u of the mean sqrt(1 / (1/100 + 1/400)) = 8.94 lb; chi-square 50^2/500."""
    found = fit(np.ones((2, 1)), np.array([1_000.0, 1_050.0]), np.diag([100.0, 400.0]))
    value, u = found.of(np.array([1.0])) or (0, 0)
    assert value == pytest.approx(1_010)
    assert u == pytest.approx(math.sqrt(80))
    assert (found.chi_square, found.freedom) == (pytest.approx(2_500 / 500), 1)


def test_only_what_the_rank_fixes_is_identifiable() -> None:
    found = fit(np.array([[1.0, 1.0, 0.0], [2.0, 2.0, 1e-3]]), np.array([3.0, 8.0]), np.eye(2))
    assert found.of(np.array([1.0, 0.0, 0.0])) is None
    assert found.of(np.array([1.0, 1.0, 0.0])) is not None
    assert (found.of(np.array([0.0, 0.0, 1.0])) or (0, 0))[0] == pytest.approx(2_000)


@pytest.mark.parametrize("freedom", range(1, 12))
def test_chi_square_tail_against_scipy(freedom: int) -> None:
    for value in (0.01, 0.5, 3.0, 12.0, 60.0):
        assert chance_of_more(value, freedom) == pytest.approx(chi2.sf(value, freedom), rel=1e-9)
    with pytest.raises(ValueError, match="degree of freedom"):
        chance_of_more(1.0, 0)


# -- recovery of a known truth --------------------------------------------------------------------------------

STATED = 0.95


class Truth:
    """Readings of many draws: uniform errors of scale and tape, statics written out anew from moments."""

    def __init__(
        self, tickets: list[Ticket], items: dict[str, tuple[float, float]], draws: int, seed: int
    ) -> None:
        self.random = np.random.default_rng(seed)
        self.items, self.draws = items, draws
        coupler = {t.rig.truck.name: self.uniform(1.0) for t in tickets}
        empties = {t.rig.name: self.empties(t.rig, tickets) for t in tickets}
        self.readings = np.vstack([self.read(t, coupler[t.rig.truck.name], *empties[t.rig.name]) for t in tickets])

    def uniform(self, half_width: float) -> Any:
        return self.random.uniform(-half_width, half_width, self.draws)

    def empties(self, on: Rig, tickets: list[Ticket]) -> tuple[Any, ...]:
        """The sheet's figures where a ticket weighs them, else anything within the sheet's tolerance of 0.5 %."""
        weighed = any(t.alone and t.rig.name == on.name for t in tickets)
        weighed_empty = any(t.empty_rig and t.rig.name == on.name for t in tickets)
        lb = (on.truck.empty_front_lb, on.truck.empty_rear_lb)
        both = (on.trailer.empty_coupler.nominal_lb, on.trailer.empty_axles.nominal_lb)
        spread = [0.0 if weighed else 0.005] * 2 + [0.0 if weighed_empty else 0.005] * 2
        return tuple(one * (1 + self.uniform(s)) for one, s in zip((*lb, *both), spread, strict=True))

    def read(self, t: Ticket, coupler_off: Any, front: Any, rear: Any, coupler: Any, axles: Any) -> Any:
        group = 282.0
        wheelbase = t.rig.truck.wheelbase_in
        for standing in t.on_deck:
            weight, cg = self.items[standing.item.name]
            deck = -24.0 if standing.deck is Deck.NECK else 90.0
            own = cg if standing.facing is Facing.FORWARD else standing.item.length_in - cg
            x = deck + standing.front_edge_in + own + self.uniform(1.0)
            axles = axles + weight * x / group
            coupler = coupler + weight * (group - x) / group
        on_rear = (wheelbase - t.rig.truck.coupler_ahead_in + coupler_off) / wheelbase
        rows = [front, rear] if t.alone else [front + coupler * (1 - on_rear), rear + coupler * on_rear, axles]
        return np.vstack([row + self.uniform(20.0) for row in rows])


def hits(tickets: list[Ticket], truth: Truth) -> dict[tuple[str, str], Any]:
    """Error over standard uncertainty of each item's weight and centre of gravity, one an entry and draw.

    One design serves all draws: that of true weights, from which those found differ by too little to count.
    """
    true = {name: weight for name, (weight, _) in truth.items.items()}
    model = ticket_model(tickets, SETTINGS, weights_lb=true)
    found = model.fit()
    read = truth.readings.shape[0]
    values = np.repeat(model.values[:, None], truth.draws, axis=1)
    values[:read] = truth.readings
    estimates = found.gain @ values
    scores = {}
    for name, (weight, cg) in truth.items.items():
        places = [model.unknowns.index(Unknown("item", name, figure)) for figure in ("moment", "weight")]
        covariance = found.covariance[np.ix_(places, places)]
        value, u = ratio_with_uncertainty(estimates[places[0]], estimates[places[1]], covariance)
        scores[name, WEIGHT] = (estimates[places[1]] - weight) / math.sqrt(covariance[1, 1])
        scores[name, CG] = (value - cg) / u
    return scores


TRUE_ONE = {"ME-4": (12_000.0, 133.0)}
TRUE_HEAVY = {"ME-4": (14_000.0, 133.0)}
TRUE_TWO = {"ME-4": (12_000.0, 133.0), "BK-24": (655.0, 14.0)}
OTHER = rig("other", truck("T-9", coupler_ahead_in=10.0), trailer("G-31", 2_600, 7_800))


def one_item() -> list[Ticket]:
    return [ALONE, EMPTY, LOADED]


def two_items() -> list[Ticket]:
    """On two rigs, together and apart; the second rig's empty weights come from its sheets alone."""
    machine, attachment = Standing(excavator(), 38.0), Standing(bucket(), 6.0, deck=Deck.NECK)
    turned = Standing(excavator(), 60.0, Facing.REARWARD)
    return [
        ALONE,
        EMPTY,
        hitched("3", 8_000, 9_740, 19_140, RIG, machine),
        hitched("4", 8_000, 9_740, 19_140, RIG, turned, attachment),
        hitched("5", 8_000, 9_740, 19_140, OTHER, replace(machine, front_edge_in=70.0)),
    ]


@pytest.mark.parametrize("draws", [1_000, 40_000])
@pytest.mark.parametrize(
    ("tickets", "items"),
    [(one_item(), TRUE_ONE), (one_item(), TRUE_HEAVY), (two_items(), TRUE_TWO)],
    ids=["one item", "one item, a fifth heavier than its sheet", "two items"],
)
def test_known_truth_lies_within_the_stated_uncertainty(
    tickets: list[Ticket], items: dict[str, tuple[float, float]], draws: int
) -> None:
    """Of the seeded draws at least 95 %, of every figure; and the uncertainty is not merely generous."""
    scores = hits(tickets, Truth(tickets, items, draws, seed=20_260_504))
    for what, score in scores.items():
        covered = int(np.sum(np.abs(score) <= COVERAGE_FACTOR))
        assert covered >= STATED * draws, what
        assert np.std(score) == pytest.approx(1.0, abs=0.08), what
        assert abs(np.mean(score)) < 4 / math.sqrt(draws), what


def test_the_product_gives_what_the_draws_were_judged_by() -> None:
    """A handful of the same draws, solved one by one: estimate and interval are those counted above."""
    tickets = one_item()
    truth = Truth(tickets, TRUE_ONE, 8, seed=7)
    scores = hits(tickets, truth)
    for draw in range(truth.draws):
        read = truth.readings[:, draw]
        drawn = [
            replace(ALONE, front_lb=read[0], rear_lb=read[1]),
            replace(EMPTY, front_lb=read[2], rear_lb=read[3], trailer_lb=read[4]),
            replace(LOADED, front_lb=read[5], rear_lb=read[6], trailer_lb=read[7]),
        ]
        for one in item_estimates(solve_tickets(drawn, SETTINGS)):
            true = TRUE_ONE["ME-4"][one.figure == CG]
            assert (one.value - true) / one.u == pytest.approx(
                scores["ME-4", one.figure][draw], rel=0.02, abs=0.005
            )


def test_sound_tickets_seldom_contradict_each_other() -> None:
    """Chi-square at the 1 % level names no more than 1 % of sound groups, binomial chance aside; pairs none."""
    tickets = [*one_item(), alone("4", 7_900, 6_300, RIG), replace(LOADED, name="5")]
    truth = Truth(tickets, TRUE_ONE, 1_000, seed=11)
    model = ticket_model(tickets, SETTINGS)
    found = model.fit()
    misfit = truth.readings - model.matrix @ (found.gain @ truth.readings)
    sizes = np.einsum("ij,ik,kj->j", misfit, np.linalg.inv(model.covariance), misfit)
    false_alarms = int(np.sum(sizes > chi2.isf(0.01, found.freedom)))
    assert false_alarms <= binom.ppf(0.99, truth.draws, 0.01)
    assert np.mean(sizes) == pytest.approx(found.freedom, rel=0.1)


# -- what is not identifiable -----------------------------------------------------------------------------------


def test_two_items_that_always_ride_together_are_known_by_their_sum() -> None:
    both = hitched(
        "3", 8_060, 11_440, 18_060, RIG, Standing(excavator(), 38.0), Standing(bucket(), 6.0, deck=Deck.NECK)
    )
    weighing = weigh([ALONE, EMPTY, both], SETTINGS)
    for name, other in (("ME-4", "BK-24"), ("BK-24", "ME-4")):
        for figure in (WEIGHT, CG):
            one = of(weighing, name, figure)
            assert (one.value, one.u, one.agrees) == (None, None, None)
            assert one.remark == f"not identifiable: it always rides with {other}; weigh it once by itself"
    together = of(weighing, "ME-4 + BK-24", WEIGHT)
    assert together.value == pytest.approx(8_060 + 11_440 + 18_060 - 24_900, abs=20)
    assert together.subject is Subject.TOGETHER
    assert not [row for row in weighing.new_figures if row.subject is Subject.ITEM]


def test_two_places_part_two_weights_and_not_their_centres() -> None:
    """Moving one of two items along the deck fixes its weight by moments; the centres stay mixed."""
    attachment = Standing(bucket(), 280.0)
    tickets = [
        ALONE,
        EMPTY,
        hitched("3", 8_000, 10_300, 19_200, RIG, Standing(excavator(), 10.0), attachment),
        hitched("4", 8_000, 8_200, 21_300, RIG, Standing(excavator(), 60.0), attachment),
    ]
    weighing = weigh(tickets, SETTINGS)
    assert of(weighing, "ME-4", WEIGHT).value is not None
    assert of(weighing, "ME-4", CG).value is None


def test_one_loaded_ticket_rests_on_the_sheets_empty_weights() -> None:
    weighing = weigh([LOADED], SETTINGS)
    weight = of(weighing, "ME-4", WEIGHT)
    assert weight.value == pytest.approx(36_880 - 24_900, abs=30)
    assert not [one for one in weighing.estimates if one.subject is not Subject.ITEM]


# -- coupler ------------------------------------------------------------------------------------------------------


def test_a_wrong_coupler_place_is_found_and_leaves_the_weight_alone() -> None:
    """The sheet says 16 in ahead, the tickets were made with 6: only sums of front and rear are believed."""
    wrong = rig(truck_=truck(coupler_ahead_in=16.0))
    tickets = [replace(ticket, rig=wrong) for ticket in (ALONE, EMPTY, LOADED)]
    weighing = weigh(tickets, SETTINGS)
    place = of(weighing, "T-1", "Coupler ahead of rear axle")
    assert place.agrees is False
    (row,) = (row for row in weighing.new_figures if row.column == "Coupler ahead of rear axle")
    assert (row.now, row.remark) == (16.0, "differs from the sheet: measure it again with a tape")
    assert row.value == pytest.approx(6.0, abs=1.5)
    assert of(weighing, "ME-4", WEIGHT).value == pytest.approx(11_980, abs=0.5)
    assert not weighing.contradictions


def test_a_hitch_behind_the_axle_has_a_negative_place() -> None:
    """A pintle 74.4 in behind: P = 1,250 lb on b = 212 takes 438.7 lb off the front (moments by hand)."""
    tag = rig(truck_=truck(wheelbase_in=212.0, coupler_ahead_in=-74.4), trailer_=trailer(coupler_lb=1_250))
    front_lb = 1_250 * -74.4 / 212
    tickets = [alone("1", 7_900, 6_300, tag), hitched("2", 7_900 + front_lb, 7_550 - front_lb, 8_000, tag)]
    place = coupler_place(tag.truck, tickets, SETTINGS)
    assert place is not None
    assert place.value == pytest.approx(-74.4)
    assert place.agrees


def test_no_place_without_a_load_on_the_coupler() -> None:
    tickets = [ALONE, hitched("2", 7_900, 6_300, 10_700, RIG)]
    place = coupler_place(RIG.truck, tickets, SETTINGS)
    assert place is not None
    assert place.value is None
    assert "not identifiable" in place.remark
    assert coupler_place(RIG.truck, [EMPTY], SETTINGS) is None


# -- contradictions -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("front", "pair", "group"), [(7_940, 0, 0), (7_941, 1, 0), (7_960, 1, 1)])
def test_two_tickets_of_a_truck_alone(front: float, pair: int, group: int) -> None:
    """Tolerances of 20 lb each: 40 lb apart can be, 41 cannot. Chi-square of d on two readings: d^2 / (2 sigma^2).

    60 lb: 3,600 / 266.7 = 13.5 on 2 degrees of freedom, chance exp(-6.75) = 0.0012.
    """
    found = weigh([ALONE, alone("1b", front, 6_300, RIG)], SETTINGS).contradictions
    by_pair = [one for one in found if one.test == "within tolerances"]
    by_group = [one for one in found if one.test.startswith("chi-square")]
    assert (len(by_pair), len(by_group)) == (pair, group)
    if by_pair:
        assert by_pair[0].tickets == ("1", "1b")
        assert by_pair[0].about == "truck T-1 alone: front axle"
        assert by_pair[0].apart == pytest.approx(front - 7_940)
    if by_group:
        assert "chi-square 13.5 on 2 degrees of freedom (chance 0.0012)" in by_group[0].text
        assert "front, 30 lb" in by_group[0].text


def test_two_tickets_of_one_item_are_named_with_numbers() -> None:
    """The same rig, so its empty weights cancel: gross 36,880 against 37,400, tolerances 60 each, 400 lb apart."""
    elsewhere = hitched("4", 8_100, 12_300, 17_000, RIG, Standing(excavator(), 10.0))
    found = weigh([LOADED, elsewhere], SETTINGS).contradictions
    one = next(one for one in found if one.test == "within tolerances")
    assert one.tickets == ("3", "4")
    assert one.apart == pytest.approx(37_400 - 36_880 - 120)
    assert one.text == "3 says 36,820 to 36,940 lb, 4 says 37,340 to 37,460 lb"


def test_one_item_on_two_rigs() -> None:
    """Ticket 3: 36,880 +- 60 less 24,900 +- 124.5 (0.5 %); the other rig: 37,100 +- 60 less 24,600 +- 123."""
    other = hitched("9", 8_000, 9_500, 19_600, OTHER, Standing(excavator(), 38.0))
    found = weigh([LOADED, other], SETTINGS).contradictions
    one = next(one for one in found if one.about == "ME-4: weight")
    assert one.apart == pytest.approx((37_100 - 60 - 24_723) - (36_880 + 60 - 24_775.5))
    sound = hitched("9", 8_000, 9_140, 19_360, OTHER, Standing(excavator(), 38.0))
    assert not [one for one in weigh([LOADED, sound], SETTINGS).contradictions if one.about == "ME-4: weight"]


def test_a_wrong_place_on_deck_shows_as_two_centres_of_gravity() -> None:
    """The same readings with the machine said to stand 20 in further back: its centre moves 20 in forward."""
    misplaced = replace(LOADED, name="4", on_deck=(Standing(excavator(), 58.0),))
    found = weigh([ALONE, EMPTY, LOADED, misplaced], SETTINGS).contradictions
    one = next(one for one in found if one.unit == "in")
    assert one.about == "ME-4: CG from front"
    assert one.tickets == ("3", "4")
    assert 0 < one.apart < 20


def test_an_empty_trailer_behind_two_trucks() -> None:
    other = rig("other", truck("T-9"), RIG.trailer)
    found = weigh([EMPTY, hitched("8", 8_000, 9_000, 8_300, other)], SETTINGS).contradictions
    assert found[0].about == "trailer G-30 empty: trailer axles"
    assert found[0].apart == pytest.approx(260)


def test_contradicted_tickets_offer_nothing_and_others_are_not_touched() -> None:
    elsewhere = replace(LOADED, name="4", rear_lb=10_400.0)
    other = rig("other", truck("T-9", empty_front_lb=8_200.0), trailer("G-31"))
    apart = [alone("7", 7_900, 6_300, other), hitched("8", 7_980, 8_920, 8_100, other)]
    weighing = weigh([ALONE, EMPTY, LOADED, elsewhere, *apart], SETTINGS)
    assert of(weighing, "ME-4", WEIGHT).value is not None
    assert "contradict" in of(weighing, "ME-4", WEIGHT).remark
    assert {row.name for row in weighing.new_figures} == {"T-9", "G-31"}


def test_groups_share_a_truck_a_trailer_or_an_item() -> None:
    other = hitched("9", 8_000, 9_500, 19_600, OTHER, Standing(bucket(), 38.0))
    bridge = hitched("10", 8_000, 9_500, 19_600, OTHER, Standing(excavator(), 38.0))
    names = [[ticket.name for ticket in group] for group in linked([ALONE, other, LOADED])]
    assert names == [["1", "3"], ["9"]]
    names = [[ticket.name for ticket in group] for group in linked([ALONE, other, LOADED, bridge])]
    assert names == [["1", "9", "3", "10"]]


# -- what is offered ----------------------------------------------------------------------------------------------


def test_a_coarse_scale_earns_no_scale_ticket_basis() -> None:
    """Tolerance 100 lb: 95 % half-width about 2 * sqrt(6) * 57.7 = 283 lb, 2.4 % of 11,980."""
    coarse = [replace(ticket, tolerance=ScaleTolerance(100.0)) for ticket in (ALONE, EMPTY, LOADED)]
    estimated = replace(LOADED.on_deck[0], item=excavator(weight=SETTINGS.weight(11_650, WeightBasis.ESTIMATE)))
    coarse[2] = replace(coarse[2], on_deck=(estimated,))
    rows = weigh(coarse, SETTINGS).new_figures
    (row,) = (row for row in rows if (row.name, row.column) == ("ME-4", WEIGHT))
    assert row.basis in (WeightBasis.DATA_PLATE, WeightBasis.ESTIMATE)
    assert "is more than the 0.5 % of a scale ticket" in row.remark
    assert f"basis {row.basis.value}" in row.remark
    wide = Settings(tolerances=dict(TOLERANCES) | {WeightBasis.SCALE_TICKET: Tolerance(5.0, 5.0)})
    (row,) = (row for row in weigh(coarse, wide).new_figures if (row.name, row.column) == ("ME-4", WEIGHT))
    assert (row.basis, row.remark) == (WeightBasis.SCALE_TICKET, "")


def test_a_sheet_that_is_known_better_stands() -> None:
    exact_item = replace(excavator(), weight=SETTINGS.weight(11_980, WeightBasis.SCALE_TICKET))
    coarse = replace(LOADED, on_deck=(Standing(exact_item, 38.0),), tolerance=ScaleTolerance(200.0))
    weighing = weigh([ALONE, EMPTY, coarse], SETTINGS)
    assert of(weighing, "ME-4", WEIGHT).agrees
    assert not [row for row in weighing.new_figures if row.column == WEIGHT]


def test_a_centre_outside_the_contact_is_not_offered() -> None:
    misplaced = replace(LOADED, on_deck=(Standing(excavator(), 90.0),))
    weighing = weigh([ALONE, EMPTY, misplaced], SETTINGS)
    assert of(weighing, "ME-4", CG).remark == "outside what touches the deck: check the places on the tickets"
    assert not [row for row in weighing.new_figures if row.column == CG]


def test_a_weight_that_is_lost_in_the_scale_has_no_centre() -> None:
    light = hitched("3", 7_980, 8_920, 8_010, RIG, Standing(bucket(), 38.0))
    weighing = weigh([ALONE, EMPTY, light], SETTINGS)
    assert of(weighing, "BK-24", WEIGHT).value == pytest.approx(10, abs=1)
    assert of(weighing, "BK-24", CG).value is None
    assert "lost in the scale's uncertainty" in of(weighing, "BK-24", CG).remark


def test_rounding_counts_towards_the_tolerance() -> None:
    """A half-width of 59 lb on 11,986 lb is 0.49 %; the 4 lb of rounding make it 0.53 %: no scale ticket's."""
    stated = SETTINGS.weight(11_650, WeightBasis.DATA_PLATE)
    one = Estimate(
        Subject.ITEM, "a", WEIGHT, "lb", 11_986.0, 59 / 2, 11_650, stated.low_lb, stated.high_lb, ("1",)
    )
    (row,) = new_figures([one], SETTINGS)
    assert (row.value, row.basis) == (11_990, WeightBasis.DATA_PLATE)
    (row,) = new_figures([replace(one, value=11_990.0)], SETTINGS)
    assert (row.value, row.basis) == (11_990, WeightBasis.SCALE_TICKET)


def test_nothing_is_told_without_tickets() -> None:
    assert weigh([], SETTINGS) == Weighing()


# -- printed figures ----------------------------------------------------------------------------------------------

ARMY: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parents[1] / "data" / "army_table.yaml").read_text(encoding="utf-8")
)


def test_machine_weights_of_a_printed_axle_load_table() -> None:
    """US Army TM 55-3805-261-14 table 5-1: axle loads of one combination with three graders, tare 43,870 lb.

    The table has no dimensions and no empty axle loads: those are free here, as long as they sum to the tare. The
    gross fixes each machine's weight; the table rounds to 5 lb.
    """
    made_up = rig(
        truck_=truck(empty_front_lb=7_400.0, empty_rear_lb=20_470.0 - 4_000),
        trailer_=trailer(empty_coupler=exact(4_000.0), empty_axles=exact(16_000.0)),
    )
    assert ARMY["tare_lb"] == 7_400 + 16_470 + 4_000 + 16_000
    sure = Settings(tolerances=dict(TOLERANCES) | {WeightBasis.SCALE_TICKET: Tolerance(0.0, 0.0)})
    for row in ARMY["rows"]:
        grader = make.item("grader", row["machine"], 300)
        ticket = hitched(
            "army",
            row["front"],
            row["drive"],
            row["trailer"],
            made_up,
            Standing(grader, 0.0),
            scale=ScaleTolerance(5.0),
        )
        model = ticket_model([ticket], sure, frozenset({"T-1"}))
        weight, _ = item_estimates(Solved(model, model.fit()))
        assert weight.value == pytest.approx(row["machine"], abs=0.5)


def test_prediction_is_the_one_of_the_checks() -> None:
    """The comparison's nominal figures are those that every load is judged by."""
    loads = rig_loads(RIG, [11_650], [90 + 38 + 137])
    rows = [row.predicted_lb for row in weigh([LOADED], SETTINGS).comparisons]
    assert rows == pytest.approx([loads.front_lb, loads.rear_lb, loads.trailer_axle_group_lb])
