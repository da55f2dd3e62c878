"""Places where items come on and off, and measured roads between them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Site:
    """A job site or yard. Hours in minutes after midnight (``None`` = always open); limits in inches, pounds."""

    name: str
    address: str = ""
    latitude: float | None = None
    longitude: float | None = None
    opens_min: int | None = None
    closes_min: int | None = None
    contact: str = ""
    longest_rig_in: float | None = None
    highest_load_in: float | None = None
    heaviest_gross_lb: float | None = None
    extra_load_min: int = 0
    lift_on_site: bool = True
    note: str = ""


@dataclass(frozen=True, slots=True)
class Road:
    """A measured distance, tenths of a mile; ``minutes`` holds for loaded and empty running alike."""

    origin: str
    destination: str
    tenths_mi: int
    minutes: int | None = None
    oneway: bool = False
