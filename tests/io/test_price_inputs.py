"""Reading a bid: what is missing, stale, unknown or contradictory, all in one run with its address."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from dispatch.io.read_workbook import InputResult, Wanted, read_inputs

from dispatch.items import WeightBasis
from dispatch.money.allocation import ShareRule
from dispatch.money.permits import Each
from dispatch.money.rate_table import Rate

SCENARIOS = Path(__file__).parents[2] / "scenarios"
MORNING, BID = SCENARIOS / "morning", SCENARIOS / "bid"
HEAD = (
    "Bid,Item,Kind,Quantity,From,To,Out to,Phase,In by,Out after,Standby days,Permit,Weight,Length,Width,Height\n"
)
ROW = "B,EX-7,,1,Home yard,Grain Terminal,,1,,,,,,,,\n"
RATES = "Rate,Value,Unit,Source,Date\nOverhead,12,%,books,2026-05-01\nProfit,8,%,books,2026-05-01\n"
SETTINGS = "Setting,Value\nDay,2026-05-12\n"


def read(folder: Path, wanted: Wanted | None = None, **sheets: str) -> InputResult:
    """The morning's fleet with these sheets (underscore for a blank), all problems and warnings."""
    given = {"Mobilisation": HEAD + ROW, "Rates": RATES} | sheets
    inputs = [MORNING]
    for name, text in given.items():
        path = folder / f"{name.replace('_', ' ')}.csv"
        path.write_text(text, encoding="utf-8")
        inputs.append(path)
    return read_inputs(inputs, wanted=wanted or Wanted(need_moves=False, bids=True))


def problems(folder: Path, **sheets: str) -> list[str]:
    return [str(one) for one in read(folder, **sheets).problems]


def warnings(folder: Path, **sheets: str) -> list[str]:
    return [str(one) for one in read(folder, **sheets).warnings]


def test_the_scenario_reads_without_a_problem_or_a_warning() -> None:
    found = read_inputs([MORNING, BID], wanted=Wanted(need_moves=False, bids=True))
    assert [str(one) for one in (*found.problems, *found.warnings)] == []
    assert found.terms is not None
    (bid,) = found.bids
    assert (bid.name, bid.phases, len(bid.lines)) == ("B-27", ("earthworks", "paving"), 8)
    kind = bid.lines[5]
    assert (kind.chosen, kind.item.weight.basis, kind.item.weight.nominal_lb) == (
        False,
        WeightBasis.ESTIMATE,
        24_500,
    )
    assert (bid.lines[0].in_by, bid.lines[0].out_after) == (date(2026, 6, 8), date(2026, 7, 31))
    terms = found.terms
    assert terms.rates.need(Rate.OVERHEAD) == Decimal("12.5")
    assert [fee.each for fee in terms.fees] == [Each.TRIP, Each.TON_OVER, Each.TRIP]
    assert (terms.escorts[0].over_width_in, terms.escorts[0].minimum_usd) == (126.0, Decimal(260))
    assert (terms.rules.price_step_cents, terms.rules.contract_usd) == (1_000, Decimal(130_000))
    assert terms.rules.share_rule is ShareRule.WEIGHT_MILES


def test_other_verbs_leave_a_bid_aside(tmp_path: Path) -> None:
    found = read(tmp_path, Wanted(), Rates="Rate,Value\nOverhead,12\n")
    assert (found.problems, found.bids, found.terms) == ((), (), None)


def test_missing_rates_are_named_with_their_unit(tmp_path: Path) -> None:
    found = problems(tmp_path, Rates="Rate,Value,Unit\nOverhead,12,%\n")
    assert found == ["Rates.csv, Rates: expected a row Profit (%): every bid needs it, if only to say 0"]


def test_without_the_sheets_every_gap_is_told(tmp_path: Path) -> None:
    found = read_inputs([MORNING], wanted=Wanted(need_moves=False, bids=True))
    told = " ".join(map(str, found.problems))
    assert "Mobilisation: expected at least one row in Mobilisation" in told
    assert "a row Overhead (%)" in told
    assert "a row Profit (%)" in told


def test_standby_days_need_a_rate(tmp_path: Path) -> None:
    row = ROW.replace(",1,,,,,", ",1,,,2,,")
    assert problems(tmp_path, Mobilisation=HEAD + row) == [
        "Rates.csv, Rates: expected a row Standby (USD/day): the bid has standby days"
    ]


def test_a_wage_needs_an_hourly_cost(tmp_path: Path) -> None:
    (found,) = problems(tmp_path, Rates=RATES + "Driver wage,30,USD/h,,2026-05-01\n")
    assert "a row Hourly cost (USD/h): there is a driver wage to add it to" in found


def test_a_rig_without_a_cost_is_no_free_rig(tmp_path: Path) -> None:
    rigs = (MORNING / "Rigs.csv").read_text(encoding="utf-8").replace(",96,2.35,", ",,2.35,")
    others = [path for path in MORNING.glob("*.csv") if path.name != "Rigs.csv"]
    (tmp_path / "Rigs.csv").write_text(rigs, encoding="utf-8")
    (tmp_path / "Rates.csv").write_text(RATES, encoding="utf-8")
    (tmp_path / "Mobilisation.csv").write_text(HEAD + ROW, encoding="utf-8")
    found = read_inputs([*others, tmp_path], wanted=Wanted(need_moves=False, bids=True))
    (problem,) = map(str, found.problems)
    assert "Rigs.csv, Rigs, row 2, column M Cost per hour (USD/h)" in problem
    assert "0 where it really costs nothing" in problem
    (tmp_path / "Rates.csv").write_text(RATES + "Hourly cost,95,,,2026-05-01\n", encoding="utf-8")
    assert read_inputs([*others, tmp_path], wanted=Wanted(need_moves=False, bids=True)).problems == ()


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("Overhead,x,%,,2026-05-01", "a number such as 12.5"),
        ("Overhead,-1,%,,2026-05-01", "not negative"),
        ("Overhead,12,USD,,2026-05-01", "a value of Overhead in %"),
        ("Overhed,12,%,,2026-05-01", "nearest: Overhead"),
        ("Overhead,12,%,,11/05/2026", "a date such as 2026-11-25"),
        ("Overhead,12 %,USD,,2026-05-01", ""),
    ],
)
def test_a_bad_rate_is_a_problem_at_its_cell(tmp_path: Path, row: str, expected: str) -> None:
    found = problems(tmp_path, Rates=f"Rate,Value,Unit,Source,Date\n{row}\nProfit,8,%,,2026-05-01\n")
    if not expected:
        assert found == []  # the cell's own unit wins
        return
    *missing, told = found
    assert missing == [] or "Overhed" in told  # a name that is none leaves its rate missing too
    assert "Rates.csv, Rates, row 2" in told
    assert expected in told


def test_rates_in_other_units(tmp_path: Path) -> None:
    more = (
        "Mileage cost,1.50,USD/km,,2026-05-01\nWaiting free,0.5 h,,,2026-05-01\nWaiting,$95,per hour,,2026-05-01\n"
    )
    found = read(tmp_path, Rates=RATES + more.replace("per hour", "$/hr"))
    assert found.terms is not None, found.problems
    assert found.terms.rates.need(Rate.MILEAGE) == Decimal("2.414016")
    assert found.terms.rates.need(Rate.WAITING_FREE) == 30
    assert found.terms.rates.need(Rate.WAITING) == 95


def test_stale_undated_and_future_rates_warn(tmp_path: Path) -> None:
    rows = "Overhead,12,%,,2025-05-01\nProfit,8,%,,\nContingency,3,%,,2026-07-01\n"
    found = warnings(tmp_path, Rates="Rate,Value,Unit,Source,Date\n" + rows)
    assert any("Overhead is 376 days old, over the 180 of Settings, Rates stale after" in one for one in found)
    assert any("Profit has no date" in one for one in found)
    assert any("is after the day of the price, 2026-05-12" in one for one in found)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("0.125", "is under 1 %, not 12.5 %: Overhead is taken as 0.125 %"),
        ("1250", "is over 100 %: Overhead is taken as 1250 %"),
        ("0", ""),
        ("1", ""),
        ("12.5 %", ""),
    ],
)
def test_a_percentage_that_looks_like_a_fraction_warns(tmp_path: Path, value: str, said: str) -> None:
    rows = f"Overhead,{value},,,2026-05-01\nProfit,8,%,,2026-05-01\n"
    found = [one for one in warnings(tmp_path, Rates="Rate,Value,Unit,Source,Date\n" + rows) if "Overhead" in one]
    assert [said in one for one in found] == [True] * bool(said)


def test_an_outside_offer_has_its_source_and_its_age(tmp_path: Path) -> None:
    offers = "Price per trip (USD),Source,Date\n350,offer 12,2025-05-01\n360,,\n"
    sheets = {"Rates": RATES, "Outside haul": offers}
    found = read(tmp_path, **sheets)
    assert found.terms is not None, found.problems
    assert [(row.source, row.dated) for row in found.terms.outside] == [("offer 12", date(2025, 5, 1)), ("", None)]
    told = [str(one) for one in found.warnings if "Outside haul" in str(one)]
    assert "the offer is 376 days old, over the 180" in told[0]
    assert "the offer has no date" in told[1]


def test_a_later_rate_wins_with_a_warning(tmp_path: Path) -> None:
    found = read(tmp_path, Rates=RATES + "Profit,9,%,,2026-05-01\n")
    assert found.terms is not None
    assert found.terms.rates.need(Rate.PROFIT) == 9
    assert any("replaces the value of" in str(one) for one in found.warnings)


@pytest.mark.parametrize(
    ("row", "expected"),
    [
        ("B,,,1,Home yard,Grain Terminal,,1,,,,,,,,", "an Item, or a Kind with its weight and size"),
        ("B,,roller,1,Home yard,Grain Terminal,,1,,,,,,,,", "a kind whose weight and size stand on this row"),
        ("B,,roller,1,Home yard,Grain Terminal,,1,,,,,9000,12,6,", "the height of the kind"),
        ("B,EX-8,,1,Home yard,Grain Terminal,,1,,,,,,,,", "a name from the sheet Items; nearest: EX-7"),
        ("B,EX-7,,0,Home yard,Grain Terminal,,1,,,,,,,,", "1 or more"),
        ("B,EX-7,,150,Home yard,Grain Terminal,,1,,,,,,,,\n" * 2, "at most 200 machines in a bid"),
        ("B,EX-7,,1,Home yard,Home yard,,1,,,,,,,,", "a job elsewhere"),
        ("B,EX-7,,1,Home yard,Grain Terminal,,1,soon,,,,,,,", "a date such as"),
        ("B,EX-7,,1,Home yard,Grain Terminal,,1,2026-06-08,2026-06-01,,,,,,", "a day after the phase is in"),
    ],
)
def test_a_bad_row_of_a_bid_is_a_problem_at_its_cell(tmp_path: Path, row: str, expected: str) -> None:
    found = problems(tmp_path, Mobilisation=f"{HEAD}{row}\n")
    assert len(found) == 1, found
    assert "Mobilisation.csv, Mobilisation, row" in found[0]
    assert expected in found[0]


def test_a_phase_has_one_day(tmp_path: Path) -> None:
    first = "B,EX-7,,1,Home yard,Grain Terminal,,1,2026-06-08,,,,,,,\n"
    (found,) = problems(tmp_path, Mobilisation=HEAD + first + first.replace("06-08", "06-09"))
    assert "one day for a phase, which moves together: 2026-06-08" in found


def test_a_kind_may_stand_on_another_row(tmp_path: Path) -> None:
    first = "B,,Roller,1,Home yard,Grain Terminal,,1,,,,,9000,12,6,8\n"
    second = "B,,roller,2,Home yard,Grain Terminal,,2,,,,,,,,\n"
    found = read(tmp_path, Mobilisation=HEAD + first + second)
    assert found.problems == ()
    assert [line.item.weight.nominal_lb for line in found.bids[0].lines] == [9_000, 9_000]


def test_a_machine_on_two_rows_of_a_phase_warns(tmp_path: Path) -> None:
    other_phase = ROW.replace(",1,,,,,", ",2,,,,,")
    (told,) = warnings(tmp_path, Mobilisation=HEAD + ROW + other_phase + ROW)
    assert "row 4, column B Item" in told
    assert "as at Mobilisation.csv, Mobilisation, row 2, column B Item: it is hauled and priced again" in told


def test_figures_beside_an_item_have_no_effect_and_warn(tmp_path: Path) -> None:
    row = ROW.replace(",,,,\n", ",9000,,,\n")
    assert any(
        "has no effect: the sheet Items has the figures of EX-7" in one
        for one in warnings(tmp_path, Mobilisation=HEAD + row)
    )


def test_a_permit_must_be_one_of_the_fees(tmp_path: Path) -> None:
    row = ROW.replace("Grain Terminal,,1,,,,,", "Grain Terminal,,1,,,,stat,")
    fees = "Permit,Amount,Date\nstate,30,2026-05-01\n"
    (found,) = problems(tmp_path, Mobilisation=HEAD + row, Permit_fees=fees)
    assert "a name from the sheet Permit fees; nearest: state" in found


def test_rows_that_hold_for_nothing_are_problems(tmp_path: Path) -> None:
    fees = "Permit,Amount,Over weight,Up to weight,Date\nstate,30,90000,80000,2026-05-01\n"
    escorts = "Escort,Over width,Minimum,Date\nfront,,100,2026-05-01\nrear,12,,2026-05-01\n"
    outside = "Up to weight,Price per trip\n10000,\n"
    found = problems(tmp_path, Permit_fees=fees, Escorts=escorts, Outside_haul=outside)
    assert len(found) == 4
    assert "holds for nothing" in found[0]
    assert "from which on the escort comes along" in found[1]
    assert "a price per hour, per mile or a minimum" in found[2]
    assert "Outside haul" in found[3]


def test_a_road_that_nobody_knows_is_a_problem(tmp_path: Path) -> None:
    sites = "Site,Latitude,Longitude\nNowhere,,\n"
    row = ROW.replace("Grain Terminal", "Nowhere")
    found = problems(tmp_path, Sites=sites, Mobilisation=HEAD + row)
    assert any("a site with a road to Home yard" in one for one in found)
