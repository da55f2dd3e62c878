"""The workbook of ``haulday check``, put together from parts, and the item-by-rig table for the terminal."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from dispatch.io import sheet_styles as styles
from dispatch.io.fit_sheets import beside_hand_load, write_fit_sheets
from dispatch.io.load_sheets import write_load_sheets
from dispatch.io.output_units import OutputUnits
from dispatch.io.ride_sheet import write_ride_sheet
from dispatch.io.ticket_sheets import ticket_sheets
from openpyxl.workbook import Workbook

from dispatch.capacity import Heaviest
from dispatch.explain import Ride
from dispatch.load_report import LoadReport
from dispatch.problem import Problem
from dispatch.weighing_results import Weighing


@dataclass(frozen=True, slots=True)
class CheckResults:
    """Everything that ``haulday check`` worked out."""

    problem: Problem
    rides: tuple[Ride, ...]
    loads: tuple[LoadReport, ...] = ()
    heaviest: tuple[Heaviest, ...] = ()
    weighing: Weighing = field(default_factory=Weighing)


Part = Callable[[Workbook, CheckResults, OutputUnits], None]


def _loads(workbook: Workbook, results: CheckResults, units: OutputUnits) -> None:
    write_load_sheets(workbook, results.loads, units)


def _fits(workbook: Workbook, results: CheckResults, units: OutputUnits) -> None:
    loads = [beside_hand_load(report) for report in results.loads]
    write_fit_sheets(workbook, results.problem.rigs, results.heaviest, loads, units)


def _rides(workbook: Workbook, results: CheckResults, units: OutputUnits) -> None:
    write_ride_sheet(workbook, results.rides, units)


def _tickets(workbook: Workbook, results: CheckResults, units: OutputUnits) -> None:
    ticket_sheets(workbook, results.weighing, units)


PARTS: tuple[Part, ...] = (_loads, _fits, _rides, _tickets)
"""What the workbook is made of, in the order of its sheets; a part without anything to show adds no sheet."""


def checks_workbook(results: CheckResults, parts: Sequence[Part] = PARTS) -> bytes:
    """The bytes of an ``.xlsx`` file, in the units that Settings asks for."""
    units = OutputUnits.of(results.problem.settings)
    workbook = styles.new_workbook()
    workbook.remove(workbook.worksheets[0])
    for part in parts:
        part(workbook, results, units)
    buffer = io.BytesIO()
    workbook.save(buffer)
    return buffer.getvalue()
