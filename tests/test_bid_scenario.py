"""The bid of ``scenarios/``: two phases, a permit load with an escort, a kind not chosen, a trip cheaper outside.

The figures that the scenario's README and the guide quote are held here too.
"""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
from dispatch.io.exit_codes import ExitCode
from dispatch.io.price_json import price_json, schema_json
from dispatch.io.read_workbook import InputResult, Wanted, read_inputs
from dispatch.io.run_inputs import used
from dispatch.io.run_price import BidNotChosen, PriceRequest, chosen, run_price
from dispatch.io.write_price import price_workbook
from openpyxl import load_workbook

from dispatch.mobilisation.bid_price import PricedBid, price_whole_bid, put_together
from dispatch.mobilisation.bid_range import bid_range
from dispatch.mobilisation.bid_report import BidReport, bid_report
from dispatch.mobilisation.job_price import BidTrip, Haulier
from dispatch.mobilisation.phase_plan import Effort
from dispatch.money.amounts import usd_text

ROOT = Path(__file__).parent.parent
INPUTS = [ROOT / "scenarios" / "morning", ROOT / "scenarios" / "bid"]
SHEETS = [
    "Price",
    "Lines",
    "Trips",
    "Load plans",
    "Assumptions",
    "Own against outside",
    "Alternatives",
    "Range",
    "Pay schedule",
]


@pytest.fixture(scope="module")
def read() -> InputResult:
    return read_inputs(INPUTS, wanted=Wanted(need_moves=False, bids=True))


@pytest.fixture(scope="module")
def priced(read: InputResult) -> PricedBid:
    assert read.problem is not None, "\n".join(map(str, read.problems))
    assert read.terms is not None
    return price_whole_bid(read.problem, read.bids[0], read.terms, Effort(most_days=read.terms.rules.most_days))


@pytest.fixture(scope="module")
def report(priced: PricedBid) -> BidReport:
    return bid_report(priced, (), bid_range(priced, 0))


def test_every_phase_has_the_fewest_trips_proved(priced: PricedBid) -> None:
    assert [(job.job.phase, job.job.direction.value, len(job.trips)) for job in priced.jobs] == [
        ("earthworks", "in", 4),
        ("earthworks", "out", 4),
        ("paving", "in", 3),
        ("paving", "out", 3),
    ]
    assert priced.proved
    assert priced.price.whole


def test_the_dozer_has_its_permit_and_its_escort_both_ways(priced: PricedBid) -> None:
    trips = [trip for trip in priced.trips if "D-8" in trip.machines]
    assert len(trips) == 2
    for trip in trips:
        assert trip.machines == ("D-8",)
        assert trip.facts is not None
        assert trip.own is not None
        assert "Width" in trip.facts.over_law
        # 30 a trip, 4 for each of 4 started tons of 86,500 lb over 80,000, 15 for a wide load; the car's minimum.
        assert (trip.own.permit_cents, trip.own.escort_cents) == (6_100, 26_000)


def test_the_outside_haulier_wins_once(priced: PricedBid) -> None:
    (trip,) = [trip for trip in priced.trips if trip.haulier is Haulier.OUTSIDE]
    assert (trip.machines, trip.direction.value, trip.cents) == (("TH-1",), "in", 41_000)
    assert trip.own is not None
    assert trip.own.cents > trip.cents


def test_the_kind_is_hauled_and_told(report: BidReport) -> None:
    (line,) = [line for line in report.lines if line.item.name == "single-drum roller, 84 in"]
    assert line.amounts.in_cents > 0
    (told,) = [one for one in report.assumptions if one.what == "single-drum roller, 84 in"]
    assert told.source == "estimate"
    assert told.remark.startswith("NO MACHINE CHOSEN")
    roads = [one for one in report.assumptions if one.about == "road"]
    assert sum("ESTIMATED" in one.source for one in roads) == 1


def test_rates_of_all_kinds_are_assumptions_with_their_source(report: BidReport) -> None:
    (offer,) = [one for one in report.assumptions if one.about == "outside haul"]
    assert (offer.what, offer.value) == (
        "up to 26,000 lb, up to 60.0 mi",
        "270.00 USD a trip + 4.00 USD/mi, at least 410.00 USD",
    )
    assert (offer.source, str(offer.dated)) == ("invented offer", "2026-04-20")
    (car,) = [one for one in report.assumptions if one.about == "escort"]
    assert car.value == "70.00 USD/h + 1.85 USD/mi + 260.00 USD at least"
    assert car.remark == "sheet Escorts, row 2; over 10 ft 6 in wide"
    (mile,) = [one for one in report.assumptions if one.what == "Lowbed, a mile"]
    assert mile.value == "3.40 USD/mi"
    assert mile.remark == "not dated; a row Mileage cost in Rates has a date"


def test_the_price_is_the_one_of_the_story(report: BidReport) -> None:
    assert usd_text(report.priced.price.price_cents) == "8,110.00"
    assert report.share is not None
    assert str(report.share.share.percent) == "6.24"
    assert "over the 5 to 6 %" in report.share.share.warning
    assert [one.cents for one in report.schedule.payments] == [405_500, 405_500, 0]


def test_the_workbook_has_its_sheets_and_the_lines_add_up(read: InputResult, report: BidReport) -> None:
    book = load_workbook(io.BytesIO(price_workbook(report, used(read))))
    assert book.sheetnames == SHEETS
    lines = list(book["Lines"].iter_rows(values_only=True))
    head, body, together = lines[0], lines[1:-1], lines[-1]
    assert head[-1] == "Total (USD)"
    for column in range(2, len(head)):
        cents = [round(float(row[column]) * 100) for row in body]
        assert sum(cents) == round(float(together[column]) * 100)
    for row in (*body, together):
        assert sum(round(float(cell) * 100) for cell in row[2:-1]) == round(float(row[-1]) * 100)
    shown = {row[0]: row[1] for row in book["Price"].iter_rows(min_row=3, values_only=True)}
    assert shown["Lump sum"] == together[-1] == 8_110
    assert len(book["Load plans"]._images) == 13  # every trip of the own rigs


def test_the_document_says_the_same_and_repeats(read: InputResult, report: BidReport) -> None:
    made = price_json(report, used(read))
    assert made == price_json(report, used(read))
    document = json.loads(made)
    assert document["price_usd"] == "8110.00"
    assert document["lines"][0]["amounts"]["total_usd"] == usd_text(report.lines[0].amounts.total_cents).replace(
        ",", ""
    )
    assert [trip["hauled_by"] for trip in document["trips"]].count("outside") == 1


def test_what_has_no_price_is_nowhere_shown_as_nought(read: InputResult, priced: PricedBid) -> None:
    """The dozer's trips without a price: its line, its unit price and the sums say so."""
    jobs = [
        replace(job, trips=tuple(_without_price(trip) if "D-8" in trip.machines else trip for trip in job.trips))
        for job in priced.jobs
    ]
    bid = put_together(priced.fleet, priced.bid, priced.terms, jobs)
    report = bid_report(bid, (), bid_range(bid, 0))
    book = load_workbook(io.BytesIO(price_workbook(report, used(read))))
    assert book["Lines"]["A2"].value == "D-8: NOT PRICED in, out"
    shown = {row[0]: row[1:3] for row in book["Price"].iter_rows(min_row=8, values_only=True)}
    assert shown["D-8"] == ("no price", "phase earthworks; not priced: D-8 in, D-8 out; the rest comes to 0.00")
    assert str(shown["earthworks"][1]).endswith("; WITHOUT D-8 in, D-8 out")
    assert shown["Together"][1] == "what is priced: no lump sum"
    document = json.loads(price_json(report, used(read)))
    assert (document["units"][0]["unit_usd"], document["lines"][0]["not_priced"]) == (None, ["in", "out"])
    assert (document["units"][1]["unit_usd"] is None, document["lines"][1]["not_priced"]) == (False, [])


def _without_price(trip: BidTrip) -> BidTrip:
    return replace(trip, haulier=Haulier.NOBODY, reason="nobody hauls it")


def test_the_schema_is_the_one_of_the_docs() -> None:
    assert schema_json() == (ROOT / "docs" / "price.schema.json").read_bytes()


def test_a_bid_is_chosen_by_name(read: InputResult) -> None:
    (bid,) = read.bids
    assert chosen([bid], "") is bid
    assert chosen([bid, bid], "b-27") is bid
    with pytest.raises(BidNotChosen, match="holds the bids B-27, B-27: name one with --bid"):
        chosen([bid, bid], "")
    with pytest.raises(BidNotChosen, match="no bid X, but B-27"):
        chosen([bid], "X")


@pytest.mark.slow
def test_the_command_from_end_to_end(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    output, document = tmp_path / "price.xlsx", tmp_path / "price.json"
    request = PriceRequest(tuple(INPUTS), output, document, "", "", None, 0, 2, force=False, quiet=False)
    assert run_price(request) is ExitCode.DONE
    out = capsys.readouterr().out
    assert "Lump sum 8,110.00 USD, in and out." in out
    others = {one["name"]: one for one in json.loads(document.read_text(encoding="utf-8"))["alternatives"]}
    assert others["Phases earthworks and paving as one"]["trips"] == 12
    assert others["Without rig Lowbed"]["price_usd"] is None
    assert "D-8" in others["Without rig Lowbed"]["remark"]
    assert others["Own rigs only"]["price_usd"] == "8150.00"
    assert others["One trip more"]["trips"] == 15
    assert run_price(request) is ExitCode.USAGE  # exists already


def test_a_bid_with_problems_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    output = tmp_path / "price.xlsx"
    request = PriceRequest((INPUTS[0],), output, None, "", "", None, 0, 1, force=False, quiet=False)
    assert run_price(request) is ExitCode.INPUT_PROBLEMS
    assert "a row Overhead (%)" in capsys.readouterr().err
    assert not output.exists()
