"""Hand-made loads: verdicts, windows and mends worked by hand, and against plain enumeration.

The bare rig: trailer axle 300 in behind the coupler, deck from 50 to 350 in, empty 1,000 lb on the coupler and
3,000 lb on the axle, weights exact. An item of W lb at x in behind the coupler adds W x/300 to the axle and
W (1 - x/300) to the coupler.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from dispatch.fleet import Deck, Licence, Rig
from dispatch.hand_loads import HandLoad, JudgedLoad, LoadLine, day_of, is_legal, judge, judged_at
from dispatch.items import Facing, Item, LoadsBy
from dispatch.limits import load_rule_set
from dispatch.load_report import fault_words, load_report, state_rows
from dispatch.mends import Change, mends, nearest
from dispatch.place_windows import best_places, legal_shifts, shifted, windows
from dispatch.problem import Problem
from dispatch.verify_deck import order_violations, place_violations
from dispatch.verify_findings import NumberedTrip
from dispatch.verify_gear import gear_violations
from dispatch.verify_loads import trip_load_violations
from tests import factories as make
from tests.bare_rigs import EXACT, bare_rig, day, exact

NECK = Deck.NECK


def machine(name: str = "A", weight_lb: float = 10_000, length_in: float = 120, **more: Any) -> Item:
    return replace(make.item(name, weight_lb, length_in, **more), weight=exact(weight_lb))


def block(name: str = "B", weight_lb: float = 100, **more: Any) -> Item:
    return replace(make.lifted(name, weight_lb, 20, **more), weight=exact(weight_lb))


def load(rig: Rig, *lines: LoadLine) -> HandLoad:
    return HandLoad("L-1", rig.name, lines)


def judged_on(rig: Rig, *lines: LoadLine, others: Sequence[Rig] = ()) -> tuple[Problem, JudgedLoad]:
    problem = day(rig, [line.item for line in lines])
    problem = replace(problem, rigs=(rig, *others))
    return problem, judge(problem, load(rig, *lines))


def rated(axle_lb: float, coupler_lb: float = 6_000.0, **trailer: Any) -> Rig:
    return bare_rig(trailer={"axle_rating_lb": axle_lb, "coupler_rating_lb": coupler_lb, **trailer})


def broken(judged: JudgedLoad) -> set[str]:
    return {check.name for check in judged.broken}


# -- windows worked by hand --------------------------------------------------------------------------------------


def test_the_window_of_one_machine() -> None:
    """Axle 3,000 + 10,000 x/300 <= 9,000: x <= 180, front edge <= 70. Coupler 11,000 - 10,000 x/300 <= 6,000:
    x >= 150, front edge >= 40. Both are used alike at x/300 = 0.54: front edge 52, use 8,400/9,000."""
    _, judged = judged_on(rated(9_000.0), LoadLine(machine(), 60))
    (window,) = windows(judged)
    assert window.stretches == ((40, 70),)
    assert window.best_in == 52
    assert judged.legal
    _, best = judged_on(rated(9_000.0), LoadLine(machine()))
    assert best.placements[0].front_edge_in == 52
    assert best.tightest.use == pytest.approx(8_400 / 9_000)


def test_the_windows_of_two_machines() -> None:
    """A 10,000 lb at 40 (x = 150) and B 3,000 lb, 60 in long, behind it; axle rated 12,000, coupler 6,000.

    B: coupler 6,000 + 3,000 (1 - x/300) <= 6,000 asks for x >= 300, front edge >= 220; the deck ends at 240.
    A with B at 230 (x = 310: -100 on the coupler, 3,100 on the axle): alone it needs front edge >= 40, with B
    the axle 6,100 + 10,000 x/300 <= 12,000 asks for x <= 177, front edge <= 67.
    """
    lines = (LoadLine(machine(), 40), LoadLine(machine("B", 3_000, 60), 230))
    _, judged = judged_on(rated(12_000.0), *lines)
    first, second = windows(judged)
    assert second.stretches == ((220, 240),)
    assert first.stretches == ((40, 67),)
    assert judged.legal
    assert first.inside
    assert second.inside


def test_a_lifted_item_has_two_stretches_and_loses_one_when_it_blocks_the_way() -> None:
    """A machine from 100 to 220, gap 12: a block 20 in long stands at 6 to 68, or at 232 to 280. Loaded before
    the machine it would stand in its way behind it."""
    rig = bare_rig()
    big, small = LoadLine(machine(), 100), LoadLine(block(), 10)
    _, after = judged_on(rig, big, small)
    assert windows(after)[1].stretches == ((6, 68), (232, 280))
    _, before = judged_on(rig, small, big)
    assert windows(before)[0].stretches == ((6, 68),)


def test_a_blocked_way_on_is_said_so() -> None:
    _, judged = judged_on(bare_rig(), LoadLine(machine("B", 3_000, 60), 230), LoadLine(machine(), 40))
    (check,) = [check for check in judged.broken if check.name == "Loading order"]
    assert fault_words(check) == "A comes on with B behind it"
    assert not judged.legal


@pytest.mark.parametrize(
    ("item", "at", "deck", "name", "margin"),
    [
        (machine(), 5, Deck.MAIN, "Front clearance", -1),
        (machine(), 181, Deck.MAIN, "Contact on deck", -1),
        (machine(contact_width_in=103.0), 60, Deck.MAIN, "Contact width", -1),
        (block(), 77, NECK, "Contact on deck", -1),
        (block(contact_width_in=97.0), 10, NECK, "Contact width", -1),
        (machine(contact_from_in=20.0), 181, Deck.MAIN, "Overhang", -1),
    ],
)
def test_rules_of_the_deck_by_one_inch(item: Item, at: int, deck: Deck, name: str, margin: float) -> None:
    """The main deck is 300 in long and 102 in wide, the neck deck 96 by 96; the item is 120 (20) in long."""
    rig = bare_rig(trailer={"neck": make.neck()})
    lines = (LoadLine(item, at, Facing.FORWARD, deck),)
    _, judged = judged_on(rig, *lines)
    (check, *_) = [check for check in judged.broken if check.name == name]
    assert check.margin == pytest.approx(margin)
    inward = at + 1 if name == "Front clearance" else at - 1
    mended = replace(lines[0], front_edge_in=inward)
    if name != "Contact width":
        assert name not in broken(judged_on(rig, mended)[1])


def test_the_gap_by_one_inch() -> None:
    lines = (LoadLine(machine(), 6), LoadLine(block(), 137))
    _, judged = judged_on(bare_rig(), *lines)
    assert broken(judged) == {"Gap"}
    assert judged.broken[0].margin == -1
    assert judged_on(bare_rig(), lines[0], replace(lines[1], front_edge_in=138))[1].legal


def test_every_state_is_checked_last_on_first_off() -> None:
    """B hangs behind the axle and takes weight off the coupler: without it A is too heavy there."""
    lines = (LoadLine(machine(), 38), LoadLine(machine("B", 3_000, 60), 240))
    problem, judged = judged_on(rated(12_000.0), *lines)
    assert judged.legal_full
    assert not judged.legal
    rows = [row for row in state_rows(load_report(problem, judged.load)) if row.check.name == "Coupler rating"]
    assert [(row.state, row.on_deck) for row in rows] == [(1, "A, B"), (2, "A")]
    assert rows[0].check.worst == pytest.approx(1_000 + 10_000 * 152 / 300 - 3_000 * 20 / 300)
    assert rows[1].check.worst == pytest.approx(1_000 + 10_000 * 152 / 300)
    assert [row.check.ok for row in rows] == [True, False]
    assert mends(problem, judged)[0].change is Change.ONE_STOP


def test_a_lifted_item_may_go_to_the_neck_deck_when_the_deck_is_left_blank() -> None:
    rig = bare_rig(trailer={"neck": make.neck(), "coupler_rating_lb": 1_100.0})
    _, judged = judged_on(rig, LoadLine(block(weight_lb=1_000)))
    assert judged.fits
    _, pinned = judged_on(rig, LoadLine(block(weight_lb=1_000), deck=NECK))
    assert not pinned.fits
    assert "Coupler rating" in broken(pinned)


def test_a_dead_machine_needs_a_winch() -> None:
    _, judged = judged_on(bare_rig(), LoadLine(machine(), 60, runs=False))
    assert judged.load.lines[0].how is LoadsBy.WINCHED
    assert broken(judged) == {"Winch"}
    assert windows(judged)[0].stretches == ()


def test_a_permit_lifts_law_for_an_item_alone() -> None:
    wide = machine(width_in=110.0)
    assert broken(judged_on(bare_rig(), LoadLine(wide, 60))[1]) == {"Width"}
    assert judged_on(bare_rig(), LoadLine(wide, 60, permit="OS-1"))[1].legal
    _, two = judged_on(bare_rig(), LoadLine(wide, 60, permit="OS-1"), LoadLine(block(), 240))
    assert two.trip.legs[0].checks != two.trip.legs[1].checks
    assert broken(two) == {"Width"}


def test_a_load_without_items_is_refused() -> None:
    with pytest.raises(ValueError, match="no items"):
        judged_on(bare_rig())


def test_a_load_without_a_legal_place_is_shown_where_it_is_little_over() -> None:
    """31,000 lb are too much for the axle (9,000) and the coupler (6,000) wherever they stand."""
    _, judged = judged_on(rated(9_000.0), LoadLine(machine(weight_lb=31_000)))
    assert not judged.fits
    assert {"Trailer axle 1", "Coupler rating"} <= broken(judged)


# -- mends worked by hand -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(("at", "shift"), [(20, 20), (39, 1), (100, -30), (71, -1)])
def test_the_shortest_move_mends(at: int, shift: int) -> None:
    """The window is 40 to 70, see above."""
    problem, judged = judged_on(rated(9_000.0), LoadLine(machine(), at))
    first = mends(problem, judged)[0]
    assert first.change is Change.MOVE_ONE
    assert first.after.placements[0].front_edge_in - at == shift
    assert first.words.endswith("rearward" if shift > 0 else "forward")
    assert first.after.legal


def test_the_nearest_of_several_stretches() -> None:
    assert nearest(((-9, -4), (5, 7))) == -4
    assert nearest(((-9, -5), (5, 7))) == -5
    assert nearest(((-3, 7),)) == 0
    assert nearest(()) is None


def test_two_that_must_move_together() -> None:
    """A and B 5,000 lb each and 60 in long, at 6 and 78: coupler 11,000 - 5,000 (86 + 158)/300 = 6,933 lb.

    Rated 6,880 lb it asks for 3.2 in more of both together. The deck of 140 in leaves B 2 in, the gap leaves A
    none: only both by 2 in do.
    """
    rig = rated(9_500.0, 6_880.0, deck_length_in=140.0)
    lines = [LoadLine(machine(name, 5_000, 60), at) for name, at in (("A", 6), ("B", 78))]
    problem, judged = judged_on(rig, *lines)
    assert judged.trip.legs[0].loads.coupler_lb == pytest.approx(6_933 + 1 / 3)
    first = mends(problem, judged)[0]
    assert first.change is Change.MOVE_SEVERAL
    assert first.words == "move the whole load 0 ft 2 in rearward"
    assert (first.inches, [placed.front_edge_in for placed in first.after.placements]) == (4, [8, 80])


def test_an_item_the_other_way_round() -> None:
    """CG 30 in from the front of 120: nose forward x = 50 + 6 + 30 at the least; reversed 60 in further back."""
    lopsided = machine(cg_in=30.0)
    rig = rated(9_000.0, 6_000.0, deck_length_in=126.0)
    problem, judged = judged_on(rig, LoadLine(lopsided, 6, Facing.FORWARD))
    found = mends(problem, judged)
    assert [mend.change for mend in found] == []
    wider = rated(9_000.0, 6_700.0, deck_length_in=126.0)
    problem, judged = judged_on(wider, LoadLine(lopsided, 6, Facing.FORWARD))
    (only,) = mends(problem, judged)
    assert only.change is Change.OTHER_FACING
    assert only.inches == 0
    assert only.after.placements[0].facing is Facing.REARWARD


def test_another_order_is_offered() -> None:
    """The small machine chalked to go on first stands behind the big one."""
    lines = (LoadLine(machine("B", 3_000, 60), 230), LoadLine(machine(), 40))
    problem, judged = judged_on(rated(12_000.0), *lines)
    offered = [mend for mend in mends(problem, judged) if mend.change is Change.OTHER_ORDER]
    assert [line.item.name for mend in offered for line in mend.after.load.lines] == ["A", "B"]


def test_the_attachment_is_left_off_before_the_machine_and_another_rig_comes_last() -> None:
    rig = bare_rig(trailer={"gvwr_lb": 14_050.0})
    other = replace(bare_rig(), name="rig 2")
    lines = (LoadLine(machine(), 40), LoadLine(block(), 240))
    problem, judged = judged_on(rig, *lines, others=(other,))
    assert broken(judged) == {"Trailer GVWR"}
    found = mends(problem, judged)
    assert [mend.change for mend in found] == [Change.LEAVE_OFF, Change.LEAVE_OFF, Change.OTHER_RIG]
    assert found[0].words == "leave off B (100 lb)"
    assert found[1].words == "leave off A (10,000 lb)"
    assert found[2].after.rig.name == "rig 2"


def test_a_legal_load_needs_no_mend() -> None:
    problem, judged = judged_on(rated(9_000.0), LoadLine(machine(), 50))
    assert mends(problem, judged) == ()


# -- against plain enumeration -----------------------------------------------------------------------------------


JURISDICTIONS = ("US federal", "US federal", "EU", "Canada Ontario", "US California")


def random_load(seed: int) -> tuple[Problem, HandLoad]:
    """A rig with a short deck and one to three items, at random places or where a search put them."""
    rng = random.Random(seed)
    count = rng.choice([1, 2, 2, 3])
    lines, lengths = [], []
    for number in range(count):
        length, weight = rng.randint(36, 90), rng.randint(1_500, 9_000)
        lengths.append(length)
        start = rng.randint(0, 8)
        contact = length - start - rng.randint(0, 12)
        look: dict[str, Any] = {"contact_from_in": start, "contact_length_in": contact}
        look["cg_in"] = start + contact * rng.uniform(0.2, 0.8)
        if rng.random() < 0.35:
            item = make.lifted(f"i{number}", weight // 4, length, **look)
        else:
            item = make.item(f"i{number}", weight, length, two_axles=rng.random() < 0.3, **look)
        lines.append(LoadLine(item, runs=rng.random() > 0.03, permit="P" if rng.random() < 0.1 else ""))
    length = sum(lengths) + 12 * (count - 1) + 6 + rng.randint(0, 50)
    trailer = make.trailer(
        deck_length_in=float(length),
        coupler_to_first_axle_in=84 + length * rng.uniform(0.35, 0.8),
        gvwr_lb=30_000.0,
        coupler_rating_lb=rng.choice([None, 5_000.0]),
        dovetail_length_in=rng.choice([0.0, length * 0.3]),
        dovetail_rating_lb=rng.choice([2_500.0, 8_000.0]),
        neck=rng.choice([None, make.neck()]),
    )
    truck = make.truck(rear_rating_lb=rng.choice([9_000.0, 14_500.0]))
    rules = load_rule_set(JURISDICTIONS[seed % len(JURISDICTIONS)])
    rig = make.rig(truck=truck, trailer=trailer, licence=Licence(rules.licences[-1].name))
    problem = make.problem([make.move("M", lines[0].item)], [rig], rule_set=rules)
    given = HandLoad("L", rig.name, tuple(lines))
    placed = judge(problem, given).placements
    jitter = rng.choice([0, 0, 3, 12])
    lines = [
        replace(line, front_edge_in=p.front_edge_in + rng.randint(-jitter, jitter), facing=p.facing, deck=p.deck)
        for line, p in zip(lines, placed, strict=True)
    ]
    return problem, replace(given, lines=tuple(lines))


SEEDS = [*range(12), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(12, 80))]


@pytest.mark.parametrize("seed", SEEDS)
def test_windows_are_those_of_plain_enumeration(seed: int) -> None:
    problem, given = random_load(seed)
    judged = judge(problem, given)
    assert judged.legal == is_legal(judged.problem, judged.rig, judged.placements)
    for number, window in enumerate(windows(judged)):
        at = judged.placements[number].front_edge_in
        legal = [
            edge
            for edge in range(int(judged.rig.trailer.deck_length_in) + 1)
            if is_legal(judged.problem, judged.rig, shifted(judged.placements, {number}, edge - at))
        ]
        assert [edge for first, last in window.stretches for edge in range(first, last + 1)] == legal
        assert window.inside == judged.legal
        assert (window.best_in in legal) == bool(legal)


@pytest.mark.parametrize("seed", SEEDS)
def test_every_mend_is_legal_and_no_shorter_move_of_its_kind_is(seed: int) -> None:
    problem, given = random_load(seed)
    judged = judge(problem, given)
    for mend in mends(problem, judged):
        if mend.change is Change.ONE_STOP:
            assert judged.legal_full
            continue
        assert mend.after.legal
        after = mend.after
        assert is_legal(after.problem, after.rig, after.placements)
        if mend.change in (Change.MOVE_ONE, Change.MOVE_SEVERAL):
            moved = [
                (number, new.front_edge_in - old.front_edge_in)
                for number, (old, new) in enumerate(zip(judged.placements, after.placements, strict=True))
                if new != old
            ]
            group = {number for number, _ in moved}
            (shift,) = {shift for _, shift in moved}
            assert len(group) == 1 or mend.change is Change.MOVE_SEVERAL
            shorter = range(-abs(shift) + 1, abs(shift))
            assert not any(
                is_legal(judged.problem, judged.rig, shifted(judged.placements, group, d)) for d in shorter
            )


@pytest.mark.parametrize("seed", SEEDS)
def test_the_verdict_is_that_of_the_independent_verifier(seed: int) -> None:
    """The verifier shares statics and figures of law with the checks, and nothing else."""
    problem, given = random_load(seed)
    judged = judge(problem, given)
    rig = judged.rig
    for inches in (0, -7, -2, 1, 5, 20):
        for moving in ({0}, set(range(len(judged.placements)))):
            moved = judged_at(judged.problem, given, rig, shifted(judged.placements, moving, inches))
            one = NumberedTrip(1, rig.name, 0, moved.trip.trip)
            violations = [
                *order_violations(judged.problem, one),
                *place_violations(judged.problem, rig, one),
                *trip_load_violations(judged.problem, rig, one),
                *gear_violations(judged.problem, rig, one),
            ]
            assert moved.legal == (not violations)
            assert moved.legal == is_legal(judged.problem, rig, moved.placements)


def test_the_random_loads_are_of_every_kind() -> None:
    found = [judge(*random_load(seed)) for seed in range(12)]
    assert {judged.legal for judged in found} == {True, False}
    assert any(mends(judged.problem, judged) for judged in found)


def test_moving_all_is_the_moves_of_all() -> None:
    """One item: its shifts are its window."""
    _, judged = judged_on(rated(9_000.0), LoadLine(machine(), 60))
    assert legal_shifts(judged.problem, judged.rig, judged.placements, {0}) == ((-20, 10),)
    load_ = best_places(judged)
    assert load_ is not None
    assert load_.placements[0].front_edge_in == 52


def test_the_day_of_a_load_holds_the_load_alone() -> None:
    rig = bare_rig()
    problem = day(rig, [machine("other")])
    own = day_of(problem, load(rig, LoadLine(machine()), LoadLine(block())))
    assert [haul.item.name for haul in own.hauls] == ["A", "B"]
    assert list(own.sites) == ["all on", "B off", "A off"]
    assert own.settings is EXACT
