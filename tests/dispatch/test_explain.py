"""Reasons carry numbers that can be checked by hand, and the change that they name really helps."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dispatch.explain import LeftOut, item_by_rig, left_out
from dispatch.fleet import Licence
from dispatch.moves import Permit
from dispatch.placement import Placer
from dispatch.plan import Outcome, Plan
from dispatch.problem import Problem
from tests import factories as make


def explained(problem: Problem, *names: str) -> tuple[LeftOut, ...]:
    return left_out(problem, Plan((), names, (), Outcome.PROVED))


def test_an_item_too_heavy_says_by_how_much_and_at_which_weight_it_rides() -> None:
    """Trailer 8,000 lb empty (high 8,040), GVWR 24,000; 20,000 lb by data plate, high 20,600: 4,640 lb over."""
    dozer = make.item("dozer", 20_000, 200)
    problem = make.problem([make.move("M1", dozer)])
    (reason,) = explained(problem, "M1")
    assert "Trailer GVWR 4,640 lb over" in reason.reasons[0].text
    assert "legal on rig 1 at 15,490 lb or less (4,510 lb off)" in reason.change
    lighter = replace(dozer, weight=problem.settings.weight(15_490, dozer.weight.basis))
    heavier = replace(dozer, weight=problem.settings.weight(15_500, dozer.weight.basis))
    assert [ride.ok for ride in item_by_rig(make.problem([make.move("M1", lighter)]))] == [True]
    assert [ride.ok for ride in item_by_rig(make.problem([make.move("M1", heavier)]))] == [False]


def test_a_hair_over_a_limit_is_not_called_nothing() -> None:
    """102.25 in against 102 (23 CFR 658.15); 15,495.3 lb, 3 % over by data plate: 15,960.16 of 15,960 left."""
    (wide,) = explained(make.problem([make.move("M1", make.item(width_in=102.25))]), "M1")
    assert wide.reasons[0].text.startswith("Width 0.25 in over")
    (heavy,) = explained(make.problem([make.move("M1", make.item(weight_lb=15_495.3, length_in=200))]), "M1")
    assert heavy.reasons[0].text.startswith("Trailer GVWR 0.16 lb over")


def test_a_deck_too_short_says_what_is_needed() -> None:
    """17 ft 2 in = 200 in of item and 6 in of front clearance; the deck has 12 ft 6 in."""
    short = make.rig(trailer=make.trailer(deck_length_in=150.0))
    (reason,) = explained(make.problem([make.move("M1", make.item("long", 9_000, 200))], [short]), "M1")
    assert reason.reasons[0].text.startswith("needs 17 ft 2 in of deck")


def test_a_wide_item_rides_with_a_permit_and_the_change_says_so() -> None:
    wide = make.item("wide", 9_000, width_in=108.0)
    problem = make.problem([make.move("M1", wide)])
    (reason,) = explained(problem, "M1")
    assert "Width 0 ft 6 in over" in reason.reasons[0].text
    assert "legal with an oversize or overweight permit, alone on the deck on rig 1" in reason.change
    permitted = make.problem([make.move("M1", wide, permit=Permit("P-1"))])
    assert item_by_rig(permitted)[0].ok


def test_a_late_move_says_when_it_could_be_there() -> None:
    """06:00 + 20 min to a, 20 to load, 20 on the road, 15 to unload: 07:15; wanted by 06:30."""
    (reason,) = explained(make.problem([make.move("M1", due_min=390)]), "M1")
    assert reason.reasons[0].text == "unloaded at 07:15 at the earliest, Deliver by 06:30"
    assert "a later window" in reason.change


def test_no_winch_for_a_dead_machine() -> None:
    """10,300 lb (high) on tracks at 12 degrees: 10,300 x (0.20791 + 0.25 x 0.97815) = 4,660 lb."""
    (reason,) = explained(make.problem([make.move("M1", runs=False)]), "M1")
    assert reason.reasons[0].text == "no winch, needs 4,660 lb of line pull"


def test_a_lifted_item_needs_a_lift() -> None:
    problem = make.problem([make.move("M1", make.lifted())], sites=[make.site("b", lift_on_site=False)])
    (reason,) = explained(problem, "M1")
    assert reason.reasons[0].text == "is lifted, and there is no lift at b"


def test_a_missing_lift_is_what_would_change_it() -> None:
    problem = make.problem([make.move("M1", make.lifted())], sites=[make.site("b", lift_on_site=False)])
    (reason,) = explained(problem, "M1")
    assert (reason.reasons[0].text, reason.change) == ("is lifted, and there is no lift at b", "a lift at b")


def test_more_driving_than_the_law_allows_says_so() -> None:
    """20 min out, 6 h loaded, 6 h home: 12 h 20 min at the wheel; 49 CFR 395.3(a)(3) allows 11."""
    roads = [make.road("yard", "a", minutes=20), make.road("a", "b", 300, minutes=360)]
    roads.append(make.road("b", "yard", 300, minutes=360))
    rig = make.rig(shift_start_min=0, shift_end_min=24 * 60)
    (reason,) = explained(make.problem([make.move("M1")], [rig], roads=roads), "M1")
    assert reason.reasons[0].text.startswith("12 h 20 min driving, limit 11 h 00 min (49 CFR 395.3")
    assert reason.change == "a rig that starts nearer or is shorter"


def test_a_day_longer_than_the_duty_window_says_so() -> None:
    """3 x 20 min of road, 8 h to load, 6 h to unload: 15 h; 49 CFR 395.3(a)(2) allows 14."""
    rig = make.rig(shift_start_min=0, shift_end_min=24 * 60)
    (reason,) = explained(make.problem([make.move("M1", load_min=480, unload_min=360)], [rig]), "M1")
    assert reason.reasons[0].text.startswith("15 h 00 min away from the yard, limit 14 h 00 min (49 CFR 395.3")


def test_a_rig_too_long_for_its_own_yard_says_so() -> None:
    """36 in of overhang, 187 to the coupler, 84 to the deck, 336 of deck: 643 in; the yard takes 40 ft."""
    problem = make.problem([make.move("M1")], sites=[make.site("yard", longest_rig_in=480.0)])
    (reason,) = explained(problem, "M1")
    assert reason.reasons[0].text == "the rig is 53 ft 7 in long, yard takes 40 ft 0 in"


def test_a_second_move_of_a_machine_that_stays_where_it_is_says_so() -> None:
    machine = make.item()
    moves = [make.move("M1", machine, due_min=390), make.move("M2", machine, origin="b", destination="a")]
    (_, second) = explained(make.problem(moves), "M1", "M2")
    assert second.reasons[0].text == "is not at b: move M1 is left out"


def test_a_move_worth_nothing_says_so() -> None:
    (reason,) = explained(make.problem([make.move("M1", priority=0.0)]), "M1")
    assert reason.reasons[0].text.endswith("with Priority 0 leaving it out is no loss")


def test_a_rig_that_is_not_allowed_says_so() -> None:
    rigs = [make.rig("rig 1"), make.rig("rig 2")]
    (reason,) = explained(make.problem([make.move("M1", not_rigs=("rig 2",), due_min=390)], rigs), "M1")
    assert [r.text for r in reason.reasons][1] == "not allowed by Only rigs / Not rigs"


@pytest.mark.parametrize("weight_lb", [4_000, 9_000, 14_000])
def test_item_by_rig_agrees_with_placement(weight_lb: int) -> None:
    problem = make.problem([make.move("M1", make.item("machine", weight_lb))])
    (ride,) = item_by_rig(problem)
    assert ride.ok
    assert ride.tightest is not None
    assert ride.tightest.ok
    assert Placer(problem).hopeless(problem.rigs[0], (0,)) is False


def test_a_licence_that_is_short_names_both_classes() -> None:
    """Default rig: ratings 19,500 + 24,000 lb, towed over 10,000: class A (49 CFR 383.91)."""
    driver = make.rig(licence=Licence.NONE)
    (reason,) = explained(make.problem([make.move("M1")], [driver]), "M1")
    assert reason.reasons[0].text == "Licence short (49 CFR 383.91: needs A; Rigs, Licence: none)"
