"""The calculation notes name tests that exist, and their drawing is what its script draws."""

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


def test_every_section_but_the_first_has_a_worked_example() -> None:
    _, *sections = re.split(r"\n## ", NOTES)
    without = [section.splitlines()[0] for section in sections if "::test_" not in section]
    assert without == ["Frames and signs"]


def test_drawing_is_up_to_date() -> None:
    """Rewrite it with ``python docs/drawings/make_sign_convention.py``."""
    script = runpy.run_path(str(ROOT / "docs" / "drawings" / "make_sign_convention.py"))
    assert (ROOT / "docs" / "drawings" / "sign-convention.svg").read_text(encoding="utf-8") == script["svg"]()
