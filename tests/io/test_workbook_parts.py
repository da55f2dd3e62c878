"""The written files as packages of parts, read with zip and XML alone: what makes a program offer a repair.

Source of the rules: ECMA-376, parts 1 (18.5.1 tables, 18.3.1.47 hyperlinks) and 2 (relationships, content types).
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Callable
from xml.etree import ElementTree as ET

import pytest
from dispatch.io.summary_sheet import Used
from dispatch.io.write_schedule import schedule_workbook
from dispatch.io.write_template import template_workbook

from dispatch.report import report
from tests.small_day import small_plan, small_problem

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
OFFICE = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
PACKAGE = "{http://schemas.openxmlformats.org/package/2006/relationships}"
TYPES = "{http://schemas.openxmlformats.org/package/2006/content-types}"
BOOKS = {
    "schedule": lambda: schedule_workbook(
        report(small_problem(), small_plan()), Used(warnings=("=1+1",), version="9.9.9")
    ),
    "no left out": lambda: schedule_workbook(report(small_problem(), small_plan(left_out=())), Used()),
    "template": template_workbook,
    "metric template": lambda: template_workbook(metric=True),
}


@pytest.fixture(scope="module", params=BOOKS)
def parts(request: pytest.FixtureRequest) -> dict[str, bytes]:
    make: Callable[[], bytes] = BOOKS[request.param]
    with zipfile.ZipFile(io.BytesIO(make())) as book:
        assert book.testzip() is None
        names = book.namelist()
        assert len(names) == len({name.casefold() for name in names})
        return {name: book.read(name) for name in names}


def xml(parts: dict[str, bytes], name: str) -> ET.Element:
    return ET.fromstring(parts[name])


def relations(parts: dict[str, bytes], name: str) -> dict[str, tuple[str, str]]:
    """Target part and mode of each relationship of a part, by its id."""
    folder, base = posixpath.split(name)
    source = posixpath.join(folder, "_rels", f"{base}.rels")
    if source not in parts:
        return {}
    found = {}
    for one in xml(parts, source).iter(f"{PACKAGE}Relationship"):
        target = one.get("Target", "")
        whole = (
            target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
        )
        found[one.get("Id", "")] = (whole, one.get("TargetMode", "Internal"))
    return found


def sheets(parts: dict[str, bytes]) -> dict[str, str]:
    """Part of each sheet by its name."""
    links = relations(parts, "xl/workbook.xml")
    every = xml(parts, "xl/workbook.xml").iter(f"{MAIN}sheet")
    return {one.get("name", ""): links[one.get(f"{OFFICE}id", "")][0] for one in every}


def texts(parts: dict[str, bytes]) -> list[str]:
    if "xl/sharedStrings.xml" not in parts:
        return []
    every = xml(parts, "xl/sharedStrings.xml").iter(f"{MAIN}si")
    return ["".join(t.text or "" for t in one.iter(f"{MAIN}t")) for one in every]


def text_of(cell: ET.Element, shared: list[str]) -> str:
    """The text of a cell, shared or its own; fails for anything else."""
    if cell.get("t") == "s":
        return shared[int(cell.findtext(f"{MAIN}v", ""))]
    assert cell.get("t") == "inlineStr"
    return "".join(one.text or "" for one in cell.iter(f"{MAIN}t"))


def column(reference: str) -> int:
    number = 0
    for letter in re.sub(r"[^A-Z]", "", reference):
        number = number * 26 + ord(letter) - 64
    return number


def row(reference: str) -> int:
    return int(re.sub(r"\D", "", reference))


def test_every_relationship_leads_to_a_part_and_none_outside(parts: dict[str, bytes]) -> None:
    for name in [*(part for part in parts if not part.endswith(".rels")), ""]:
        for target, mode in relations(parts, name).values():
            assert mode == "Internal", (name, target)
            assert target in parts, (name, target)
    assert not [name for name in parts if "externalLink" in name]


def test_every_part_has_a_content_type(parts: dict[str, bytes]) -> None:
    types = xml(parts, "[Content_Types].xml")
    given = {one.get("PartName", "").lstrip("/") for one in types.iter(f"{TYPES}Override")}
    endings = {one.get("Extension", "").casefold() for one in types.iter(f"{TYPES}Default")}
    assert given <= set(parts)
    for name in parts:
        assert name == "[Content_Types].xml" or name in given or name.rpartition(".")[2].casefold() in endings, (
            name
        )


def test_every_id_used_in_a_sheet_is_a_relationship(parts: dict[str, bytes]) -> None:
    for name in sheets(parts).values():
        used = {one.get(f"{OFFICE}id") for one in xml(parts, name).iter()} - {None}
        assert used <= set(relations(parts, name)), name


def tables(parts: dict[str, bytes]) -> list[tuple[str, ET.Element]]:
    """Sheet part and root of every table."""
    return [
        (name, xml(parts, target))
        for name in sheets(parts).values()
        for target, _ in relations(parts, name).values()
        if "/tables/" in target
    ]


def test_tables_have_unique_names_and_ids_and_fit_their_sheets(parts: dict[str, bytes]) -> None:
    found = tables(parts)
    names = [root.get("displayName", "").casefold() for _, root in found]
    defined = [one.get("name", "").casefold() for one in xml(parts, "xl/workbook.xml").iter(f"{MAIN}definedName")]
    assert len(names) == len(set(names))
    assert not set(names) & set(defined)
    assert len({root.get("id") for _, root in found}) == len(found)
    for sheet, root in found:
        start, end = root.get("ref", "").split(":")
        used = [one.get("r", "") for one in xml(parts, sheet).iter(f"{MAIN}c")]
        assert row(end) > row(start), "a table needs a row under its header"
        assert column(end) <= max(map(column, used))
        assert row(end) <= max(2, *map(row, used))


def test_headers_of_tables_are_their_cells(parts: dict[str, bytes]) -> None:
    shared = texts(parts)
    for sheet, root in tables(parts):
        start, end = root.get("ref", "").split(":")
        cells = {one.get("r"): one for one in xml(parts, sheet).iter(f"{MAIN}c")}
        heads = [one.get("name") for one in root.iter(f"{MAIN}tableColumn")]
        assert len(heads) == len({str(head).casefold() for head in heads}) == column(end) - column(start) + 1
        shown = []
        for reference, cell in cells.items():
            if reference is not None and row(reference) == row(start):
                shown.append(text_of(cell, shared))
        assert shown == heads


def test_no_cell_is_a_formula_or_an_error(parts: dict[str, bytes]) -> None:
    for name in sheets(parts).values():
        root = xml(parts, name)
        assert not list(root.iter(f"{MAIN}f")), name
        assert not [cell for cell in root.iter(f"{MAIN}c") if cell.get("t") in {"e", "str"}]


def test_links_lead_to_sheets_that_are_there(parts: dict[str, bytes]) -> None:
    for name in sheets(parts).values():
        for one in xml(parts, name).iter(f"{MAIN}hyperlink"):
            assert one.get(f"{OFFICE}id") is None, "a link inside the workbook has no relationship"
            target = re.fullmatch(r"'((?:[^']|'')+)'!A(\d+)", one.get("location", ""))
            assert target is not None
            assert target[1].replace("''", "'") in sheets(parts)


def test_no_merged_cells_overlap(parts: dict[str, bytes]) -> None:
    for name in sheets(parts).values():
        covered: set[tuple[int, int]] = set()
        for one in xml(parts, name).iter(f"{MAIN}mergeCell"):
            start, end = one.get("ref", "").split(":")
            cells = {
                (r, c) for r in range(row(start), row(end) + 1) for c in range(column(start), column(end) + 1)
            }
            assert not cells & covered, (name, one.get("ref"))
            covered |= cells


def test_drop_down_lists_are_short_enough_or_lie_in_a_sheet(parts: dict[str, bytes]) -> None:
    for name in sheets(parts).values():
        for one in xml(parts, name).iter(f"{MAIN}formula1"):
            text = one.text or ""
            if text.startswith('"'):
                assert len(text) <= 257  # 255 signs between quotes: ECMA-376, part 1, 18.3.1.32
            elif re.fullmatch(r".+!\$[A-Z]+\$\d+:\$[A-Z]+\$\d+", text):
                assert text.split("!")[0].strip("'") in sheets(parts)
