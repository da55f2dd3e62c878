"""Published and derived worked examples of statics, each with its source in the test's name.

The cases stand in ``tests/data/published_cases.yaml`` beside those on law and gear (``test_published_cases``).
Units are converted with the factors of ``dispatch.units`` and the constants below. A load on the truck itself
(a driver) is folded into the truck's empty axle weights by moments; a vehicle without a trailer is a truck whose
coupler stands where the load is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from dispatch.axle_loads import axle_group_in, cg_in, rig_loads
from dispatch.fleet import Rig
from dispatch.items import Facing
from dispatch.ratings import coupler_share_pct
from dispatch.units import IN_PER_FT, IN_PER_M, LB_PER_KG
from tests import factories as make
from tests.bare_rigs import bare_rig, exact, loaded_checks

Case = dict[str, Any]
CASES: list[Case] = [
    case
    for case in yaml.safe_load(
        (Path(__file__).parents[1] / "data" / "published_cases.yaml").read_text(encoding="utf-8")
    )["cases"]
    if case["topic"].startswith("statics_")
]
N_PER_LB = 4.4482216152605
"""Exact: 0.45359237 kg x 9.80665 m/s2 (NIST SP 811, appendix B.8)."""
N_PER_KN = 1000.0
MM_PER_M = 1000.0


def approx(case: Case, key: str) -> Any:
    """The expected figure within the case's own tolerance."""
    tolerance = case["tolerance"]
    return pytest.approx(case["expected"][key], abs=tolerance.get("value", 1e-9))


def truck_under(load_lb: float, behind_front_in: float, wheelbase_in: float) -> Rig:
    """A weightless truck that carries one load at a place, through its coupler."""
    return bare_rig(
        truck={
            "empty_front_lb": 0.0,
            "empty_rear_lb": 0.0,
            "wheelbase_in": wheelbase_in,
            "coupler_ahead_in": wheelbase_in - behind_front_in,
        },
        trailer={"empty_coupler": exact(load_lb), "empty_axles": exact(0.0)},
    )


def trailer_with(tare_lb: float, cg_from_hitch_in: float, group_in: float) -> dict[str, Any]:
    """Trailer fields for a tare with its centre of gravity: what a scale would read at coupler and axles."""
    axles_lb = tare_lb * cg_from_hitch_in / group_in
    return {
        "coupler_to_first_axle_in": group_in,
        "empty_coupler": exact(tare_lb - axles_lb),
        "empty_axles": exact(axles_lb),
        "deck_from_coupler_in": 0.0,
        "deck_length_in": 500.0,
    }


def statics_truck(case: Case) -> None:
    inputs, expected = case["inputs"], case["expected"]
    if "loads" in inputs:
        (load,) = inputs["loads"]
        loads = rig_loads(truck_under(load["lb"], load["x_from_front_in"], inputs["wheelbase_in"]), (), ())
        assert loads.rear_lb == approx(case, "rear_lb")
        assert loads.front_lb == approx(case, "front_lb")
        assert loads.front_lb + loads.rear_lb == pytest.approx(load["lb"])
    elif "payload_lb" in inputs:
        payload = make.item("payload", inputs["payload_lb"], inputs["body_length_in"])
        cg = cg_in(payload, Facing.FORWARD, inputs["body_front_x_in"])
        assert cg == expected["cg_x_in"]
        loads = rig_loads(truck_under(inputs["payload_lb"], cg, inputs["wheelbase_in"]), (), ())
        assert loads.rear_lb == approx(case, "rear_lb")
        assert loads.front_lb == approx(case, "front_lb")
    elif "weight_kN" in inputs:
        lb_per_kn = N_PER_KN / N_PER_LB
        place, base = (inputs[key] / MM_PER_M * IN_PER_M for key in ("cg_behind_front_mm", "wheelbase_mm"))
        loads = rig_loads(truck_under(inputs["weight_kN"] * lb_per_kn, place, base), (), ())
        assert loads.front_lb / lb_per_kn == approx(case, "front_kN")
        assert loads.rear_lb / lb_per_kn == approx(case, "rear_kN")
    else:
        lb_per_t = 1000 * LB_PER_KG
        distance, base = (inputs[key] * IN_PER_M for key in ("D_from_other_axle", "W_wheelbase"))
        loads = rig_loads(truck_under(inputs["P"] * lb_per_t, distance, base), (), ())
        assert loads.rear_lb / lb_per_t == approx(case, "axle_share")


def statics_semi(case: Case) -> None:
    inputs = case["inputs"]
    base = inputs["truck_wheelbase_ft"] * IN_PER_FT
    front_lb = inputs["truck_lb"] * inputs["truck_cg_ahead_of_rear_axle_ft"] * IN_PER_FT / base
    rig = bare_rig(
        truck={
            "empty_front_lb": front_lb,
            "empty_rear_lb": inputs["truck_lb"] - front_lb,
            "wheelbase_in": base,
            "coupler_ahead_in": inputs["kingpin_ahead_of_rear_axle_ft"] * IN_PER_FT,
        },
        trailer=trailer_with(0.0, 0.0, inputs["semi_axle_behind_kingpin_ft"] * IN_PER_FT),
    )
    loads = rig_loads(rig, [inputs["semi_lb"]], [inputs["semi_cg_behind_kingpin_ft"] * IN_PER_FT])
    assert loads.trailer_axle_group_lb == approx(case, "semi_axle_lb")
    assert loads.coupler_lb == approx(case, "kingpin_lb")
    assert loads.front_lb == approx(case, "front_lb")
    assert loads.rear_lb == approx(case, "rear_lb")


def statics_trailer(case: Case) -> None:
    inputs = case["inputs"]
    if "mass_kg" in inputs:
        rig = bare_rig(trailer=trailer_with(0.0, 0.0, inputs["axle_behind_coupler_m"] * IN_PER_M))
        weight_lb = inputs["mass_kg"] * inputs["g"] / N_PER_LB
        loads = rig_loads(rig, [weight_lb], [inputs["cg_behind_coupler_m"] * IN_PER_M])
        assert loads.trailer_axle_group_lb * N_PER_LB == approx(case, "axle_N")
        assert loads.coupler_lb * N_PER_LB == approx(case, "coupler_N")
    elif "tongue_lb" in inputs:
        axle_moved_for_a_share(case)
    else:
        overhanging(case)


def axle_moved_for_a_share(case: Case) -> None:
    """Where the axle must stand for a coupler share, the centre of gravity staying where it is."""
    inputs, expected, tolerance = case["inputs"], case["expected"], case["tolerance"]
    gross_lb = inputs["tongue_lb"] + inputs["axle_lb"]
    cg = inputs["axle_lb"] * inputs["axle_behind_coupler_in"] / gross_lb

    def share_pct(axle_in: float) -> float:
        loads = rig_loads(bare_rig(trailer=trailer_with(0.0, 0.0, axle_in)), [gross_lb], [cg])
        return coupler_share_pct(loads.coupler_lb, loads.trailer_lb)

    now = share_pct(inputs["axle_behind_coupler_in"])
    assert now == pytest.approx(expected["tongue_percent"], abs=tolerance["tongue_percent"])
    target_pct = 100 * inputs["target_tongue_fraction"]
    low_in, high_in = 200.0, 350.0  # the share grows as the axle goes back
    while high_in - low_in > 1e-6:
        middle_in = (low_in + high_in) / 2
        low_in, high_in = (middle_in, high_in) if share_pct(middle_in) < target_pct else (low_in, middle_in)
    found = high_in
    assert found == pytest.approx(expected["exact_new_distance_in"], abs=0.005)
    assert found == pytest.approx(expected["published_new_distance_in"], abs=tolerance["distance_in"])
    moved = expected.get("move_axle_rearward_in_published", -expected.get("move_axle_forward_in_published", 0))
    assert inputs["axle_behind_coupler_in"] + moved == expected["published_new_distance_in"]


def overhanging(case: Case) -> None:
    """A negative coupler load is reported as it is, and refused whatever the band."""
    inputs, expected = case["inputs"], case["expected"]
    trailer = trailer_with(inputs["tare_lb"], inputs["tare_cg_from_hitch_in"], inputs["axle_group_from_hitch_in"])
    rig = bare_rig(trailer=trailer)
    (load,) = inputs["loads"]
    coupler_lb = rig_loads(rig, [load["lb"]], [load["x_from_hitch_in"]]).coupler_lb
    assert coupler_lb == approx(case, "hitch_lb")
    assert (coupler_lb < 0) is expected["negative_hitch_load"]
    check = loaded_checks(rig, [(load["lb"], load["x_from_hitch_in"])])["Coupler share least"]
    assert not check.ok
    assert check.limit == 0
    assert check.value == pytest.approx(100 * coupler_lb / (inputs["tare_lb"] + load["lb"]))


def statics_combo(case: Case) -> None:
    inputs, expected = case["inputs"], case["expected"]
    truck, trailer = inputs["truck"], inputs["trailer"]
    base = truck["wheelbase_in"]
    aboard = [(load["lb"], load["x_from_front_in"] / base) for load in truck["loads"]]
    rig = bare_rig(
        truck={
            "empty_front_lb": truck["front_lb"] + sum(lb * (1 - share) for lb, share in aboard),
            "empty_rear_lb": truck["rear_lb"] + sum(lb * share for lb, share in aboard),
            "wheelbase_in": base,
            "coupler_ahead_in": base - inputs["hitch_x_from_front_in"],
        },
        trailer=trailer_with(
            trailer["tare_lb"], trailer["tare_cg_from_hitch_in"], trailer["axle_group_from_hitch_in"]
        ),
    )
    items = [(load["lb"], load["x_from_hitch_in"]) for load in trailer["loads"]]
    loads = rig_loads(rig, [lb for lb, _ in items], [x for _, x in items])
    assert loads.front_lb == approx(case, "front_lb")
    assert loads.rear_lb == approx(case, "rear_lb")
    assert loads.coupler_lb == approx(case, "hitch_lb")
    assert loads.trailer_axle_group_lb == approx(case, "trailer_axles_lb")
    assert loads.gross_lb == approx(case, "gross_lb")
    checks = loaded_checks(rig, items)
    share_pct = checks["Coupler share least"].value
    assert share_pct == pytest.approx(expected["hitch_percent_of_trailer"], abs=0.005)
    assert checks["Truck front axle"].value == approx(case, "front_lb")
    assert checks["Truck rear axles"].value == approx(case, "rear_lb")
    assert checks["GCWR"].value == approx(case, "gross_lb")


def statics_machine(case: Case) -> None:
    inputs = case["inputs"]
    machine = make.item(
        weight_lb=inputs["machine_lb"], length_in=inputs["length_in"], cg_in=inputs["cg_from_front_in"]
    )
    facing = Facing.FORWARD if inputs["loaded"] == "nose forward" else Facing.REARWARD
    assert cg_in(machine, facing, inputs["front_edge_x_in"]) == case["expected"]["cg_x_in"]


def statics_group(case: Case) -> None:
    inputs, expected = case["inputs"], case["expected"]
    if "each_lb" in expected:
        assert inputs["equalised"]
        axles = inputs["axles"]
        rig = bare_rig(trailer={"axles": axles, "empty_axles": exact(inputs["group_load_lb"])})
        assert rig_loads(rig, (), ()).trailer_axles_lb == (expected["each_lb"],) * axles
        return
    first, second = inputs["axle_positions_in"]
    rig = bare_rig(
        trailer={
            "axles": 2,
            "coupler_to_first_axle_in": first,
            "axle_spacing_in": second - first,
            "empty_coupler": exact(0.0),
            "empty_axles": exact(0.0),
        }
    )
    assert axle_group_in(rig.trailer) == expected["centre_in"]
    loads = rig_loads(rig, [inputs["group_load_lb"]], [expected["centre_in"]])
    assert (loads.coupler_lb, loads.trailer_axle_group_lb) == (0, inputs["group_load_lb"])


TOPICS: dict[str, Callable[[Case], None]] = {
    test.__name__: test
    for test in (statics_truck, statics_semi, statics_trailer, statics_combo, statics_machine, statics_group)
}


@pytest.mark.parametrize(
    "case", [pytest.param(case, id=f"{case['id']} ({case['seen']}): {case['source']}") for case in CASES]
)
def test_published_statics(case: Case) -> None:
    TOPICS[case["topic"]](case)


def test_no_case_is_dropped() -> None:
    assert Counter(case["topic"] for case in CASES) == {
        "statics_truck": 5,
        "statics_semi": 1,
        "statics_trailer": 4,
        "statics_combo": 6,
        "statics_machine": 2,
        "statics_group": 2,
    }
