"""The page of external checks: each row says what, against what, how well, on what evidence, by which test."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "external-checks.md").read_text(encoding="utf-8")
CASES = yaml.safe_load((ROOT / "tests" / "data" / "published_cases.yaml").read_text(encoding="utf-8"))
TOPICS = {case["topic"] for case in (CASES["cases"] if isinstance(CASES, dict) else CASES)}
EVIDENCE = set(re.findall(r"\*\*([\w ]+)\*\* \(", PAGE))
ROWS = [
    [cell.strip() for cell in line.strip("|").split("|")]
    for line in PAGE.splitlines()
    if line.startswith("|") and not line.startswith(("|---", "| checked"))
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_row_is_whole(row: list[str]) -> None:
    assert len(row) == 6
    assert all(row)
    assert set(row[4].split(", ")) <= EVIDENCE
    tests = re.findall(r"`([^`]+)`", row[5])
    assert tests
    for test in tests:
        known = test in TOPICS or (ROOT / "tests" / "external" / f"{test}.py").is_file() or (ROOT / test).is_file()
        assert known, test


def test_every_topic_of_the_published_cases_is_named() -> None:
    named = {test for row in ROWS for test in re.findall(r"`([^`]+)`", row[5])}
    assert TOPICS - named == set()


def test_every_section_has_rows() -> None:
    sections = re.split(r"\n## ", PAGE)[1:]
    assert [s.splitlines()[0] for s in sections if "\n|---" not in s] == ["Disagreements"]
