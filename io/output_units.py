"""From canonical units to those that Settings asks the outputs to use, rounded for people once."""

from __future__ import annotations

from dataclasses import dataclass

from dispatch.settings import Settings
from dispatch.units import IN_PER_FT, IN_PER_M, KM_PER_MI, LB_PER_KG, TENTHS_PER_MI, feet_inches


@dataclass(frozen=True, slots=True)
class OutputUnits:
    """Weights in lb or kg; distances in mi or km, and with them lengths in feet and inches or in metres."""

    metric_weight: bool = False
    metric_distance: bool = False

    @classmethod
    def of(cls, settings: Settings) -> OutputUnits:
        """The units that the settings ask for."""
        return cls(settings.metric_weight, settings.metric_distance)

    @property
    def weight(self) -> str:
        """Name of the weight unit."""
        return "kg" if self.metric_weight else "lb"

    @property
    def length(self) -> str:
        """Name of the unit of sizes: height, width, overall length."""
        return "m" if self.metric_distance else "ft"

    @property
    def position(self) -> str:
        """Name of the unit of places on deck."""
        return "m" if self.metric_distance else "in"

    @property
    def road(self) -> str:
        """Name of the unit of road distances."""
        return "km" if self.metric_distance else "mi"

    def to_weight(self, lb: float) -> float:
        """Pounds to lb or kg, two decimals."""
        return round(lb / LB_PER_KG if self.metric_weight else lb, 2)

    def to_length(self, inches: float) -> float:
        """Inches to ft or m, three decimals."""
        return round(inches / (IN_PER_M if self.metric_distance else IN_PER_FT), 3)

    def to_position(self, inches: float) -> float:
        """Inches to inches or m, three decimals."""
        return round(inches / IN_PER_M if self.metric_distance else inches, 3)

    def to_road(self, tenths: int) -> float:
        """Tenths of a mile to mi or km, one decimal."""
        miles = tenths / TENTHS_PER_MI
        return round(miles * KM_PER_MI if self.metric_distance else miles, 1)

    def of_check(self, unit: str) -> str:
        """The unit a check's figures are shown in: lb or kg, ft or m; shares and counts stay."""
        return {"lb": self.weight, "in": self.length}.get(unit, unit)

    def to_check(self, value: float, unit: str) -> float:
        """A check's figure in its shown unit."""
        if unit == "lb":
            return self.to_weight(value)
        return self.to_length(value) if unit == "in" else round(value, 3)

    def weight_text(self, lb: float) -> str:
        """A weight for people: ``12,400 lb``."""
        return f"{self.to_weight(lb):,.0f} {self.weight}"

    def length_text(self, inches: float) -> str:
        """A length for people: ``7 ft 2 in`` or ``2.18 m``."""
        return f"{inches / IN_PER_M:.2f} m" if self.metric_distance else feet_inches(inches)

    def place_text(self, inches: float) -> str:
        """A place on deck for people, as exact as its whole inches: ``2 ft 4 in`` or ``0.711 m``."""
        return f"{self.to_position(inches):.3f} m" if self.metric_distance else feet_inches(inches)
