"""Which decisions a mix of days leaves open, by hand; and which of them is taken."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from dispatch.branch_master import Branch
from dispatch.decisions import RELIABLE, TRIED, Decision, Experience, decisions
from dispatch.highs import INFINITE

ROOT = Branch(((0.0, INFINITE),) * 3, ((0.0, 1.0),) * 3, (0, 0, 0))


@dataclass(frozen=True)
class Mixed:
    """What a decision looks at."""

    group: int
    units: int
    trips: int


def open_in(*mixed: tuple[Mixed, float]) -> dict[tuple[str, int], tuple[Branch, Branch]]:
    units = range(4)
    return {one.key: one.ways for one in decisions(ROOT, 3, units, list(mixed))}  # type: ignore[arg-type]


def test_a_whole_mix_leaves_nothing_open() -> None:
    assert open_in((Mixed(0, 0b0011, 2), 1.0), (Mixed(2, 0b1100, 1), 1.0)) == {}


def test_the_same_day_by_two_orders_leaves_nothing_open() -> None:
    """Units, trips and days are whole; only the cost differs, and the cheaper one will do."""
    assert open_in((Mixed(0, 0b0011, 2), 0.5), (Mixed(0, 0b0011, 2), 0.5), (Mixed(1, 0b1100, 1), 1.0)) == {}


def test_half_a_trip_and_half_a_day() -> None:
    found = open_in((Mixed(0, 0b0011, 3), 0.5), (Mixed(1, 0b0011, 2), 0.5))
    assert found["trips", 0] == (ROOT.with_trips(0, (0, 1)), ROOT.with_trips(0, (2, INFINITE)))
    assert found["days", 0] == (ROOT.with_days(0, (0, 0)), ROOT.with_days(0, (1, INFINITE)))
    assert found["days", 1] == (ROOT.with_days(1, (0, 0)), ROOT.with_days(1, (1, INFINITE)))
    assert ("trips", 1) not in found
    assert set(found) == {("trips", 0), ("days", 0), ("days", 1), ("unit", 0), ("unit", 1)}


def test_a_unit_goes_with_one_part_of_the_fleet_or_with_the_rest() -> None:
    found = open_in((Mixed(0, 0b001, 1), 0.3), (Mixed(1, 0b001, 1), 0.3), (Mixed(2, 0b001, 1), 0.4))
    inside, outside = found["unit", 0]
    barred = [{group for group in range(3) if way.barred[group] & 1} for way in (inside, outside)]
    assert sorted(map(sorted, barred)) == [[0, 1], [2]]


def test_a_way_that_leads_nowhere_new_is_no_decision() -> None:
    """A unit half left out: once it is barred from all rigs but the one, that one or none is nothing new."""
    barred = ROOT.without(0, [1, 2])
    half = [(Mixed(0, 0b001, 1), 0.5), (Mixed(0, 0b010, 1), 0.5)]
    found = {one.key for one in decisions(barred, 3, range(2), half)}  # type: ignore[arg-type]
    assert ("unit", 0) not in found
    assert ("unit", 1) in found


def test_a_branch_that_asks_for_more_than_it_allows_is_empty() -> None:
    assert not ROOT.empty
    assert not ROOT.with_trips(1, (2.0, 2.0)).empty
    assert ROOT.with_trips(1, (0.0, 2.0)).with_trips(1, (3.0, INFINITE)).empty
    assert ROOT.with_days(1, (2.0, INFINITE)).empty


def test_every_plan_keeps_to_one_of_the_two_ways() -> None:
    """Of all plans that haul three units by three rigs or leave them out, none is lost by a decision."""
    mixed = (Mixed(0, 0b011, 2), 0.5), (Mixed(1, 0b101, 2), 0.5), (Mixed(2, 0b110, 1), 0.5)
    for ways in open_in(*mixed).values():
        for rigs in product((None, 0, 1, 2), repeat=3):
            assert any(_keeps(way, rigs) for way in ways)


def _keeps(way: Branch, rigs: tuple[int | None, ...]) -> bool:
    hauls = [sum(1 << unit for unit, rig in enumerate(rigs) if rig == group) for group in range(3)]
    trips = [mask.bit_count() for mask in hauls]
    return all(
        way.trips[group][0] <= trips[group] <= way.trips[group][1]
        and way.days[group][0] <= (1 if hauls[group] else 0) <= way.days[group][1]
        and not hauls[group] & way.barred[group]
        for group in range(3)
    )


def decision(number: int) -> Decision:
    return Decision(("unit", number), (ROOT.without(number, [0]), ROOT.without(number, [1, 2])))


def test_the_decision_that_raises_both_sides_is_taken() -> None:
    worth = {0: (0.0, 100.0), 1: (9.0, 9.0), 2: (3.0, 20.0)}
    some = [decision(number) for number in worth]
    by_ways = {one.ways: worth[one.key[1]] for one in some}
    assert Experience().choose(some, by_ways.__getitem__) == some[1].ways


def test_what_was_tried_often_is_known_and_not_tried_again() -> None:
    tried: list[object] = []

    def worth(ways: object) -> tuple[float, float]:
        tried.append(ways)
        return (5.0, 5.0) if ways == decision(1).ways else (1.0, 1.0)

    experience = Experience()
    for _ in range(RELIABLE + 3):
        assert experience.choose([decision(0), decision(1)], worth) == decision(1).ways
    assert len(tried) == 2 * RELIABLE


def test_a_few_are_tried_at_a_time_and_those_never_tried_come_to_their_turn() -> None:
    tried: list[object] = []

    def worth(ways: object) -> tuple[float, float]:
        tried.append(ways)
        return 1.0, 1.0

    experience, many = Experience(), [decision(number) for number in range(3 * TRIED)]
    experience.choose(many, worth)
    assert len(tried) == TRIED
    for _ in range(3 * RELIABLE):
        experience.choose(many, worth)
    assert len(set(map(id, tried))) <= len(tried)
    assert {str(ways) for ways in tried} == {str(one.ways) for one in many}
