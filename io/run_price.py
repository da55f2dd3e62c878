"""``haulday price``: read a bid, plan its trips, price them, write; the exit code says how it went."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from dispatch.io.cells import folded
from dispatch.io.exit_codes import ExitCode
from dispatch.io.price_json import price_json
from dispatch.io.price_pool import PricePool
from dispatch.io.price_sheet import price_line
from dispatch.io.price_tables import workings
from dispatch.io.read_workbook import Wanted, read_inputs
from dispatch.io.run_inputs import refuse_inputs, used, warn
from dispatch.io.safe_files import OutputRefused, check_outputs, write_files
from dispatch.io.summary_sheet import Used
from dispatch.io.terminal import note, say, table
from dispatch.io.write_price import price_workbook

from dispatch.errors import HauldayError
from dispatch.mobilisation.alternatives import alternatives
from dispatch.mobilisation.bid import Bid
from dispatch.mobilisation.bid_price import PriceRefused, price_whole_bid
from dispatch.mobilisation.bid_range import bid_range
from dispatch.mobilisation.bid_report import BidReport, bid_report
from dispatch.mobilisation.bid_terms import BidTerms
from dispatch.mobilisation.job_price import Haulier
from dispatch.mobilisation.phase_plan import Effort, PlanRefused
from dispatch.money.amounts import usd_text
from dispatch.problem import Problem


class BidNotChosen(HauldayError):
    """The input holds several bids and none of them was named, or one that it does not hold."""


@dataclass(frozen=True, slots=True)
class PriceRequest:
    """What was asked for; ``bid`` may be empty where there is one only; ``workers`` ``None``: one a core."""

    inputs: tuple[Path, ...]
    output: Path | None
    json: Path | None
    bid: str
    variant: str
    time_limit_s: float | None
    seed: int
    workers: int | None
    force: bool
    quiet: bool

    @property
    def outputs(self) -> tuple[Path, ...]:
        """The files to write."""
        return tuple(path for path in (self.output, self.json) if path is not None)


def run_price(request: PriceRequest) -> ExitCode:
    """Price the bid and write it; nothing is written unless every plan was verified and every output can be."""
    try:
        check_outputs(request.outputs, request.inputs, force=request.force)
        wanted = Wanted(variant=request.variant, need_moves=False, bids=True)
        read = read_inputs(request.inputs, wanted=wanted)
        if read.problem is None or read.terms is None:
            return refuse_inputs(read)
        warn(read, quiet=request.quiet)
        report = _priced(request, read.problem, read.terms, chosen(read.bids, request.bid))
        write_files(_contents(request, report, used(read)), force=request.force)
        if not request.quiet:
            _tell(request, report)
        return ExitCode.DONE if report.whole else ExitCode.SOME_LEFT_OUT
    except (OutputRefused, BidNotChosen) as error:
        note(f"haulday: {error}")
        return ExitCode.USAGE
    except (PlanRefused, PriceRefused) as error:
        note(str(error))
        note("haulday: a second reckoning disagrees: a bug. Nothing was written. Please report it.")
        return ExitCode.FAILED


def chosen(bids: Sequence[Bid], name: str) -> Bid:
    """The bid of that name, or the only one. Raises BidNotChosen when neither is clear."""
    names = ", ".join(bid.name for bid in bids)
    if not name:
        if len(bids) == 1:
            return bids[0]
        raise BidNotChosen(f"the sheet Mobilisation holds the bids {names}: name one with --bid")
    for bid in bids:
        if folded(bid.name) == folded(name):
            return bid
    raise BidNotChosen(f"the sheet Mobilisation holds no bid {name}, but {names}")


def _priced(request: PriceRequest, problem: Problem, terms: BidTerms, bid: Bid) -> BidReport:
    limit = problem.settings.time_limit_s if request.time_limit_s is None else request.time_limit_s
    effort = Effort(time_limit_s=limit, most_days=terms.rules.most_days, seed=request.seed)
    with PricePool(request.workers) as pool:
        priced = price_whole_bid(problem, bid, terms, effort, pool)
        others = alternatives(priced, effort, pool)
    return bid_report(priced, others, bid_range(priced, request.seed))


def _contents(request: PriceRequest, report: BidReport, made_from: Used) -> Mapping[Path, bytes]:
    contents = {}
    if request.output is not None:
        contents[request.output] = price_workbook(report, made_from)
    if request.json is not None:
        contents[request.json] = price_json(report, made_from)
    return contents


def _tell(request: PriceRequest, report: BidReport) -> None:
    """The price in a few lines: trips, phases, what is not priced, what was written."""
    heads = ("trip", "phase", "way", "by", "items (load order)", "from", "to", "USD")
    rows = [
        (
            str(trip.number),
            trip.phase,
            trip.direction.value,
            trip.facts.rig.name if trip.haulier is Haulier.OWN and trip.facts else trip.haulier.value,
            ", ".join(trip.machines),
            trip.origin,
            trip.destination,
            "-" if trip.haulier is Haulier.NOBODY else usd_text(trip.cents),
        )
        for trip in report.priced.trips
    ]
    say(table(heads, rows))
    for job in report.priced.jobs:
        trips = "1 trip" if len(job.trips) == 1 else f"{len(job.trips)} trips"
        gaps = sum(1 for trip in job.trips if trip.haulier is Haulier.NOBODY)
        trips += f" ({gaps} NOT PRICED)" if gaps else ""
        say(f"phase {job.job.phase} {job.job.direction}: {trips}, {job.claim}")
    for trip in report.priced.trips:
        if trip.haulier is Haulier.NOBODY:
            say(f"not priced: trip {trip.number} ({', '.join(trip.machines)}): {workings(trip)}")
    say(price_line(report))
    if report.share is not None and report.share.share.warning:
        say(f"share of the contract: {report.share.share.warning}")
    if report.whole:
        span = report.span.span
        ends = f"{usd_text(span.low_cents)} to {usd_text(span.high_cents)}"
        say(f"range {ends}, likely {usd_text(span.likely_cents)}")
    say("written: " + ", ".join(str(path) for path in request.outputs))
    if request.output is not None:
        say(f"next: open {request.output}, read Price and Assumptions, and check what is estimated")
