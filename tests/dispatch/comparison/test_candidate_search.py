"""The search for the right trailer on tiny histories, against every set planned by hand and plain arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import combinations

import pytest

from dispatch.comparison import candidate_search, candidate_trials
from dispatch.comparison.candidate_answer import search_words, which_trailer
from dispatch.comparison.candidate_search import Searched
from dispatch.comparison.candidates import Candidate, fleet_with
from dispatch.comparison.compare import Comparison, compare
from dispatch.comparison.history import Purchase
from dispatch.comparison.jobs import Effort, Job, run_here
from dispatch.plan import Plan
from dispatch.problem import Problem
from dispatch.solve import solve
from tests import factories as make
from tests.dispatch.comparison.offers import candidate, history
from tests.dispatch.comparison.small_histories import big, two_fleets

R1 = make.rig("R1")
STRONG = (700.0, 6_000, {"gvwr_lb": 30_000.0, "axle_rating_lb": 10_000.0})
WINCH = (400.0, 3_000, {"winch_pull_lb": 20_000.0})
TAIL = (2_500.0, 500, {})
DAYS = {
    "heavy": make.problem([make.move("1", make.item("heavy", 19_000, 200))], [R1]),
    "dead": make.problem([make.move("1", make.item("dead", 9_000), runs=False)], [R1]),
    "plain": make.problem([big("1")], [R1]),
}
OFFER = candidate({"strong": STRONG, "winch": WINCH, "tail": TAIL}, [("winch", "tail")])


def searched(*offers: Candidate, days: dict[str, Problem] | None = None) -> Comparison:
    return compare(history(days or DAYS, *offers), Effort(), run_here)


@pytest.fixture(scope="module")
def found() -> Comparison:
    return searched(OFFER)


def cents_by_hand(problem: Problem) -> Fraction:
    """What a day costs: the plan's own cost, and 650 USD for every move that it leaves out."""
    plan = solve(problem, time_limit_s=None)
    return Fraction(plan.level("cost").value) + 65_000 * len(plan.left_out)


def net_by_hand(offer: Candidate, chosen: Sequence[str]) -> float:
    """Net saving of a year in dollars: 200 such days, the price over ten years, no interest, nothing fixed."""
    adds = sum({"strong": 700, "winch": 400, "tail": 2_500}[name] for name in chosen)
    trailer = make.trailer("C", 1_600 + adds / 3, 6_400 + adds * 2 / 3)
    if "strong" in chosen:
        trailer = replace(trailer, gvwr_lb=30_000.0, axle_rating_lb=10_000.0)
    if "winch" in chosen:
        trailer = replace(trailer, winch_pull_lb=20_000.0)
    price = 40_000 + sum({"strong": 6_000, "winch": 3_000, "tail": 500}[name] for name in chosen)
    with_it = [replace(day, rigs=(R1, replace(R1, name="R1 with C", trailer=trailer))) for day in DAYS.values()]
    saved = sum(cents_by_hand(day) for day in DAYS.values()) - sum(cents_by_hand(day) for day in with_it)
    return float(saved / 3 * 200 / 100 - Fraction(price, 10))


def test_every_set_is_worth_what_exhaustive_search_says(found: Comparison) -> None:
    (ours,) = found.candidates
    assert (ours.sets, ours.not_tried, ours.spared) == (6, 0, ())
    by_hand = {
        chosen: net_by_hand(OFFER, chosen)
        for size in range(4)
        for chosen in combinations(("strong", "winch", "tail"), size)
        if not {"winch", "tail"} <= set(chosen)
    }
    nets = {trial.build.options: trial.year.net_cents / 100 for trial in ours.trials}
    assert nets == pytest.approx(by_hand, abs=0.02)
    assert ours.best.build.options == max(by_hand, key=lambda chosen: by_hand[chosen]) == ("strong", "winch")
    assert [trial.year.net_cents for trial in ours.trials] == sorted(
        (trial.year.net_cents for trial in ours.trials), reverse=True
    )


def test_what_it_makes_legal_is_named(found: Comparison) -> None:
    (ours,) = found.candidates
    new = {trial.build.options: {load.items[0] for load in trial.makes_legal} for trial in ours.trials}
    assert new[()] == set()
    assert new["strong",] == {"heavy"}
    assert new["winch",] == {"dead"}
    assert new["strong", "winch"] == {"heavy", "dead"}
    assert [load.rig for load in ours.best.makes_legal] == ["R1 with C", "R1 with C"]
    assert [day.day for day in ours.best.helps] == ["heavy", "dead"]
    words = which_trailer(found.candidates)
    assert words.startswith("The one candidate pays: C with strong, winch (49,000.00 USD): saves 2 outside hauls")
    assert "it makes legal what no rig of today's fleet may carry: heavy (1 day), dead (1 day)" in words


def test_an_option_that_eats_the_payload_does_not_pay(found: Comparison) -> None:
    trials = {trial.build.options: trial for trial in found.candidates[0].trials}
    assert trials["strong", "tail"].whole.outside_hauls == 0
    assert trials["strong",].whole.outside_hauls == 1
    assert trials["strong", "tail"].adds_lb == pytest.approx(3_200)
    assert not trials["strong", "tail"].year.pays


def test_nothing_that_is_legal_today_counts_as_new() -> None:
    (ours,) = searched(candidate(), days={"plain": DAYS["plain"]}).candidates
    assert (ours.best.makes_legal, ours.new_pairs) == ((), ())
    assert (ours.best.year.net_cents, ours.best.proof.most_cents) == (-400_000, -400_000)
    assert which_trailer([ours]).startswith("The one candidate does not pay: C (40,000.00 USD): saves no trips")


def test_a_pair_that_only_the_candidate_may_carry_is_named() -> None:
    moves = [big("1"), make.move("2", make.item("small", 3_000, 100))]
    long = candidate(trailer={"deck_length_in": 420.0, "coupler_to_first_axle_in": 290.0})
    (ours,) = searched(long, days={"d": make.problem(moves, [R1])}).candidates
    (pair,) = ours.new_pairs
    assert (pair.items, pair.moves, pair.rig) == (("machine 1", "small"), ("1", "2"), "R1 with C")
    assert ours.best.whole.trips.found == 1, "and the plan uses it"


def test_a_replaced_trailer_may_lose_what_it_carried() -> None:
    weak = candidate(replaces=True, trailer={"gvwr_lb": 12_000.0})
    (ours,) = searched(weak, days={"plain": DAYS["plain"]}).candidates
    assert [load.items for load in ours.best.loses] == [("machine 1",)]
    assert ours.best.whole.outside_hauls == -1


def test_a_candidate_is_worth_what_the_same_trailer_is_as_a_variant() -> None:
    strong = candidate({"strong": STRONG})
    days = {day: fleet_with(problem, strong, strong.builds[1]) for day, problem in DAYS.items()}
    bought = Purchase(Decimal(46_000), Decimal(10))
    fleets = two_fleets(days, ["R1 with C"], ownership_usd=None, purchase=bought)
    found = compare(replace(fleets, candidates=(strong,)), Effort(), run_here)
    (year,) = found.years
    trial = next(one for one in found.candidates[0].trials if one.build.options == ("strong",))
    assert replace(year, variant=trial.label) == trial.year
    assert replace(found.totals[0], variant=trial.label) == trial.whole


# -- what is not planned ---------------------------------------------------------------------------------------


def counted(done: list[str]) -> object:
    def run(jobs: Sequence[Job]) -> Sequence[Plan]:
        done.extend(job.label for job in jobs)
        return run_here(jobs)

    return run


def test_a_set_that_costs_more_than_could_be_saved_is_not_planned() -> None:
    done: list[str] = []
    offer = candidate({"gold": (0.0, 5_000_000, {})})
    plain = {"plain": DAYS["plain"]}
    result = compare(history(plain, offer), Effort(), counted(done))  # type: ignore[arg-type]
    (ours,) = result.candidates
    assert [build.options for build in ours.spared] == [("gold",)]
    assert ours.not_tried == 0
    assert not any("gold" in label for label in done)
    assert search_words(ours) == "1 of 2 sets of options tried, 1 proved no better by what they cost"


def test_a_day_on_which_it_cannot_be_used_is_not_planned_again() -> None:
    done: list[str] = []
    barred = make.problem([make.move("1", only_rigs=("R2",))], [R1, make.rig("R2")])
    days = {"barred": barred, "plain": DAYS["plain"]}
    result = compare(history(days, candidate()), Effort(), counted(done))  # type: ignore[arg-type]
    assert [label for label in done if label.endswith(", C")] == ["plain, C"]
    first = result.candidates[0].best.days[0]
    assert (first.day, first.cents, first.trips.least) == ("barred", 0, 0)


def test_a_trailer_that_is_too_weak_for_everything_is_idle_and_solving_says_the_same() -> None:
    day, weak = DAYS["plain"], candidate(trailer={"gvwr_lb": 12_000.0})
    with_it = fleet_with(day, weak, weak.bare)
    done: list[str] = []
    result = compare(history({"plain": day}, weak), Effort(), counted(done))  # type: ignore[arg-type]
    assert done == ["plain, today"]
    assert result.candidates[0].best.year.saving_cents == 0
    levels = [[one.value for one in solve(problem, time_limit_s=None).levels] for problem in (day, with_it)]
    assert levels[0] == levels[1]


def test_many_sets_are_searched_step_by_step_and_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (candidate_search, candidate_trials):
        monkeypatch.setattr(module, "EXACT_SETS", 3)
    free = candidate({"strong": STRONG, "winch": WINCH, "tail": TAIL, "lamp": (10.0, 100, {})})
    (ours,) = searched(free, days={"heavy": DAYS["heavy"], "dead": DAYS["dead"]}).candidates
    assert ours.best.build.options == ("strong", "winch")
    tried = {trial.build.options for trial in ours.trials}
    assert {build.options for build in free.builds} - tried == {
        ("tail", "lamp"),
        ("strong", "tail", "lamp"),
        ("winch", "tail", "lamp"),
        ("strong", "winch", "tail", "lamp"),
    }
    assert (ours.not_tried, ours.spared) == (4, ())
    assert search_words(ours).startswith("12 of 16 sets of options tried; the others were not")


def test_sets_that_were_not_tried_are_told() -> None:
    (ours,) = searched(OFFER, days={"plain": DAYS["plain"]}).candidates
    cut = Searched(ours.candidate, ours.trials[:2], (), ())
    assert search_words(cut) == "2 of 6 sets of options tried; the others were not: a better one may be among them"
    assert "(not all sets of options were tried)" in which_trailer([cut])


# -- ties --------------------------------------------------------------------------------------------------------


def test_ties_go_to_the_cheaper_then_to_fewer_options_then_to_the_earlier_row() -> None:
    free = {"flag": (0.0, 0, {}), "lamp": (0.0, 0, {})}
    twins = [candidate(free, name=name) for name in ("Y", "X")]
    ours = searched(*twins, days={"plain": DAYS["plain"]}).candidates
    assert [one.candidate.name for one in ours] == ["Y", "X"]
    assert [trial.build.options for trial in ours[0].trials] == [(), ("flag",), ("lamp",), ("flag", "lamp")]
    assert len({trial.year.net_cents for one in ours for trial in one.trials}) == 1
