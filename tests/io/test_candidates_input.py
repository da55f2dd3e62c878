"""The sheets Candidates and Options: what a candidate is with each set of its options, and what is refused."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from dispatch.comparison.candidates import Build, Candidate
from dispatch.comparison.history import Variant
from tests.io.books import Book, only
from tests.io.test_history_input import history_of, problems_of, two_days

HEADS = [
    "Candidate",
    "Behind",
    "Use",
    "Price (USD)",
    "Life (years)",
    "Hitch",
    "GVWR (lb)",
    "Axles",
    "Axle rating (lb)",
    "Coupler to first axle (ft)",
    "Empty coupler (lb)",
    "Empty axles (lb)",
    "Coupler to deck (ft)",
    "Deck length (ft)",
    "Deck height (ft)",
]
L_40 = ["L-40", "R-1", None, 58_000, 12, "gooseneck", 24_000, 3, 8_000, 22, 1_600, 6_400, 7, 28, 3]
OPTION_HEADS = [
    "Candidate",
    "Option",
    "Adds weight (lb)",
    "Weight at (ft)",
    "Adds price (USD)",
    "Changes",
    "To",
    "Excludes",
]


def offered(*options: list[Any], candidates: list[list[Any]] | None = None) -> Book:
    """The history of two days with a candidate, and these rows of Options without their candidate."""
    book = two_days()
    book.sheets["Candidates"] = [list(HEADS), *([list(L_40)] if candidates is None else candidates)]
    book.sheets["Options"] = [OPTION_HEADS, *(["L-40", *row, *[None] * (7 - len(row))] for row in options)]
    return book


def candidate_of(book: Book, path: Path) -> Candidate:
    (found,) = history_of(book, path).candidates
    return found


def with_options(candidate: Candidate, *options: str) -> Build:
    (found,) = (build for build in candidate.builds if build.options == options)
    return found


def empties(build: Build) -> tuple[float, float]:
    trailer = build.trailer
    return pytest.approx((trailer.empty_coupler.nominal_lb, trailer.empty_axles.nominal_lb), abs=0.01)


def test_a_candidate_is_read_as_a_trailer_is(tmp_path: Path) -> None:
    found = candidate_of(offered(), tmp_path)
    assert (found.name, found.behind, found.replaces) == ("L-40", ("R-1",), False)
    assert (found.life_years, found.days_per_year, found.bare.price_usd) == (12, 250, 58_000)
    own = history_of(offered(), tmp_path).problem("2026-03-03", "today").rig("R-1").trailer
    assert found.bare.trailer.empty_axles == own.empty_axles
    assert (found.bare.trailer.deck_length_in, found.bare.payload_lb) == (336, 16_000)


def test_candidates_need_no_variants(tmp_path: Path) -> None:
    book = offered()
    del book.sheets["Variants"]
    book.set("Rigs", 3, "Variants", None)
    history = history_of(book, tmp_path)
    assert history.variants == (Variant("today"),)
    assert [rig.name for rig in history.problem("2026-03-04", "today").rigs] == ["R-1", "R-2"]
    assert len(history.candidates) == 1


def test_weight_without_a_place_is_shared_as_the_empty_trailer_stands(tmp_path: Path) -> None:
    found = candidate_of(offered(["ramps", 500]), tmp_path)
    assert empties(with_options(found, "ramps")) == (1_700, 6_800)  # 1,600 : 6,400 is 1 : 4
    assert found.adds_lb(with_options(found, "ramps")) == 500


def test_weight_at_a_place_is_shared_by_levers(tmp_path: Path) -> None:
    # Axles at 22, 26 and 30 ft (spacing 4 ft where nothing is said): the middle of the group is at 26 ft.
    found = candidate_of(offered(["winch", 520, 6.5]), tmp_path)
    assert empties(with_options(found, "winch")) == (1_600 + 390, 6_400 + 130)
    beyond = candidate_of(offered(["tail", 520, 32.5]), tmp_path)
    assert empties(with_options(beyond, "tail")) == (1_600 - 130, 6_400 + 650)


def test_an_option_may_say_itself_where_its_weight_goes(tmp_path: Path) -> None:
    found = candidate_of(offered(["deck", None, None, 900, "Empty axles", "6,900 lb"]), tmp_path)
    assert empties(with_options(found, "deck")) == (1_600, 6_900)
    assert with_options(found, "deck").price_usd == Decimal(58_900)
    assert candidate_of(offered(["deck", 500, None, 900, "Empty axles", "6,900 lb"]), tmp_path) == found
    found_at = only(problems_of(offered(["deck", 600, None, 900, "Empty axles", "6,900 lb"]), tmp_path).problems)
    assert "the 500 lb by which the option changes Empty axles" in found_at.expected


def test_several_rows_are_one_option_and_units_are_those_of_candidates(tmp_path: Path) -> None:
    book = offered(
        ["fourth axle", 800, 34, 6_000, "Axles", 4], ["Fourth axle", None, None, None, "GVWR", 15], ["long", 300]
    )
    book.sheets["Candidates"][0][6] = "GVWR (t)"
    book.sheets["Candidates"][1][6] = 10.886
    found = candidate_of(book, tmp_path)
    assert [build.options for build in found.builds] == [
        (),
        ("fourth axle",),
        ("long",),
        ("fourth axle", "long"),
    ]
    four = with_options(found, "fourth axle")
    assert (four.trailer.axles, four.trailer.shares) == (4, (0.25,) * 4)
    assert four.trailer.gvwr_lb == pytest.approx(33_069.34, abs=0.01)


def test_what_excludes_each_other_is_in_no_set_together(tmp_path: Path) -> None:
    rows = (
        ["long", 300, None, 0, "Deck length", "30 ft", "longer"],
        ["longer", 500, None, 0, "Deck length", "33 ft"],
        ["winch", 200],
    )
    found = candidate_of(offered(*rows), tmp_path)
    sets = [set(build.options) for build in found.builds]
    assert len(sets) == 6
    assert not any({"long", "longer"} <= one for one in sets)
    rows[0][6] = None
    clash = only(problems_of(offered(*rows), tmp_path).problems)
    assert str(clash.where) == "history.xlsx, Options, row 3, column F Changes"
    assert clash.expected == "a column that long does not change as well, or Excludes long"


BAD = {
    "a column that does not exist": (
        ["w", 1, None, None, "Winch pul", 9_000],
        "F Changes",
        "Winch pul",
        "Winch pull",
    ),
    "a value that the column refuses": (["w", 1, None, None, "Winch pull", "-5 lb"], "G To", "-5 lb", "0"),
    "a value in another measure": (["w", 1, None, None, "Deck length", "9 lb"], "G To", "9 lb", ""),
    "no value": (["w", 1, None, None, "Deck length"], "G To", "", ""),
    "a value without a column": (["w", 1, None, None, None, "9 lb"], "F Changes", "", ""),
    "an unknown option": (["w", 1, None, None, None, None, "v"], "H Excludes", "v", ""),
    "the option itself": (["w", 1, None, None, None, None, "w"], "H Excludes", "w", ""),
    "shares that do not fit": (["w", 1, None, None, "Axle shares", "1:1"], "G To", "1:1", "1:1:1"),
    "an empty weight over the rating": (["w", 17_000], "C Adds weight (lb)", "17000", ""),
    "less than nothing": (["w", -9_000, 0], "C Adds weight (lb)", "-9000", ""),
    "no price left": (["w", 1, None, -58_000], "E Adds price (USD)", "-58000", ""),
    "half a neck deck": (["w", 1, None, None, "Neck deck length", "8 ft"], "G To", "8 ft", ""),
    "a hitch that no rig has": (["w", 1, None, None, "Hitch", "pintle"], "G To", "pintle", ""),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_option_is_told_with_its_cell(name: str, tmp_path: Path) -> None:
    row, column, value, mend = BAD[name]
    found = problems_of(offered(row), tmp_path).problems
    assert {str(one.where) for one in found} == {f"history.xlsx, Options, row 2, column {column}"}
    assert {(one.value, one.mend) for one in found} == {(value, mend)}


def test_options_that_only_together_make_no_trailer_are_told_once(tmp_path: Path) -> None:
    rows = ["a", 9_000], ["b", 8_500], ["c", 10]
    found = only(problems_of(offered(*rows), tmp_path).problems)
    assert str(found.where) == "history.xlsx, Options, row 3, column C Adds weight (lb)"
    assert "(L-40 with a and b: GVWR)" in found.expected
    assert found.mend == "a in Excludes"


def test_everything_that_is_wrong_is_told_in_one_run(tmp_path: Path) -> None:
    other = ["G-24", "R-2", *L_40[2:]]
    book = offered(["w", "x"], ["v", 20_000], candidates=[list(L_40), other])
    book.sheets["Options"].append(["L-41", "u", 1, None, None, None, None, None])
    found = [
        (str(one.where).removeprefix("history.xlsx, "), one.value) for one in problems_of(book, tmp_path).problems
    ]
    assert found == [
        ("Candidates, row 3, column A Candidate", "G-24"),  # a trailer has that name
        ("Candidates, row 3, column B Behind", "R-2"),  # only in the second fleet
        ("Options, row 2, column C Adds weight (lb)", "x"),
        ("Options, row 3, column C Adds weight (lb)", "20000"),  # heavier than its own GVWR
        ("Options, row 4, column A Candidate", "L-41"),
    ]


def test_a_figure_stands_in_one_row_of_an_option(tmp_path: Path) -> None:
    found = only(problems_of(offered(["w", 5], ["w", 5]), tmp_path).problems)
    assert (
        found.expected
        == "one figure for w; history.xlsx, Options, row 2, column C Adds weight (lb) has it already"
    )


def test_more_options_than_can_be_looked_at_are_refused(tmp_path: Path) -> None:
    found = only(problems_of(offered(*([f"o{number}", 1] for number in range(13))), tmp_path).problems)
    assert "at most 12 options of L-40" in found.expected


def test_options_without_candidates_are_refused(tmp_path: Path) -> None:
    book = offered(["w", 1])
    del book.sheets["Candidates"]
    assert "the name of a row of Candidates" in only(problems_of(book, tmp_path).problems).expected


def test_a_rig_that_ends_elsewhere_cannot_take_turns(tmp_path: Path) -> None:
    book = offered()
    book.set("Rigs", 2, "End", "Quarry")
    found = problems_of(book, tmp_path).problems
    assert {str(one.where) for one in found} == {"history.xlsx, Candidates, row 2, column B Behind"}
    book.sheets["Candidates"][1][2] = "replaces"
    assert candidate_of(book, tmp_path).replaces
