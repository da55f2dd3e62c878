"""The workbook reference is the one that the declaration gives."""

from __future__ import annotations

from pathlib import Path

from dispatch.io import layout
from dispatch.io.reference import reference_markdown

PAGE = Path(__file__).parents[2] / "docs" / "workbook-reference.md"


def test_the_committed_page_is_up_to_date() -> None:
    assert PAGE.read_text(encoding="utf-8") == reference_markdown(), (
        "write it anew: python -m dispatch.io.reference docs/workbook-reference.md"
    )


def test_the_page_names_every_sheet_column_setting_and_limit() -> None:
    page = reference_markdown()
    for sheet in layout.SHEETS:
        assert f"\n## {sheet.name}\n" in page
        for column in sheet.columns:
            assert f"| **{column.header}** |" in page or f"| {column.header} |" in page
    for row in layout.SETTING_ROWS:
        assert f"| {row.header} | " in page
