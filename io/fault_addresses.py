"""Faults of the day -> findings at the cells that they are about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, time, timedelta

from dispatch.io import layout
from dispatch.io.cells import folded, shown
from dispatch.io.input_problems import Findings, Where
from dispatch.io.stand_ins import is_named
from dispatch.io.typed_rows import Row

from dispatch.problem import Fault, Problem


def note_faults(
    faults: Iterable[Fault],
    problem: Problem,
    rows: Mapping[str, Iterable[Row]],
    settings: Mapping[str, Row],
    findings: Findings,
) -> None:
    """Notes every fault at the cell that it is about. ``settings``: the rows of Settings by name.

    Faults that rest on a row which could not be read are left out: they are of its stand-in.
    """
    addresses = {
        (sheet, folded(" - ".join(str(row.values.get(key)) for key in row.table.sheet.keys))): row
        for sheet, of_sheet in rows.items()
        for row in of_sheet
        if is_named(row)
    }
    addresses |= {(layout.SETTINGS.name, folded(name)): row for name, row in settings.items()}
    for fault in faults:
        if not _rests_on_stand_ins(fault, problem, addresses):
            findings.problem(_where(fault, addresses), _quoted(fault, addresses), fault.expected, fault.mend)


def _rests_on_stand_ins(fault: Fault, problem: Problem, addresses: Mapping[tuple[str, str], Row]) -> bool:
    """Whether figures of a stand-in made the fault."""

    def unsound(sheet: str, name: str) -> bool:
        row = addresses.get((sheet, folded(name)))
        return row is not None and not row.ok

    if fault.sheet == layout.RIGS.name and fault.column == "Trailer":
        rig = problem.rig(fault.key)
        return unsound("Trucks", rig.truck.name) or unsound("Trailers", rig.trailer.name)
    return fault.sheet in ("Items", "Trucks", "Trailers") and unsound(fault.sheet, fault.key)


def _where(fault: Fault, addresses: Mapping[tuple[str, str], Row]) -> Where:
    row = addresses.get((fault.sheet, folded(fault.key)))
    return row.where(fault.column) if row else Where("", fault.sheet, None, "", f"{fault.column} of {fault.key}")


def _quoted(fault: Fault, addresses: Mapping[tuple[str, str], Row]) -> str:
    """The value as the user typed it where the cell is filled in, as the core gives it otherwise."""
    row = addresses.get((fault.sheet, folded(fault.key)))
    typed = row.raw.get(fault.column) if row else None
    return fault.value if typed is None or isinstance(typed, time | timedelta | datetime) else shown(typed)
