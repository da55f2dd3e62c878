"""The cells of a sheet as they stand, with their addresses: what both kinds of file are turned into."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from dispatch.io.cells import CellValue

MB = 1_000_000
MOST_FILE_BYTES = 30 * MB
MOST_UNPACKED_BYTES = 200 * MB
"""Caps before anything is opened: a small archive can unpack to more than the memory holds."""


@dataclass(frozen=True, slots=True)
class Merge:
    """A block of merged cells, both ends included, counted from 1."""

    name: str
    first_row: int
    last_row: int
    first_column: int
    last_column: int


@dataclass(frozen=True, slots=True)
class Grid:
    """A sheet. ``rows``: row number -> column number -> value, in order, blank cells left out."""

    file: str
    title: str
    rows: Mapping[int, Mapping[int, CellValue]]
    merges: tuple[Merge, ...] = ()
