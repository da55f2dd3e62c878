"""The planner's guide quotes what the run of its example gives: the terminal, figures in the text, pictures."""

from __future__ import annotations

import csv
import re
import runpy
from pathlib import Path
from typing import Any

import pytest

from dispatch.comparison.compare import Comparison
from dispatch.comparison.glance import use_lines
from dispatch.money.amounts import usd_text
from tests.test_comparison_scenarios import SECOND, compared_history

DOCS = Path(__file__).parents[1] / "docs"
SECOND_FLEET = "second gooseneck"
GUIDE = (DOCS / "planner.md").read_text(encoding="utf-8")
SCRIPT: dict[str, Any] = runpy.run_path(str(DOCS / "planner_figures.py"))


def drawn(svg: str) -> list[str]:
    """The texts of a picture."""
    return re.findall(r"<!-- (.*?) -->", svg)


def prose(comparison: Comparison) -> list[str]:
    """Every figure that the guide names in its text, in the words round it."""
    (whole,), (year,) = comparison.totals, comparison.years
    sure, outside = year.confidence, next(one for one in year.tornado if one.figure == "outside price")
    used = next(one for one in use_lines(comparison) if one.trailer == "G-25")
    weights = next(one for one in comparison.limits if one.limits)
    (then,) = [one for one in weights.tried if [one.resources] == list(weights.limits)]
    trips = comparison.outcome(weights.day, SECOND_FLEET).trips.value
    changed = sum(not one.same_work for one in comparison.differences)
    proved = sum(one.left_out.proved and one.trips.proved for one in comparison.outcomes)
    return [
        f"All {proved} plans are proved",
        f"outside haul falls by {usd_text(whole.outside_cents)} USD",
        f"own cost rises by {usd_text(-whole.own_cents)} USD",
        f"drives {-whole.tenths / 10:,.1f} miles more",
        f"{usd_text(whole.cents)} USD, or {usd_text(year.saving_per_day_cents)} USD a day",
        f"On {sum(not one.limits for one in comparison.limits)} days the work itself is the limit",
        f"it would take {then.trips:g} trips and not {trips:g}",
        f"{float(year.days_per_year):g} such days save {usd_text(year.saving_cents)} USD a year",
        f"ownership is {usd_text(year.ownership_cents)}, net {usd_text(year.net_cents)} USD",
        f"from {year.break_even_days} such days or {year.break_even_trips} avoided outside hauls",
        f"the price is back in {float(year.payback_years or 0):.1f} years",
        f"a fifth cheaper, net is {usd_text(outside.low_cents)} USD",
        f"net lies between {usd_text(sure.low_cents)} and {usd_text(sure.high_cents)} USD, "
        f"and {sure.share_positive:.0%} of them pay".replace("%", " %"),
        f"out on {used.used_days} days, though it changes only {changed}",
    ]


@pytest.mark.slow
def test_the_guide_quotes_the_run() -> None:
    found = compared_history(SECOND)
    assert SCRIPT["rewritten"](GUIDE, found) == GUIDE, "python docs/planner_figures.py"
    text = " ".join(GUIDE.split())
    assert [words for words in prose(found) if words not in text] == []
    assert not any((one.low_cents > 0) != (one.high_cents > 0) for one in found.years[0].tornado), "none turns it"
    for name, picture in SCRIPT["pictures"](found).items():
        kept = (DOCS / "pictures" / name).read_text(encoding="utf-8")
        assert drawn(kept) == drawn(picture.decode()), "python docs/planner_figures.py"


def table(heading: str) -> list[list[str]]:
    """The rows of the guide's first table after these words, the heading first."""
    after = GUIDE[GUIDE.index(heading) :]
    rows = re.findall(r"^\|(.*)\|$", after[: after.index("\n\n", after.index("\n|"))], flags=re.M)
    return [[cell.strip() for cell in row.split("|")] for row in rows if not row.startswith("---")]


@pytest.mark.parametrize(
    ("heading", "scenario", "name"),
    [("## 1.", SECOND, "Moves"), ("## 2.", SECOND, "Variants"), ("## 8.", "which-trailer", "Options")],
)
def test_the_rows_that_the_guide_shows_stand_in_the_example(heading: str, scenario: str, name: str) -> None:
    with (DOCS.parent / "scenarios" / scenario / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        heads, *rows = csv.reader(file)
    shown_heads, *shown = table(heading)
    assert [head.partition(" (")[0] for head in shown_heads] == [head.partition(" (")[0] for head in heads]
    assert shown
    assert [row for row in shown if row not in rows] == []
