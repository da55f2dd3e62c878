"""The sensitivity tables of the calculation notes: current, and by hand-derived derivatives.

Figures of the loads, by hand from the morning's sheets. Gooseneck: g = 240 + 42 = 282, wheelbase 204, coupler at
198; ME-4 11,650 lb (2 % under, 3 % over), front edge 150, length 206, CG 136.8 from its nose, facing rearward: so
69.2 behind the edge and x = 90 + 150 + 69.2 = 309.2, behind g; R-2 5,900 lb (0.5 %), x = 90 + 6 + 99.6 - 50.4 =
145.2; BK-24 640 lb on the neck, x = -18 + 6 + 15 = 3. Lowbed: g = 462 + 25.5 = 487.5, wheelbase 210, coupler at
198; D-8 51,200 lb (0.5 %).
"""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
SCRIPT: dict[str, Any] = runpy.run_path(str(ROOT / "docs" / "sensitivity.py"))
NOTES = (ROOT / "docs" / "calculation-notes.md").read_text(encoding="utf-8")

G, WHEELBASE, COUPLER = 282.0, 204.0, 198.0
ME4_LOW, ME4_HIGH, ME4_X = 11_650 * 0.98, 11_650 * 1.03, 309.2
R2_LOW, R2_HIGH, R2_X = 5_900 * 0.995, 5_900 * 1.005, 145.2
BUCKET_LOW, BUCKET_HIGH, BUCKET_X = 640 * 0.98, 640 * 1.03, 3.0
COUPLER_LOW, COUPLER_HIGH, AXLES_HIGH = 2_700 * 0.995, 2_700 * 1.005, 8_000 * 1.005
DOZER, LOWBED_G = 51_200 * 1.005, 487.5


def gained(table: str, label: str) -> dict[str, float]:
    """What one unit more of an input gives every margin."""
    build, heavy, _ = SCRIPT["TABLES"][table]
    load = build()
    (change,) = [change for name, change in SCRIPT["inputs"](load, heavy).items() if name.startswith(label)]
    return dict(SCRIPT["differences"](load, change))


def refused_at(table: str, label: str, way: int) -> int:
    """Units, their sign left out, at which the load is first refused."""
    build, heavy, _ = SCRIPT["TABLES"][table]
    load = build()
    (change,) = [change for name, change in SCRIPT["inputs"](load, heavy).items() if name.startswith(label)]
    return abs(SCRIPT["first_broken"](load, change, way)[0])


def test_tables_are_up_to_date() -> None:
    """Rewrite them with ``python docs/sensitivity.py``."""
    assert SCRIPT["rewritten"](NOTES) == NOTES


def test_both_loads_are_legal() -> None:
    for build, _, shown in SCRIPT["TABLES"].values():
        checks = build().checks()
        assert all(check.ok for check in checks.values())
        assert not any(checks[name].waived for name in shown)


def test_items_by_the_derivatives() -> None:
    """d(axles)/dx = W / g, d(coupler)/dx = -W / g; d(axles)/dW = x / g; and the truck by c / b."""
    back = gained("gooseneck", "ME-4: front edge")
    assert back["Trailer axle group"] == pytest.approx(-ME4_HIGH / G)
    # Behind g a light machine is worst for the truck's rear axle.
    assert back["Truck rear axles"] == pytest.approx(ME4_LOW / G * COUPLER / WHEELBASE)
    assert back["Trailer GVWR"] == pytest.approx(0, abs=1e-6)
    turned = gained("gooseneck", "ME-4: CG")  # facing rearward: nearer the truck
    for check in ("Trailer axle group", "Truck rear axles", "Trailer axle 1", "GCWR"):
        assert turned[check] == pytest.approx(-back[check], abs=1e-6)
    heavier = gained("gooseneck", "ME-4: weight")
    assert heavier["Trailer GVWR"] == pytest.approx(-ME4_HIGH / 100)
    assert heavier["Trailer axle group"] == pytest.approx(-ME4_HIGH / 100 * ME4_X / G)
    assert heavier["Truck rear axles"] == pytest.approx(-ME4_LOW / 100 * (1 - ME4_X / G) * COUPLER / WHEELBASE)
    dozer = gained("lowbed", "D-8: front edge")
    assert dozer["Trailer axle group"] == pytest.approx(-DOZER / LOWBED_G)
    assert dozer["Truck GVWR"] == pytest.approx(DOZER / LOWBED_G)
    assert gained("lowbed", "D-8: weight")["Registered weight"] == pytest.approx(-DOZER / 100)


def test_coupler_share_by_its_derivative() -> None:
    """The whole stays: d(share)/dx = -W / g / whole, at the corner that is worst for a light coupler."""
    whole = COUPLER_LOW + AXLES_HIGH + ME4_HIGH + R2_LOW + BUCKET_LOW
    share = gained("gooseneck", "ME-4: front edge")["Coupler share least"]
    assert share == pytest.approx(-100 * ME4_HIGH / G / whole)


def test_rig_by_the_derivatives() -> None:
    """Empty weights one to one; the coupler's place shifts P / b; g moves the axles' load by sum(W x) / g^2."""
    assert gained("gooseneck", "trailer: empty coupler")["Trailer GVWR"] == pytest.approx(-COUPLER_HIGH / 100)
    assert gained("gooseneck", "trailer: empty axles")["Trailer axle group"] == pytest.approx(-AXLES_HIGH / 100)
    most_lb = (
        COUPLER_HIGH + R2_HIGH * (1 - R2_X / G) + ME4_LOW * (1 - ME4_X / G) + BUCKET_HIGH * (1 - BUCKET_X / G)
    )
    ahead = gained("gooseneck", "truck: coupler ahead")
    assert ahead["Truck rear axles"] == pytest.approx(most_lb / WHEELBASE)
    longer = gained("gooseneck", "truck: wheelbase")
    assert longer["Truck rear axles"] == pytest.approx(-most_lb * 6 * (1 / 204 - 1 / 205))
    moment = ME4_HIGH * ME4_X + R2_HIGH * R2_X + BUCKET_HIGH * BUCKET_X
    for label in (
        "trailer: coupler to first axle",
        "trailer: axle spacing",
    ):  # three axles: the middle one moves too
        axles = gained("gooseneck", label)["Trailer axle group"]
        assert axles == pytest.approx(moment * (1 / G - 1 / (G + 1)))
        assert axles == pytest.approx(moment / G**2, rel=0.01)
    spacing, first = (gained("lowbed", f"trailer: {what}") for what in ("axle spacing", "coupler to first axle"))
    assert spacing["Trailer axle group"] == pytest.approx(first["Trailer axle group"] / 2, rel=0.01)  # two axles


def test_dovetail_by_the_pressure_at_the_hinge() -> None:
    """Contact 76.8 in, 178.4 to 255.2, e = 2.4; the hinge at 240 is 23.2 behind the middle: 174 lb/in there."""
    pressure = ME4_HIGH / 76.8 * (1 + 12 * 2.4 * 23.2 / 76.8**2)
    for label in ("ME-4: front edge", "trailer: dovetail"):
        assert gained("gooseneck", label)["Dovetail"] == pytest.approx(-pressure, rel=0.005)
    by_tilt = ME4_HIGH * 6 * (38.4**2 - 23.2**2) / 76.8**3
    assert gained("gooseneck", "ME-4: CG")["Dovetail"] == pytest.approx(by_tilt)


def test_figures_of_the_reading() -> None:
    assert refused_at("gooseneck", "ME-4: weight", 1) == 6
    assert refused_at("lowbed", "D-8: weight", 1) == 3
    assert refused_at("gooseneck", "ME-4: front edge", 1) == refused_at("gooseneck", "ME-4: CG", -1) == 15
    assert refused_at("gooseneck", "trailer: coupler to first axle", -1) == 11
    assert refused_at("lowbed", "truck: coupler ahead", 1) == 8
    assert round(gained("lowbed", "truck: coupler ahead")["Truck rear axles"]) == 146
    share = [gained("gooseneck", f"ME-4: {what}")["Coupler share least"] for what in ("front edge", "weight")]
    assert round(share[0] / share[1], 1) == 1.3
