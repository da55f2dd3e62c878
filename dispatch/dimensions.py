"""Width, height and length against the law, what is measured, divisible loads, and checks en route."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from dispatch.axle_rules import DRAWBAR
from dispatch.checks import Check, Sense
from dispatch.fleet import Rig
from dispatch.limits import RuleSet
from dispatch.units import IN_PER_FT, SLACK_IN


class Device(StrEnum):
    """What sticks out of a vehicle without being load."""

    MIRROR = "mirror or other device that is always excluded"
    OTHER = "other device that carries no property"
    LOADING = "loading or unloading device"
    AERODYNAMIC = "aerodynamic device"
    CARRIES_PROPERTY = "device that carries property"


class Separable(StrEnum):
    """How the law sees a load that is over a weight or length limit."""

    NOT_ASKED = "within the limits: nobody asks"
    NONDIVISIBLE = "nondivisible"
    DIVISIBLE = "divisible"
    WITHOUT_ATTACHMENTS = "nondivisible only with the attachment off"


@dataclass(frozen=True, slots=True)
class Divisibility:
    """Whether a load needs a permit and may have one; ``needs_review``: state practice differs."""

    permit_needed: bool
    load: Separable
    needs_review: bool
    basis: str

    @property
    def may_have_permit(self) -> bool:
        """Whether a permit for a nondivisible load could be had as it stands."""
        return self.load is Separable.NONDIVISIBLE


def width_check(width_in: float, rules: RuleSet) -> Check | None:
    """Width of load or vehicle, inches, against the law; ``None`` without a limit. Source: 23 CFR 658.15."""
    return _most("Width", width_in, "width_in", rules)


def height_check(height_in: float, rules: RuleSet) -> Check | None:
    """Height of deck and item above the road, inches, against the rule set; ``None`` without a limit."""
    return _most("Height", height_in, "height_in", rules)


def length_check(length_in: float, rules: RuleSet) -> Check | None:
    """Overall length of the rig with overhang, inches, against the rule set; ``None`` without a limit."""
    return _most("Length", length_in, "length_in", rules)


def length_key(rig: Rig, rules: RuleSet) -> str:
    """Which limit of the rule set holds for the rig's overall length: a drawbar trailer may have one of its own.

    Source of the known one: Directive 96/53/EC, Annex I, 1.1, road train 18.75 m, articulated vehicle 16.50 m.
    """
    own = "length_drawbar_in"
    return own if rig.trailer.hitch in DRAWBAR and own in rules.limits else "length_in"


def is_excluded_from_width(device: Device, projects_in: float, rules: RuleSet) -> bool:
    """Whether a device's projection at one side, inches, is left out of the width.

    Source: 23 CFR 658.16 and 658 Appendix D: other devices up to 3 in a side; what carries property never.
    """
    if device is Device.MIRROR:
        return True
    return device is Device.OTHER and _within(projects_in, rules.value("side_device_in"))


def is_excluded_from_length(device: Device, projects_in: float, rules: RuleSet) -> bool:
    """Whether a device's projection at the rear, inches, is left out of the length.

    Source: 23 CFR 658.16 and 658 Appendix D: 24 in for loading devices, 5 ft for aerodynamic ones, 3 in for
    others; what carries property (a ramp under load) never.
    """
    keys = {
        Device.OTHER: "end_device_in",
        Device.LOADING: "loading_device_in",
        Device.AERODYNAMIC: "aerodynamic_device_in",
    }
    if device is Device.MIRROR:
        return True
    return device in keys and _within(projects_in, rules.value(keys[device]))


def semitrailer_length_ft(rules: RuleSet) -> float:
    """Semitrailer length, feet, that a state must allow behind a tractor; it may then set no overall limit.

    Trucks that pull a trailer are outside this rule. Source: 23 CFR 658.13.
    """
    return rules.need("semitrailer_length_in") / IN_PER_FT


def overall_limit_allowed(is_tractor_semitrailer: bool) -> bool:
    """Whether a state may limit the overall length of a combination: not of tractor and semitrailer.

    Source: 23 CFR 658.13, on the National Network.
    """
    return not is_tractor_semitrailer


def divisibility(
    machines: int,
    over_weight_or_length: bool,
    rules: RuleSet,
    *,
    hours_to_dismantle: float = 0.0,
    attachment_hours: float | None = None,
    spoils_use_or_value: bool = False,
) -> Divisibility:
    """How the law sees a load of so many machines that is, or is not, over a weight or length limit.

    ``hours_to_dismantle``: work-hours to separate the machine into legal pieces; ``attachment_hours``: to take
    off an attachment carried on or with it, ``None`` without one; ``spoils_use_or_value``: separating would defeat
    its use or destroy its value. One such reason is enough; two machines separate in minutes.
    Source: 23 CFR 658.5; FHWA letter of 12 April 2018.
    """
    limit_h = rules.need("nondivisible_h")
    basis = rules.basis("nondivisible_h")
    if not over_weight_or_length:
        return Divisibility(False, Separable.NOT_ASKED, False, basis)
    if machines > 1:
        return Divisibility(True, Separable.DIVISIBLE, False, basis)
    if attachment_hours is not None and attachment_hours <= limit_h:
        return Divisibility(True, Separable.WITHOUT_ATTACHMENTS, True, basis)
    whole = spoils_use_or_value or hours_to_dismantle > limit_h
    return Divisibility(True, Separable.NONDIVISIBLE if whole else Separable.DIVISIBLE, not whole, basis)


def load_checks_due_mi(trip_mi: float, speed_mph: float, rules: RuleSet) -> tuple[float, ...]:
    """Miles into a trip at which the load is to be checked: before driving, within 50, then 150 miles or 3 hours.

    Whichever comes first; a change of duty status asks for one besides. None is due on arrival.
    Source: 49 CFR 392.9. 400 mi at 50 mph: 0, 50, 200, 350. Raises ValueError unless the speed is positive.
    """
    if speed_mph <= 0:
        raise ValueError(f"speed must be positive, not {speed_mph} mph")
    every_mi = min(rules.need("inspection_every_mi"), rules.need("inspection_every_h") * speed_mph)
    due, next_mi = [0.0], rules.need("inspection_first_mi")
    while next_mi < trip_mi:
        due.append(next_mi)
        next_mi += every_mi
    return tuple(due)


def _most(name: str, value_in: float, key: str, rules: RuleSet) -> Check | None:
    limit_in = rules.value(key)
    if limit_in is None:
        return None
    ok = value_in <= limit_in + SLACK_IN
    return Check(name, value_in, value_in, limit_in, "in", Sense.MOST, ok, rules.basis(key))


def _within(projects_in: float, limit_in: float | None) -> bool:
    return limit_in is not None and projects_in <= limit_in + SLACK_IN
