"""The files that are named on the command line -> grids and digests: workbooks, .csv files, folders of .csv."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from dispatch.io.csv_files import csv_grid
from dispatch.io.input_problems import Findings, Where
from dispatch.io.sheet_grids import MB, MOST_FILE_BYTES, Grid
from dispatch.io.xlsx_files import xlsx_grids

WORKBOOKS = (".xlsx", ".xlsm")


@dataclass(frozen=True, slots=True)
class Source:
    """A file that was used: name (with its folder where two share one), SHA-256 of its bytes, sheets."""

    name: str
    sha256: str
    sheets: tuple[str, ...]


def read_files(paths: Sequence[Path], findings: Findings) -> tuple[tuple[Grid, ...], tuple[Source, ...]]:
    """The grids of every file in order, and what they were read from. A file named twice is read once."""
    files: dict[Path, Path] = {}
    for path in _files(paths, findings):
        if path.resolve() in files:
            findings.warning(Where(path.name), "", "is named twice and read once")
        files.setdefault(path.resolve(), path)
    often = Counter(path.name for path in files.values())
    grids: list[Grid] = []
    sources: list[Source] = []
    for path in files.values():
        label = path.name if often[path.name] == 1 else f"{path.parent.name}/{path.name}"
        data = _bytes(path, label, findings)
        if data is None:
            continue
        found = _grids(path, label, data, findings)
        grids += found
        sources.append(Source(label, hashlib.sha256(data).hexdigest(), tuple(grid.title for grid in found)))
    return tuple(grids), tuple(sources)


def _files(paths: Sequence[Path], findings: Findings) -> Iterator[Path]:
    for path in paths:
        if not path.is_dir():
            yield path
            continue
        inside = sorted(one for one in path.iterdir() if one.suffix.lower() == ".csv")
        if not inside:
            findings.problem(
                Where(path.name), "", "a folder with .csv files named after the sheets; name a workbook itself"
            )
        yield from inside


def _bytes(path: Path, label: str, findings: Findings) -> bytes | None:
    where = Where(label)
    if path.suffix.lower() not in (*WORKBOOKS, ".csv"):
        findings.problem(where, path.suffix, "an .xlsx workbook, a .csv file or a folder of .csv files")
        return None
    try:
        size = path.stat().st_size
        if size > MOST_FILE_BYTES:
            findings.problem(where, f"{size / MB:,.0f} MB", f"a file of at most {MOST_FILE_BYTES // MB} MB")
            return None
        return path.read_bytes()
    except FileNotFoundError:
        findings.problem(where, "", f"a file that exists; there is none at {path}")
    except OSError as error:
        findings.problem(where, "", f"a file that can be read; {error.strerror or error}")
    return None


def _grids(path: Path, label: str, data: bytes, findings: Findings) -> tuple[Grid, ...]:
    if path.suffix.lower() in WORKBOOKS:
        return xlsx_grids(label, data, findings)
    grid = csv_grid(label, data, findings)
    return () if grid is None else (grid,)
