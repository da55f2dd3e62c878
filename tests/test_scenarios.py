"""The demo morning of ``scenarios/``: it reads clean, holds what it promises, and its plan is what it should be.

The figures of its plan that the scenario's README quotes are held here too.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from dispatch.io.read_workbook import InputResult, read_inputs

from dispatch.explain import item_by_rig
from dispatch.fleet import Deck, Hitch
from dispatch.items import Kind, LoadsBy, WeightBasis
from dispatch.placement import DeckState, LoadRequest, Placer
from dispatch.plan import Plan
from dispatch.problem import Problem, shares_gear
from dispatch.report import Report, report
from dispatch.solve import solve
from dispatch.travel import Travel
from dispatch.units import clock
from dispatch.verify import verify

MORNING = Path(__file__).parent.parent / "scenarios" / "morning"
LEFT_OUT = "119"


@pytest.fixture(scope="module")
def read() -> InputResult:
    return read_inputs([MORNING])


@pytest.fixture(scope="module")
def problem(read: InputResult) -> Problem:
    assert read.problem is not None, "\n".join(map(str, read.problems))
    return read.problem


@pytest.fixture(scope="module")
def plan(problem: Problem) -> Plan:
    return solve(problem, time_limit_s=None)


@pytest.fixture(scope="module")
def result(problem: Problem, plan: Plan) -> Report:
    return report(problem, plan)


# -- the data --------------------------------------------------------------------------------------------------


def test_the_morning_reads_without_a_problem_or_a_warning(read: InputResult) -> None:
    assert [str(one) for one in (*read.problems, *read.warnings)] == []


def test_the_morning_is_of_the_promised_size(problem: Problem) -> None:
    assert len(problem.moves) >= 14
    assert len({site for move in problem.moves for site in (move.origin, move.destination)}) >= 10
    assert len(problem.rigs) >= 4


def test_the_rigs_are_of_different_kinds(problem: Problem) -> None:
    by_hitch = {rig.trailer.hitch: rig for rig in reversed(problem.rigs)}
    assert set(by_hitch) == set(Hitch)
    gooseneck = by_hitch[Hitch.GOOSENECK].trailer
    assert (gooseneck.axles, gooseneck.winch_pull_lb, gooseneck.dovetail_rating_lb) == (3, 17_500, 10_000)
    assert (gooseneck.deck_length_in, gooseneck.dovetail_length_in) == (32 * 12, 12 * 12)
    assert gooseneck.neck is not None
    tag = by_hitch[Hitch.PINTLE]
    assert (tag.trailer.axles, tag.truck.rear_axles) == (2, 2)
    lowbed = by_hitch[Hitch.FIFTH_WHEEL]
    assert lowbed.truck.rear_axles == 2
    assert lowbed.trailer.deck_height_in < 24


def test_two_rigs_share_tractor_and_driver(problem: Problem) -> None:
    shared = [shares_gear(first, second) for first, second in combinations(problem.rigs, 2)]
    assert ("truck", "driver") in shared


def test_every_trade_feature_is_in_the_data(problem: Problem) -> None:
    moves, items = problem.moves, [move.item for move in problem.moves]
    assert any(not move.runs for move in moves), "a dead machine"
    assert any(haul.companion and haul.how is LoadsBy.LIFTED for haul in problem.hauls), "an attachment With"
    assert any(item.kind is Kind.MATERIAL and item.loads_by is LoadsBy.LIFTED for item in items), "material"
    yards = {rig.yard for rig in problem.rigs}
    assert any(m.item.kind is Kind.MATERIAL and m.destination in yards for m in moves), "a material backhaul"
    permits = [move.permit for move in moves if move.permit]
    assert any(permit.from_min and permit.to_min and permit.cost_usd for permit in permits), "a permit with hours"
    assert sum(move.ready_min is not None for move in moves) >= 5
    assert sum(move.due_min is not None for move in moves) >= 10
    assert problem.successors, "a machine in two moves"
    assert {move.item.weight.basis for move in moves} == set(WeightBasis)
    assert len({move.priority for move in moves}) >= 3


def test_sites_have_hours_and_limits_that_bind(problem: Problem) -> None:
    sites = problem.sites.values()
    assert sum(site.opens_min is not None for site in sites) >= 10
    for field in ("longest_rig_in", "highest_load_in", "heaviest_gross_lb"):
        assert any(getattr(site, field) is not None for site in sites), field
    rides = _rides_as_moved(problem)
    without = _rides_as_moved(
        replace(problem, sites={name: replace(site, longest_rig_in=None) for name, site in problem.sites.items()})
    )
    assert rides["118"] == {"Pickup"}, "the narrow lane takes the short rig only"
    assert len(without["118"]) > 3
    assert rides["112"] == {"Gooseneck"}, "the posted bridge takes the light truck only"


def _rides_as_moved(problem: Problem) -> dict[str, set[str]]:
    """Which rigs carry each move's item by itself, between its own sites."""
    placer = Placer(problem)

    def rides(number: int, rig: str) -> bool:
        haul = problem.hauls[number]
        state = DeckState((number,), haul.origin, haul.destination)
        return placer.find(problem.rig(rig), LoadRequest((number,), (number,), (state,))) is not None

    return {
        move.name: {rig.name for rig in problem.rigs if rides(number, rig.name)}
        for number, move in enumerate(problem.moves)
    }


def test_some_distances_are_measured_and_some_estimated(problem: Problem) -> None:
    travel = Travel(problem.sites, problem.roads, problem.settings)
    pairs = Counter(travel.measured(move.origin, move.destination) for move in problem.moves)
    assert pairs[True] >= 5
    assert pairs[False] >= 3
    assert any(road.oneway for road in problem.roads)
    miles = [road.tenths_mi / 10 for road in problem.roads]
    assert 3 < min(miles) < max(miles) < 45


def test_every_item_but_the_one_rides_alone_on_some_rig(problem: Problem) -> None:
    rides = {ride.item for ride in item_by_rig(problem) if ride.ok}
    assert {item.name for item in problem.items} - rides == {"AP-1"}


def test_a_weight_counts_by_its_basis(problem: Problem) -> None:
    assert _lone_rides(problem, "AP-1", WeightBasis.CATALOGUE_BASE) == set()
    assert _lone_rides(problem, "AP-1", WeightBasis.SCALE_TICKET) == {"Lowbed"}
    assert "Pickup" in _lone_rides(problem, "CTL-1", WeightBasis.SCALE_TICKET)
    assert "Pickup" not in _lone_rides(problem, "CTL-1", WeightBasis.DATA_PLATE)


def _lone_rides(problem: Problem, name: str, basis: WeightBasis) -> set[str]:
    """Which rigs carry the item if the weight on its sheet had this basis."""
    (item,) = (item for item in problem.items if item.name == name)
    weight = problem.settings.weight(item.weight.nominal_lb, basis)
    (haul,) = (haul for haul in problem.hauls if haul.item is item)
    changed = replace(haul, index=0, item=replace(item, weight=weight))
    alone = replace(problem, items=(changed.item,), hauls=(changed,), moves=(), together=(), successors=())
    return {ride.rig for ride in item_by_rig(alone) if ride.ok}


def test_order_on_deck_decides(problem: Problem) -> None:
    number = {haul.item.name: haul.index for haul in reversed(problem.hauls)}
    placer, order = Placer(problem), (number["SS-2"], number["ME-2"])
    assert _rides_pair(placer, "Gooseneck", problem, order)
    assert not _rides_pair(placer, "Gooseneck", problem, order[::-1])


def test_pairs_ride_together_and_some_in_one_order_only(problem: Problem) -> None:
    placer, gooseneck = Placer(problem), problem.rig("Gooseneck")
    counts = Counter(
        sum(_rides_pair(placer, gooseneck.name, problem, order) for order in (pair, pair[::-1]))
        for pair in combinations(range(len(problem.moves)), 2)
        if problem.moves[pair[0]].item is not problem.moves[pair[1]].item
    )
    assert counts[2] >= 10
    assert counts[1] >= 3


def _rides_pair(placer: Placer, rig: str, problem: Problem, order: tuple[int, ...]) -> bool:
    state = DeckState(order, "Home yard", "Repair shop")  # neither has limits of its own
    return placer.find(problem.rig(rig), LoadRequest(order, order[::-1], (state,))) is not None


# -- the plan --------------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_plan_verifies_and_is_proved(problem: Problem, plan: Plan) -> None:
    assert [str(one) for one in verify(problem, plan)] == []
    assert all(level.proved for level in plan.levels)
    assert plan.level("trips").value == 14


@pytest.mark.slow
def test_exactly_the_designed_move_is_left_out_and_why(result: Report) -> None:
    assert [left.move for left in result.left_out] == [LEFT_OUT]
    (left,) = result.left_out
    reasons = {reason.rig: reason.text for reason in left.reasons}
    assert set(reasons) == {rig.name for rig in result.problem.rigs}
    assert "Legal gross" in reasons["Lowbed"], "in the worst case of a catalogue weight"
    assert "Ramp" in reasons["Step deck"]
    assert "weighed on a scale on Lowbed" in left.change


@pytest.mark.slow
def test_the_plan_shows_what_the_day_was_made_for(problem: Problem, plan: Plan) -> None:
    trips = list(plan.trips())
    assert {trip.rig for trip in trips} == {rig.name for rig in problem.rigs}
    assert max(len(trip.placements) for trip in trips) >= 3
    on_neck = {problem.hauls[p.haul].item.name for trip in trips for p in trip.placements if p.deck is Deck.NECK}
    assert on_neck & {"BK-24", "HB-1"}, "a lifted attachment over the neck"
    by_move = {problem.hauls[haul].move: trip for trip in trips for haul in trip.hauls()}
    assert by_move["109"].rig == "Gooseneck", "the dead machine rides where the winch is"
    assert len(by_move["108"].placements) == 1, "the permit load rides alone"
    lowbed, step = (_span(plan, rig) for rig in ("Lowbed", "Step deck"))
    first, second = sorted((lowbed, step))
    assert second[0] >= first[1] + problem.settings.hook_min, "the changeover at the yard"


def _span(plan: Plan, rig: str) -> tuple[int, int]:
    (outing,) = next(day.outings for day in plan.rig_days if day.rig == rig)
    return outing.leave_min, outing.return_min


@pytest.mark.slow
def test_the_readme_quotes_this_plan(result: Report) -> None:
    text = (MORNING / "README.md").read_text(encoding="utf-8")
    totals, lowbed, step = result.summary.totals, _span(result.plan, "Lowbed"), _span(result.plan, "Step deck")
    quoted = (
        f"**{result.summary.trips} trips**",
        f"{totals.loaded_tenths / 10:,.1f} mi loaded",
        f"{totals.empty_tenths / 10:,.1f} mi empty",
        f"{totals.paid_min / 60:,.2f} paid hours",
        f"${totals.cost_cents / 100:,.2f}",
        f"Step deck from {clock(step[0])} to {clock(step[1])}",
        f"Lowbed from {clock(lowbed[0])} to {clock(lowbed[1])}",
    )
    assert [one for one in quoted if one not in text] == []
    for row in result.schedule:
        line = f"| {row.trip} | {row.rig} | {row.items} |"
        assert line in text, f"README.md of the morning lacks {line}"
        assert f"{row.tightest} {row.use * 100:.1f} % |" in text, row


@pytest.mark.slow
def test_weighing_the_paver_gets_it_hauled_on_one_more_trip(tmp_path: Path) -> None:
    for source in MORNING.glob("*.csv"):
        text = source.read_text(encoding="utf-8")
        weighed = [
            line.replace("catalogue base", "scale ticket") if line.startswith("AP-1,") else line
            for line in text.splitlines()
        ]
        (tmp_path / source.name).write_text("\n".join(weighed), encoding="utf-8")
    day = read_inputs([tmp_path]).problem
    assert day is not None
    better = solve(day, time_limit_s=None)
    assert (better.left_out, better.level("trips").value) == ((), 15)


@pytest.mark.slow
def test_two_runs_give_the_same_plan(problem: Problem, plan: Plan) -> None:
    assert solve(problem, time_limit_s=None) == plan


@pytest.mark.slow
def test_the_metric_morning_gives_the_same_plan(tmp_path: Path, plan: Plan, problem: Problem) -> None:
    metric = read_inputs([metric_copy(MORNING, tmp_path)])
    assert metric.problem is not None, "\n".join(map(str, metric.problems))
    assert metric.problem.moves[0].item.weight.nominal_lb == pytest.approx(problem.moves[0].item.weight.nominal_lb)
    other = solve(metric.problem, time_limit_s=None)
    assert other.rig_days == plan.rig_days
    assert other.left_out == plan.left_out


# -- a metric copy -----------------------------------------------------------------------------------------------

# Exact by definition: the international yard and pound agreement of 1959.
METRIC = {
    "lb": ("kg", 0.45359237),
    "ft": ("m", 0.3048),
    "mi": ("km", 1.609344),
    "USD/mi": ("USD/km", 1 / 1.609344),
    "mph": ("km/h", 1.609344),
}
_HEADER = re.compile(r"(.+) \((.+)\)")
_NUMBER = re.compile(r"-?[0-9.]+")


def metric_copy(folder: Path, into: Path) -> Path:
    """The scenario's files with kilograms, metres and kilometres; cells with a unit of their own stay as typed."""
    for source in sorted(folder.glob("*.csv")):
        with source.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
        with (into / source.name).open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(_metric_rows(source.stem, rows))
    return into


def _metric_rows(title: str, rows: list[list[str]]) -> Iterator[list[str]]:
    header, *body = rows
    if title in ("Settings", "Limits"):  # one row a value: the unit stands behind its name
        yield header
        for name, value, *rest in body:
            spelled, factor = _metric_name(name)
            yield [spelled, _scaled(value, factor), *rest]
        return
    columns = [_metric_name(typed) for typed in header]
    yield [spelled for spelled, _ in columns]
    for row in body:
        if row[0].startswith("#"):
            yield row
        else:
            yield [_scaled(cell, factor) for cell, (_, factor) in zip(row, columns, strict=True)]


def _metric_name(typed: str) -> tuple[str, float | None]:
    match = _HEADER.fullmatch(typed)
    if match is None or match[2] not in METRIC:
        return typed, None
    unit, factor = METRIC[match[2]]
    return f"{match[1]} ({unit})", factor


def _scaled(cell: str, factor: float | None) -> str:
    return repr(float(cell) * factor) if factor and _NUMBER.fullmatch(cell) else cell


def test_the_metric_copy_is_metric(tmp_path: Path) -> None:
    metric_copy(MORNING, tmp_path)
    text = "\n".join(path.read_text(encoding="utf-8") for path in sorted(tmp_path.glob("*.csv")))
    assert {"kg", "m", "km", "USD/km", "km/h"} <= set(re.findall(r"\(([a-zA-Z/]+)\)", text))
    assert not {"lb", "ft", "mi", "mph", "USD/mi"} & set(re.findall(r"\(([a-zA-Z/]+)\)", text))
