"""A printed axle-load table of a real combination: US Army TM 55-3805-261-14, table 5-1 (seen).

The table gives no dimensions, so the grader's place and the empty axle weights are fitted to its first two rows;
``rig_loads`` then predicts the third. The three variants' centres of gravity differ a little and the table rounds
to 5 lb, so 40 lb is the tolerance.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from dispatch.axle_loads import contact_load_beyond, rig_loads
from dispatch.fleet import Rig
from dispatch.items import Contact, Facing
from tests import factories as make
from tests.bare_rigs import bare_rig, exact, loaded_checks

TABLE: dict[str, Any] = yaml.safe_load(
    (Path(__file__).parents[1] / "data" / "army_table.yaml").read_text(encoding="utf-8")
)
ROWS: list[dict[str, int]] = TABLE["rows"]
GROUP_IN = 480.0
"""Kingpin to the middle of the trailer tandem: free, since only ratios of lengths enter."""
WHEELBASE_IN = 180.0


def fitted(first: dict[str, int], second: dict[str, int]) -> tuple[Rig, float]:
    """The rig and the grader's place behind the kingpin that reproduce two rows exactly."""
    more_lb = second["machine"] - first["machine"]
    on_axles = (second["trailer"] - first["trailer"]) / more_lb
    on_drive = (second["drive"] - first["drive"]) / more_lb
    on_front = 1 - on_axles - on_drive
    machine_lb = first["machine"]
    rig = bare_rig(
        truck={
            "wheelbase_in": WHEELBASE_IN,
            "coupler_ahead_in": WHEELBASE_IN * on_front / (on_front + on_drive),
            "empty_front_lb": first["front"] - on_front * machine_lb,
            "empty_rear_lb": first["drive"] - on_drive * machine_lb,
            "rear_axles": 2,
        },
        trailer={
            "axles": 2,
            "axle_spacing_in": 50.0,
            "coupler_to_first_axle_in": GROUP_IN - 25.0,
            "empty_coupler": exact(0.0),
            "empty_axles": exact(first["trailer"] - on_axles * machine_lb),
            "deck_from_coupler_in": 0.0,
        },
    )
    return rig, on_axles * GROUP_IN


def test_tare_is_constant_and_parts_sum_to_gross() -> None:
    for row in ROWS:
        assert row["gross"] - row["machine"] == TABLE["tare_lb"]
        assert row["front"] + row["drive"] + row["trailer"] == row["gross"]


def test_statics_fitted_to_two_rows_predict_the_third_within_40_lb() -> None:
    rig, place_in = fitted(ROWS[0], ROWS[1])
    for row, within_lb in zip(ROWS, (1e-6, 1e-6, 40), strict=True):
        loads = rig_loads(rig, [row["machine"]], [place_in])
        assert loads.front_lb == pytest.approx(row["front"], abs=within_lb)
        assert loads.rear_lb == pytest.approx(row["drive"], abs=within_lb)
        assert loads.trailer_axle_group_lb == pytest.approx(row["trailer"], abs=within_lb)
        assert loads.gross_lb == pytest.approx(row["gross"], abs=1e-6)
    assert rig.truck.empty_front_lb > 0
    assert 0 < place_in < GROUP_IN


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['machine']} lb grader")
def test_trailer_tandem_is_over_the_law_and_gross_is_not(row: dict[str, int]) -> None:
    """Law: 23 U.S.C. 127(a), tandem 34,000 and gross 80,000 lb. Each row is fitted for itself: exact figures."""
    other = ROWS[1] if row is not ROWS[1] else ROWS[0]
    rig, place_in = fitted(row, other)
    checks = loaded_checks(rig, [(row["machine"], round(place_in))])
    tandem, gross = checks["Legal axles 4-5"], checks["Legal gross"]
    assert tandem.limit == TABLE["tandem_limit_lb"]
    assert not tandem.ok
    # The grid of one inch moves the grader by up to half an inch: 0.5/480 of its weight, 33 lb.
    assert tandem.margin == pytest.approx(-row["over_tandem"], abs=row["machine"] * 0.5 / GROUP_IN + 1e-6)
    assert gross.ok
    assert gross.margin == pytest.approx(TABLE["gross_limit_lb"] - row["gross"])


def test_grader_axles_follow_from_its_centre_of_gravity() -> None:
    """CG at 69.1 % of the wheelbase, as printed to a tenth of a per cent: 16 lb of 31,300."""
    wheelbase_in = 240.0
    grader = make.item(
        weight_lb=ROWS[0]["machine"],
        length_in=wheelbase_in,
        cg_in=TABLE["grader_cg_pct_of_wheelbase"] / 100 * wheelbase_in,
        two_axles=True,
        contact=Contact.WHEELS,
    )
    axles = TABLE["grader_axles_lb"]
    rear_lb = contact_load_beyond(grader, Facing.FORWARD, 0.0, ROWS[0]["machine"], wheelbase_in / 2)
    assert rear_lb == pytest.approx(axles["rear"], abs=16)
    assert axles["front"] + axles["rear"] == ROWS[0]["machine"]
