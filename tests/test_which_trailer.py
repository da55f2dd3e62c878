"""The trailers on offer of ``scenarios/which-trailer``: the input reads clean, and the answer is the known one.

The figures that its README and the planner's guide quote are held here.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from dispatch.io.read_workbook import Wanted, read_inputs

from dispatch.comparison.candidate_answer import which_trailer
from dispatch.comparison.candidate_trials import Trial
from dispatch.comparison.compare import compare
from dispatch.comparison.history import History
from dispatch.comparison.jobs import Effort, run_here
from dispatch.money.amounts import usd_text

SCENARIO = Path(__file__).parent.parent / "scenarios" / "which-trailer"
GUIDE = SCENARIO.parents[1] / "docs" / "planner.md"
DOZER, DEAD_ROLLER = ("D-9",), ("R-5",)


@cache
def history() -> History:
    found = read_inputs([SCENARIO], wanted=Wanted(all_days=True))
    assert [str(one) for one in (*found.problems, *found.warnings)] == []
    assert found.history is not None
    return found.history


def test_the_offers_are_what_the_story_tells() -> None:
    found = history()
    assert (len(found.days), [one.name for one in found.variants]) == (12, ["today"])
    assert [(one.name, one.replaces, len(one.builds)) for one in found.candidates] == [
        ("L-30", False, 6),
        ("G-26", False, 2),
        ("B-16", True, 1),
    ]
    both = next(build for build in found.candidates[0].builds if build.options == ("winch", "long deck"))
    heaviest = both.trailer.empty_coupler.high_lb + both.trailer.empty_axles.high_lb
    dozer = next(item for item in found.problem(found.days[0], "today").items if item.name == "D-9")
    assert both.empty_lb == 10_550
    assert heaviest + dozer.weight.high_lb > both.trailer.gvwr_lb, "so the two options cost the dozer"


@pytest.mark.slow
def test_one_option_pays_best_and_two_do_not() -> None:
    found = compare(history(), Effort(), run_here)
    assert [one.candidate.name for one in found.candidates] == ["L-30", "G-26", "B-16"]
    assert all((one.not_tried, one.spared) == (0, ()) for one in found.candidates)
    trials = {
        (one.candidate.name, *trial.build.options): trial for one in found.candidates for trial in one.trials
    }
    nets = {name: trial.year.net_cents for name, trial in trials.items()}
    assert nets == {
        ("L-30", "long deck"): 2_242_539,
        ("L-30", "winch"): 1_728_003,
        ("L-30",): 876_552,
        ("L-30", "winch", "long deck"): 161_433,
        ("L-30", "winch", "hydraulic tail"): 111_551,
        ("L-30", "hydraulic tail"): -739_900,
        ("G-26", "winch"): 858_943,
        ("G-26",): -110_288,
        ("B-16",): -158_352,
    }
    guide = " ".join(GUIDE.read_text(encoding="utf-8").split())
    best, both = (usd_text(nets["L-30", *options]) for options in (["long deck"], ["winch", "long deck"]))
    assert (
        f"the longer deck, {best} USD a year more than it costs; with the winch as well it would be {both}"
        in guide
    )
    assert all(trial.proof.least_cents == trial.proof.most_cents for trial in trials.values())
    assert all((trial.proved, trial.cut) == (12, 0) for trial in trials.values())
    assert new_items(trials["L-30", "long deck"]) == [DOZER] * 4
    assert new_items(trials["L-30", "winch"]) == [DOZER, DEAD_ROLLER, DOZER, DOZER, DOZER, DEAD_ROLLER]
    assert new_items(trials["L-30", "winch", "long deck"]) == [DEAD_ROLLER] * 2
    assert {load.items for load in found.candidates[0].new_pairs} == {("EX-3", "SS-4")}
    words = which_trailer(found.candidates)
    assert words.startswith(
        "The best of 3 candidates is L-30 with long deck (49,800.00 USD): saves 4 outside hauls"
    )
    assert words.endswith("only it may carry together: EX-3 with SS-4 (2 days).")


def new_items(trial: Trial) -> list[tuple[str, ...]]:
    """The items of the moves that it makes legal, day by day."""
    return [load.items for load in trial.makes_legal]
