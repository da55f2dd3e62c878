"""The calculation notes name tests that exist, and their drawings are what the scripts draw."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
NOTES = (ROOT / "docs" / "calculation-notes.md").read_text(encoding="utf-8")
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", NOTES)))


@pytest.mark.parametrize(("file", "name"), NAMED, ids=[name for _, name in NAMED])
def test_worked_example_is_a_test(file: str, name: str) -> None:
    assert f"\ndef {name}(" in (ROOT / file).read_text(encoding="utf-8")


def test_every_section_of_formulas_has_a_worked_example() -> None:
    _, *sections = re.split(r"\n## ", NOTES)
    without = [section.splitlines()[0] for section in sections if "::test_" not in section]
    assert without == ["Frames and signs", "Elsewhere"]


FOLDER = ROOT / "docs" / "drawings"


def test_drawings_are_up_to_date_and_shown() -> None:
    """Rewrite them with ``python docs/drawings``."""
    drawn = {name: svg() for name, svg in runpy.run_path(str(FOLDER))["DRAWINGS"].items()}
    assert {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.svg")} == drawn
    assert set(re.findall(r"\]\(drawings/([\w.-]+)\)", NOTES)) == set(drawn)
