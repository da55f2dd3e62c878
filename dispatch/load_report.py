"""Hand-made loads as plain records, one kind a sheet; canonical units inside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from dispatch.capacity import LENGTHS_IN, PayloadLeft, payload_left
from dispatch.checks import Check
from dispatch.driver_page import DriverTrip, driver_trip
from dispatch.hand_loads import HandLoad, JudgedLoad, judge
from dispatch.mends import Mend, mends
from dispatch.misfit import shortfall, telling
from dispatch.place_windows import Window, windows
from dispatch.problem import Problem
from dispatch.report import LoadRow, load_rows


@dataclass(frozen=True, slots=True)
class LoadReport:
    """One hand-made load: every check, the windows of its items, what would mend it, and the payload left."""

    judged: JudgedLoad
    windows: tuple[Window, ...]
    mends: tuple[Mend, ...]
    left: tuple[PayloadLeft, ...]

    @property
    def load(self) -> HandLoad:
        """The load as it was given."""
        return self.judged.load

    @property
    def verdict(self) -> str:
        """In one word or two; ``legal while full``: not after some item has come off."""
        if self.judged.legal:
            return "legal"
        return "legal while full" if self.judged.legal_full else "not legal"

    @property
    def rows(self) -> tuple[LoadRow, ...]:
        """Where every item stands and how it is held, in loading order."""
        return tuple(load_rows(self.judged.problem, self.judged.trip))

    @property
    def page(self) -> DriverTrip:
        """The load as a driver's page shows it."""
        return driver_trip(self.judged.problem, self.judged.trip, self.rows)

    @property
    def why_not(self) -> str:
        """What is broken, in numbers, where it is broken most: at most four, axles that say the same once.

        Empty when nothing is broken; the sheet Weights has them all.
        """
        return "; ".join(fault_words(check) for check in telling(self.judged.broken))


def fault_words(check: Check) -> str:
    """A broken check in words, with its number."""
    if check.name == "Loading order":
        return check.basis.partition("; ")[2]
    return shortfall(check)


@dataclass(frozen=True, slots=True)
class StateRow:
    """One check in one state of a load; ``state`` is 0 for a check made once a load."""

    load: str
    state: int
    on_deck: str
    check: Check


def state_rows(report: LoadReport) -> Iterator[StateRow]:
    """Every check of every state, then those made once."""
    judged, name = report.judged, report.load.name
    for leg in judged.trip.legs:
        items = ", ".join(judged.problem.hauls[placed.haul].item.name for placed in leg.leg.on_deck)
        for check in leg.checks:
            yield StateRow(name, leg.number, items, check)
    for check in judged.once:
        yield StateRow(name, 0, report.load.items, check)


def load_report(problem: Problem, load: HandLoad, lengths_in: Sequence[float] = LENGTHS_IN) -> LoadReport:
    """Everything that is told of a load; the payload left only where the load is legal in every state."""
    judged = judge(problem, load)
    left = payload_left(judged.problem, judged.trip, lengths_in) if judged.legal else ()
    return LoadReport(judged, windows(judged), mends(problem, judged), left)
