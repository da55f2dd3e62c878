"""The JSON document: its schema, its bytes, its units and its agreement with the report."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from dispatch.io.plan_document import PlanDocument
from dispatch.io.plan_json import check_record, plan_json, schema_json
from dispatch.io.summary_sheet import Used

from dispatch.checks import Check, Sense
from dispatch.report import report
from tests.small_day import SETTINGS, small_plan, small_problem

DOCS = Path(__file__).parents[2] / "docs"
USED = Used((("fleet.xlsx", "ab" * 32),), (("Gap between items (ft)", "2 (default 1)"),), ("w",), "9.9.9")
UNITS = ("lb", "in", "mi", "min", "h", "usd", "pct", "count", "priority", "trips")
PLAIN = {"trip", "trips", "leg", "stop", "order", "chains", "straps", "moves_hauled", "moves_left_out"}
COUNTS = PLAIN | {"no_plan_has_fewer_trips_than", "estimated_pairs_of_sites", "driven_pairs_of_sites"}
"""Keys of numbers and counts of named things, which have no unit."""


@pytest.fixture(scope="module")
def document() -> Any:
    return json.loads(plan_json(report(small_problem(), small_plan()), USED))


def test_same_plan_same_bytes() -> None:
    first = plan_json(report(small_problem(), small_plan()), USED)
    assert first == plan_json(report(small_problem(), small_plan()), USED)
    assert first.endswith(b"}\n")


def test_the_committed_schema_is_that_of_the_models() -> None:
    assert (DOCS / "plan.schema.json").read_bytes() == schema_json()


def test_the_document_reads_back(document: Any) -> None:
    assert PlanDocument.model_validate(document).summary.trips == 3


def test_every_number_has_its_unit_in_its_key(document: Any) -> None:
    for key, value in numbers(document):
        assert key in COUNTS or re.search(rf"_({'|'.join(UNITS)})$", key), (key, value)


def numbers(node: Any, key: str = "") -> list[tuple[str, float]]:
    if isinstance(node, dict):
        return [found for name, value in node.items() for found in numbers(value, name)]
    if isinstance(node, list):
        return [found for value in node for found in numbers(value, key)]
    return [(key, node)] if isinstance(node, int | float) and not isinstance(node, bool) else []


def test_trips_legs_and_places_agree_with_the_plan(document: Any) -> None:
    first = document["trips"][0]
    assert (first["start"], first["start_min"], first["end_min"]) == ("07:20", 440, 600)
    assert first["heaviest_gross_lb"] == 29_500
    assert [place["front_edge_behind_deck_front_in"] for place in first["places"]] == [28, 202, 30]
    leg = first["legs"][0]
    total = leg["truck_front_lb"] + leg["truck_rear_lb"] + sum(leg["trailer_axles_lb"])
    assert total == pytest.approx(leg["gross_lb"], abs=0.01)
    assert document["left_out"][0]["move"] == "M5"


def test_a_check_keeps_its_unit_in_its_keys() -> None:
    record = check_record(Check("Width", 102, 102, 102, "in", Sense.MOST, True, "23 CFR 658.15"))
    assert (record.value_in, record.margin_in, record.use_pct) == (102, 0, 100)
    broken = check_record(Check("Overhang", 5, 5, 0, "in", Sense.MOST, False, "Settings"))
    assert broken.use_pct is None


def test_nothing_depends_on_the_output_units_of_the_workbook(document: Any) -> None:
    metric = replace(SETTINGS, metric_weight=True, metric_distance=True)
    assert json.loads(plan_json(report(small_problem(metric), small_plan()), USED))["trips"] == document["trips"]
