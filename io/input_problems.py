"""What is wrong with the input: where, what was seen, what is allowed, what to write instead."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from dispatch.io.layout import SHEETS
from openpyxl.utils import column_index_from_string


class Severity(StrEnum):
    """A problem stops the run; a warning does not."""

    PROBLEM = "problem"
    WARNING = "warning"


@dataclass(frozen=True, slots=True)
class Where:
    """An address: file, sheet, row from 1, column letter with its header. Empty parts are not known."""

    file: str
    sheet: str = ""
    row: int | None = None
    column: str = ""
    header: str = ""

    def __str__(self) -> str:
        parts = [part for part in (self.file, self.sheet) if part]
        if self.row is not None:
            parts.append(f"row {self.row}")
        if self.column:
            parts.append(f"column {self.column}" + (f" {self.header}" if self.header else ""))
        elif self.header:
            parts.append(f"column {self.header}")
        return ", ".join(parts)


@dataclass(frozen=True, slots=True)
class InputProblem:
    """One finding. ``value`` is quoted from the input, ``mend`` is the nearest valid value or what to do.

    ``expected`` completes "expected ..." for a problem; for a warning it is the remark itself.
    """

    where: Where
    value: str
    expected: str
    mend: str = ""
    severity: Severity = Severity.PROBLEM

    def __str__(self) -> str:
        """The finding in one line for a terminal, in ASCII where the input is."""
        seen = f'"{self.value}" - ' if self.value else ""
        mend = f"; nearest: {self.mend}" if self.mend else ""
        word = "expected " if self.is_problem else ""
        return f"{self.where}: {seen}{word}{self.expected}{mend}"

    @property
    def is_problem(self) -> bool:
        """Whether it stops the run."""
        return self.severity is Severity.PROBLEM


class Findings:
    """Collects findings while the input is read, so that one run reports all of them."""

    def __init__(self) -> None:
        self._found: dict[InputProblem, None] = {}

    def problem(self, where: Where, value: str, expected: str, mend: str = "") -> None:
        """Notes a problem; the same one twice counts once."""
        self._found[InputProblem(where, value, expected, mend)] = None

    def warning(self, where: Where, value: str, expected: str, mend: str = "") -> None:
        """Notes a warning."""
        self._found[InputProblem(where, value, expected, mend, Severity.WARNING)] = None

    def problems(self) -> tuple[InputProblem, ...]:
        """Every problem, in the order of sheets, files, rows and columns."""
        return in_order(one for one in self._found if one.is_problem)

    def warnings(self) -> tuple[InputProblem, ...]:
        """Every warning, in the same order."""
        return in_order(one for one in self._found if not one.is_problem)


def in_order(findings: Iterable[InputProblem]) -> tuple[InputProblem, ...]:
    """The findings by sheet (template order), file, row and column; findings of whole files first."""
    return tuple(sorted(findings, key=_place))


_SHEET_ORDER = {sheet.name: index for index, sheet in enumerate(SHEETS)}


def _place(finding: InputProblem) -> tuple[int, str, str, int, int, str]:
    where = finding.where
    sheet = _SHEET_ORDER.get(where.sheet, len(SHEETS)) if where.sheet else -1
    column = column_index_from_string(where.column) if where.column else 0
    return sheet, where.sheet, where.file, where.row or 0, column, str(finding)
