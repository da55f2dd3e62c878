"""Results of open instances kept as a table, a row an instance, so that a run can be taken up again."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping
from datetime import date
from importlib.metadata import version
from pathlib import Path

from about_machine import machine

LIBRARIES = ("haulday", "ortools", "highspy", "numpy")
Row = Mapping[str, str]


def kept(table: Path) -> dict[str, Row]:
    """The rows by instance; none when there is no table yet."""
    if not table.exists():
        return {}
    with table.open(encoding="utf-8", newline="") as file:
        return {row["instance"]: row for row in csv.DictReader(file)}


def keep(table: Path, row: Mapping[str, object]) -> None:
    """Adds or replaces the instance's row; rows stay in order of name."""
    rows = kept(table) | {str(row["instance"]): {name: str(value) for name, value in row.items()}}
    with table.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(row), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows[name] for name in sorted(rows))


def about(command: str) -> list[str]:
    """Command, date, machine and versions, as the first lines of a results page."""
    versions = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return [
        f"Written by `{command}` on {date.today()}.",
        "",
        f"- Machine: {machine()}",
        f"- Versions: {versions}",
        "",
    ]


def median(rows: Iterable[Row], column: str) -> float:
    """The median of a column of figures (of an even number the upper one)."""
    figures = sorted(float(row[column]) for row in rows)
    return figures[len(figures) // 2]


def most(rows: Iterable[Row], column: str) -> float:
    """The greatest of a column of figures."""
    return max(float(row[column]) for row in rows)
