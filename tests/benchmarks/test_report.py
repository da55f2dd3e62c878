"""The report's arithmetic on records made up for the purpose."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from benchmarks.anytime import at, played_at, proof_s
from benchmarks.comparison import against_all, compare
from benchmarks.contradictions import contradictions
from benchmarks.generator import Size
from benchmarks.growth import Sample, fit_law, fit_size_law
from benchmarks.records import append, latest, read
from benchmarks.suite import runs
from benchmarks.suite_chart import chart
from benchmarks.suite_report import illegal, machines, means, page, targets
from benchmarks.targets import DayRecord, cost_gap, first_plan, gap, left_out_under, proved


def record(method: str = "haulday", goals: tuple[float, int, int] = (0, 6, 1_000), **more: Any) -> dict[str, Any]:
    """A line of the record: proved on all levels in 10 s unless said otherwise."""
    out, trips, cents = goals
    score = {"left_out": out, "trips": trips, "cents": cents, "loaded_tenths": 10, "empty_tenths": 5}
    made = {
        "size": "12/3", "seed": 0, "windows": "loose", "day": "d", "method": method, "limit_s": 60.0,
        "seconds": 10.0, "peak_mb": 100.0, "first_s": None, "note": "", "events": [], "machine": "m", "load": 0.1,
        "versions": {"python": "3"}, "commit": "c", "date": "2026-01-01 00:00",
        "bounds": {"left out": out, "trips": trips, "cost": cents} if method == "haulday" else {},
        "score": score | {"violations": 0},
    }  # fmt: skip
    return made | more


EVENTS = [
    (0.2, "trips of single items", (), None),
    (0.5, "candidate trips", (2.0, 9, 3_000), None),
    (2.0, "left out", (0.0, 7, 1_500), 0),
    (4.0, "trips", (0.0, 6, 1_300), 5),
    (6.0, "trips", (0.0, 6, 1_300), 6),
    (9.0, "cost", (0.0, 6, 1_000), 900),
]


def test_state_at_a_second() -> None:
    run = record(events=EVENTS)
    assert at(run, 0.3).values == ()
    assert at(run, 1.0).values == (2.0, 9, 3_000)
    assert at(run, 1.0).gap("left out") == 2.0
    assert at(run, 1.0).gap("trips") == math.inf
    assert at(run, 5.0).gap("trips") == 1
    assert at(run, 5.0).proved(["left out"])
    assert not at(run, 5.0).proved(["left out", "trips"])
    assert at(run, 9.5).gap("cost") == 100
    assert at(run, 10.0).gap("cost") == 0


def test_seconds_to_the_proof() -> None:
    run = record(events=EVENTS)
    assert proof_s(run, ["left out"]) == 2.0
    assert proof_s(run, ["left out", "trips"]) == 6.0
    assert proof_s(run, ["cost"]) == 10.0
    assert proof_s(record(bounds={"left out": 0, "trips": 5}), ["trips"]) == math.inf


def test_which_run_speaks_for_a_second() -> None:
    short = record(goals=(0, 8, 1_000), bounds={"left out": 0}, seconds=60.1)
    long = record(limit_s=300.0, seconds=300.2, bounds={}, events=EVENTS)
    state = played_at([long, short], 60)
    assert state is not None
    assert state.values == (0, 8, 1_000)
    later = played_at([long, short], 120)
    assert later is not None
    assert later.values == (0.0, 6, 1_000)
    assert played_at([short], 120) is None
    ended = played_at([record()], 300)
    assert ended is not None
    assert ended.proved(["trips"])


def test_plans_below_a_bound_are_contradictions() -> None:
    own = record(goals=(0, 6, 1_000))
    assert contradictions([own, record("first fit", (0, 7, 900)), record("first fit", (1, 5, 900))]) == []
    (text,) = contradictions([own, record("first fit", (0, 5, 2_000))])
    assert text == "12/3 seed 0, haulday at 60 s says that trips is 6 at least; first fit at 60 s has 5"
    assert len(contradictions([own, record("first fit", (0, 6, 999))])) == 1
    assert contradictions([own, record("first fit", (0, 5, 2_000), seed=1)]) == []


def test_values_stated_without_a_plan_count_too() -> None:
    stated = {"left_out": 0.0, "trips": 5, "cents": 800}
    exact = record("listed trips", score=None, stated=stated, bounds={"left out": 0, "trips": 5, "cost": 800})
    assert [text.split("; ")[1] for text in contradictions([record(), exact])] == [
        "listed trips at 60 s has 5",
        "listed trips at 60 s has 800",
    ]
    dearer = record(
        "listed trips", score=None, stated=stated | {"trips": 6, "cents": 1_200}, bounds={"cost": 1_200}
    )
    assert len(contradictions([record(), dearer])) == 1


def test_a_refused_plan_is_told() -> None:
    broken = record("first fit")
    broken["score"]["violations"] = 2
    assert contradictions([broken]) == [
        "12/3 seed 0, first fit at 60 s: the verifier refuses the plan (2 violations)"
    ]


def test_goal_by_goal() -> None:
    own = [record(seed=seed) for seed in range(5)]
    other = [(1, 5, 900), (0, 7, 900), (0, 6, 1_000), (0, 6, 1_001), (0, 6, 999)]
    theirs = [record("peer", goals, seed=seed) for seed, goals in enumerate(other)]
    tally = compare([*own, *theirs], "12/3", 60.0, "peer")
    assert [tally.on(place) for place in range(3)] == ["1 / 4 / 0", "1 / 3 / 0", "1 / 1 / 1"]
    assert tally.overall == "3 / 1 / 1"


def test_against_all_peers_at_once() -> None:
    goals = {"one": [(0, 7, 0), (0, 7, 0), (0, 6, 0), (0, 5, 0)], "two": [(1, 5, 0), (0, 6, 0)]}
    own = [record(seed=seed) for seed in range(4)]
    theirs = [record(name, one, seed=seed) for name, many in goals.items() for seed, one in enumerate(many)]
    assert against_all([*own, *theirs], "12/3", 60.0) == (4, 3, 1)


def test_bounds_stated_on_the_way_count_too() -> None:
    """By then the plan had one left out; for plans no worse than that the bound on trips was 7."""
    early = record(goals=(0, 8, 1_000), bounds={}, events=[(1.0, "trips", (1.0, 9, 3_000), 7)])
    assert contradictions([early, record("first fit", (2, 5, 900))]) == []
    assert len(contradictions([early, record("first fit", (1, 6, 900))])) == 1


def test_a_peer_that_is_late_does_not_count() -> None:
    assert compare([record(), record("peer", seconds=90.0)], "12/3", 60.0, "peer").days == 0


def test_targets_are_judged_by_the_worst_day() -> None:
    good = record(events=EVENTS)
    bad = record(goals=(3, 8, 1_000), bounds={"left out": 1, "trips": 6, "cost": 900}, seconds=60.0, seed=1)
    days = [DayRecord((good,), record(first_s=0.2)), DayRecord((bad,), record(first_s=0.4))]
    assert first_plan(0.3).judge(days) == ("median 0.30 s, longest 0.40 s", False)
    assert proved(("trips",), 60, 0.5).judge(days) == ("1 of 2", True)
    assert proved(("trips",), 60, 0.9).judge(days) == ("1 of 2", False)
    assert gap("left out", 60, 2).judge(days) == ("largest gap 2", True)
    assert gap("trips", 60, 1).judge(days) == ("largest gap 2", False)
    assert cost_gap(60, 9).judge(days) == ("all proved on 1 of 2, largest gap 10 %", False)
    assert cost_gap(60, 9, or_proved=0.5).judge(days) == ("all proved on 1 of 2, largest gap 10 %", True)
    assert left_out_under(60, 3).judge(days) == ("most left out 3", False)
    assert gap("trips", 300, 1).judge([DayRecord((bad,), None)]) is None


def test_a_bound_of_nothing_on_trips_or_cost_is_no_bound() -> None:
    known = record(goals=(0, 8, 1_000), bounds={"left out": 0, "trips": 6, "cost": 900}, seconds=60.0)
    unknown = record(goals=(0, 9, 1_000), bounds={"left out": 0, "trips": 0, "cost": 0}, seconds=60.0, seed=1)
    days = [DayRecord((one,), None) for one in (known, unknown)]
    assert gap("left out", 60, 0).judge(days) == ("largest gap 0", True)
    assert gap("trips", 60, 20).judge(days) == ("largest gap 2, 1 of 2 without a bound", False)
    assert gap("trips", 60, 20).judge(days[1:]) == ("1 of 1 without a bound", False)
    assert cost_gap(60, 99).judge(days) == (
        "all proved on 0 of 2, largest gap 10 %, 1 of 2 without a bound",
        False,
    )
    nothing = record(goals=(0, 0, 0), bounds={"left out": 0, "trips": 0, "cost": 0}, seconds=60.0)
    assert proved(("trips", "cost"), 60, 1.0).judge([DayRecord((nothing,), None)]) == ("1 of 1", True)


def test_the_law_is_found_in_exact_figures() -> None:
    samples = [
        Sample(moves, rigs, tight, 2.0 * moves**1.5 * rigs**0.5 * (3.0 if tight else 1.0))
        for moves, rigs in ((12, 3), (24, 5), (24, 8), (48, 8))
        for tight in (False, True)
    ]
    law = fit_law(samples)
    assert law is not None
    assert (law.scale, law.moves, law.rigs, law.tight) == pytest.approx((2.0, 1.5, 0.5, 3.0))
    assert law.spread == pytest.approx(1.0)
    assert max(law.moves_error, law.rigs_error, law.tight_error) < 1e-6


def test_the_law_of_moves_and_its_standard_error() -> None:
    """By hand: logarithms 0, 1, 2 of moves and 0, 1.3, 2 of values give slope 1, residuals -1, 2, -1 tenths."""
    moves = [1.0, math.e, math.e**2]
    logs = [0.0, 1.3, 2.0]
    law = fit_size_law([Sample(m, 1, False, math.exp(y)) for m, y in zip(moves, logs, strict=True)])  # type: ignore[arg-type]
    assert law is not None
    assert (law.scale, law.power) == pytest.approx((math.exp(0.1), 1.0))
    assert math.log(law.spread) == pytest.approx(math.sqrt(0.06))
    assert law.error == pytest.approx(math.sqrt(0.06 / 2))


def test_sizes_that_do_not_tell_moves_and_rigs_apart_give_no_law() -> None:
    assert fit_law([Sample(12 * n, 3 * n, bool(n % 2), 1.0) for n in range(1, 9)]) is None


def test_records_outlive_a_cut_line(tmp_path: Path) -> None:
    path = tmp_path / "record.jsonl"
    append(path, record())
    append(path, record(seed=1))
    path.write_text(path.read_text(encoding="utf-8") + '{"size":"12', encoding="utf-8")
    assert [one["seed"] for one in read(path)] == [0, 1]
    assert json.loads(path.read_text(encoding="utf-8").splitlines()[0]) == json.loads(json.dumps(record()))


def test_the_last_line_counts_and_days_no_longer_drawn_do_not() -> None:
    lines = [record(seconds=1.0), record(seconds=2.0), record(seed=1, day="old")]
    assert [one["seconds"] for one in latest(lines, {("12/3", 0): "d", ("12/3", 1): "new"})] == [2.0]


def test_methods_without_a_limit_are_played_once_a_day() -> None:
    made = list(runs([Size(48, 8)], [0], ["first fit", "haulday", "monolith"], [60.0, 300.0]))
    assert [(run.method, run.limit_s) for run in made] == [
        ("first fit", 0.0),
        ("haulday", 60.0),
        ("haulday", 300.0),
    ]


def test_several_machines_are_told_with_the_sizes_played_on_each() -> None:
    small, large = record(), record(size="24/5", machine="n")
    assert machines([small, record(seed=1)]) == ["m"]
    assert machines([small, large, record(size="48/8")]) == ["m (12/3, 48/8)", "n (24/5)"]


def test_the_page_is_whole() -> None:
    bare = {"left_out": 0, "trips": 5, "cents": 900, "loaded_tenths": 9, "empty_tenths": 3, "violations": 0}
    counted = {"legs": 8, "illegal_legs": 2, "trips": 5, "illegal_trips": 2}
    library = record("routing library", (0, 7, 1_100), bare=bare, illegal=counted, seconds=60.0)
    ended = {"failed": "ended", "score": None, "seconds": None, "bounds": {}}
    records = [
        record(events=EVENTS),
        record("first plan", (0, 9, 2_000), limit_s=0.0, first_s=0.2),
        library,
        {key: value for key, value in (record("monolith") | ended).items() if value is not None},
    ]
    text = page(records, [])
    assert list(illegal(records)) == [("12/3", "60", "routing library", 1, 8, 2, 5, 2, "40%")]
    rows = [tuple(row) for row in means(records)]
    assert ("12/3", "60", "routing library, bare", 1, "0.0", "5.0", "9", "1", "60.0", "100") in rows
    assert {row[-1] for row in targets(records)} == {"yes", "**no**"}
    assert "No plan of any method contradicts a stated bound; the verifier accepts all 3 plans." in text
    assert "| 12/3 | 60 | routing library | 1 | 0 / 1 / 0 | 1 / 0 / 0 | 0 / 0 / 0 | 1 / 0 / 0 |" in text
    assert "- FAILED: 12/3 seed 0, monolith, 60 s: ended" in text
    assert "- The product ended at most 0.0 s after its limit" in text
    assert "**Contradictions:**" in page(records, ["something"])


def test_the_chart_is_drawn() -> None:
    samples = [Sample(12, 3, False, 1.0), Sample(24, 5, True, 4.0), Sample(48, 8, False, 17.0)]
    drawn = chart({"12/3": [1.0, math.inf]}, {"first plan": samples, "nothing": []}, {"haulday": samples})
    assert drawn.startswith(b"<?xml")
