"""The weight rules of a rig as data: a linear form, a limit and its basis. Evaluated by ``legality``, tabulated
by ``placement``, so that both judge by the same rules.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dispatch.axle_loads import (
    LinearForm,
    axle_forms,
    axle_positions,
    coupler_form,
    front_form,
    rear_form,
    trailer_axles_form,
)
from dispatch.axle_rules import axle_roles, driving_share, trailer_limit
from dispatch.bridge import axle_group_limits
from dispatch.checks import Sense
from dispatch.fleet import Rig, Trailer
from dispatch.limits import RuleSet
from dispatch.settings import Settings


@dataclass(frozen=True, slots=True)
class LoadRule:
    """``form`` stays at or under (MOST), or at or over (LEAST), ``limit_lb``.

    ``law``: a permit can lift it. ``share``: the rule is a coupler share (a fraction of the loaded trailer);
    then the form is ``coupler - share * trailer`` and the limit 0, which is the same for every true weight.
    """

    name: str
    form: LinearForm
    limit_lb: float
    sense: Sense
    basis: str
    law: bool = False
    share: float | None = None

    @property
    def depends_on_place(self) -> bool:
        """Whether it matters where the items stand."""
        return self.form.per_inch != 0


def load_rules(rig: Rig, settings: Settings, rule_set: RuleSet) -> tuple[LoadRule, ...]:
    """Every weight rule of the rig, in the order of the Weights sheet."""
    return (
        *_trailer_ratings(rig),
        *_coupler_ratings(rig),
        *share_rules(rig, settings),
        *_truck_ratings(rig),
        *_combination_ratings(rig),
        _steer_rule(rig, settings),
        *_axle_law(rig, rule_set),
        *_tyre_width_rules(rig, rule_set),
    )


def gross_form(rig: Rig) -> LinearForm:
    """Weight of the whole combination."""
    return _total(axle_forms(rig))


def trailer_form(rig: Rig) -> LinearForm:
    """Weight of the whole loaded trailer, coupler share included."""
    return coupler_form(rig) + trailer_axles_form(rig)


def _total(forms: tuple[LinearForm, ...]) -> LinearForm:
    total = LinearForm()
    for form in forms:
        total += form
    # Slopes of a whole cancel exactly by statics; what is left is rounding noise.
    slope = total.per_inch if abs(total.per_inch) > 1e-12 else 0.0
    return LinearForm(total.const, total.k_coupler, total.k_axles, total.at_coupler, slope)


def most(name: str, form: LinearForm, limit_lb: float, basis: str, *, law: bool = False) -> LoadRule:
    """An upper limit."""
    return LoadRule(name, form, limit_lb, Sense.MOST, basis, law)


def lower_axle_rating_lb(trailer: Trailer) -> float:
    """The lower of one axle's rating and the sum of its tyres' ratings, pounds."""
    if trailer.tyre_rating_lb is None:
        return trailer.axle_rating_lb
    return min(trailer.axle_rating_lb, trailer.tyre_rating_lb)


def _trailer_ratings(rig: Rig) -> Iterator[LoadRule]:
    trailer, axles = rig.trailer, trailer_axles_form(rig)
    yield most("Trailer GVWR", _total((trailer_form(rig),)), trailer.gvwr_lb, "Trailers, GVWR")
    for number, share in enumerate(trailer.shares, start=1):
        yield most(f"Trailer axle {number}", axles.times(share), trailer.axle_rating_lb, "Trailers, Axle rating")
    group_lb = trailer.axles * lower_axle_rating_lb(trailer)
    yield most("Trailer axle group", axles, group_lb, "Trailers, Axles x lower of Axle rating and Tyre rating")
    if trailer.tyre_rating_lb is not None:
        heaviest = axles.times(max(trailer.shares))
        yield most("Trailer tyres", heaviest, trailer.tyre_rating_lb, "Trailers, Tyre rating")


def _coupler_ratings(rig: Rig) -> Iterator[LoadRule]:
    if rig.trailer.coupler_rating_lb is not None:
        yield most("Coupler rating", coupler_form(rig), rig.trailer.coupler_rating_lb, "Trailers, Coupler rating")
    if rig.truck.hitch_rating_lb is not None:
        yield most("Hitch rating", coupler_form(rig), rig.truck.hitch_rating_lb, "Trucks, Hitch rating")


def share_rules(rig: Rig, settings: Settings, tighten: float = 1.0) -> tuple[LoadRule, LoadRule]:
    """Least and most coupler share of the loaded trailer.

    ``tighten`` below 1 raises the least and lowers the most share in proportion, for the search of the
    largest least margin. A coupler that lifts is refused whatever the band says: the least is never below 0.
    """
    band = settings.coupler_bands[rig.trailer.hitch]
    least = max(band.least_pct, 0.0) / 100 / tighten
    greatest = band.most_pct / 100 * tighten
    hitch = rig.trailer.hitch.value
    return (
        _share_rule(rig, "Coupler share least", least, Sense.LEAST, f"Settings, Coupler share least, {hitch}"),
        _share_rule(rig, "Coupler share most", greatest, Sense.MOST, f"Settings, Coupler share most, {hitch}"),
    )


def _share_rule(rig: Rig, name: str, share: float, sense: Sense, basis: str) -> LoadRule:
    form = coupler_form(rig) + _total((trailer_form(rig),)).times(-share)
    return LoadRule(name, form, 0.0, sense, basis, share=share)


def _truck_ratings(rig: Rig) -> Iterator[LoadRule]:
    truck = rig.truck
    yield most("Truck front axle", front_form(rig), truck.front_rating_lb, "Trucks, Front axle rating")
    yield most("Truck rear axles", rear_form(rig), truck.rear_rating_lb, "Trucks, Rear axle rating")
    if truck.front_tyre_rating_lb is not None:
        yield most("Truck front tyres", front_form(rig), truck.front_tyre_rating_lb, "Trucks, Front tyre rating")
    if truck.rear_tyre_rating_lb is not None:
        yield most("Truck rear tyres", rear_form(rig), truck.rear_tyre_rating_lb, "Trucks, Rear tyre rating")
    yield most("Truck GVWR", front_form(rig) + rear_form(rig), truck.gvwr_lb, "Trucks, GVWR")


def _combination_ratings(rig: Rig) -> Iterator[LoadRule]:
    truck, gross = rig.truck, gross_form(rig)
    yield most("GCWR", gross, truck.gcwr_lb, "Trucks, GCWR")
    if truck.tow_rating_lb is not None:
        yield most("Tow rating", _total((trailer_form(rig),)), truck.tow_rating_lb, "Trucks, Tow rating")
    if truck.registered_weight_lb is not None:
        yield most("Registered weight", gross, truck.registered_weight_lb, "Trucks, Registered weight")


def _steer_rule(rig: Rig, settings: Settings) -> LoadRule:
    least_lb = rig.truck.empty_front_lb * settings.steer_least_pct / 100
    return LoadRule("Steer least", front_form(rig), least_lb, Sense.LEAST, "Settings, Steer least")


def _axle_law(rig: Rig, rule_set: RuleSet) -> Iterator[LoadRule]:
    forms = axle_forms(rig)
    for group in axle_group_limits(axle_positions(rig), rule_set, roles=axle_roles(rig)):
        axles = f"{group.first + 1}-{group.last + 1}"
        name = f"Legal axle {group.first + 1}" if group.first == group.last else f"Legal axles {axles}"
        form = _total(forms[group.first : group.last + 1])
        yield most(name, form, group.limit_lb, group.basis, law=True)
    gross_lb = rule_set.value("gross_lb")
    if gross_lb is not None:
        yield most("Legal gross", gross_form(rig), gross_lb, rule_set.basis("gross_lb"), law=True)
    whole = trailer_limit(rig, rule_set)
    if whole is not None:
        yield most("Legal trailer", _total((trailer_form(rig),)), *whole, law=True)
    share = driving_share(rule_set)
    if share is not None:
        surplus = rear_form(rig) + gross_form(rig).times(-share[0])
        yield LoadRule("Driving axles least", surplus, 0.0, Sense.LEAST, share[1], law=True)


def _tyre_width_rules(rig: Rig, rule_set: RuleSet) -> Iterator[LoadRule]:
    per_inch = rule_set.value("tyre_lb_per_in")
    truck, trailer, basis = rig.truck, rig.trailer, rule_set.basis("tyre_lb_per_in")
    steer_key = "tyre_lb_per_in" if rule_set.value("steer_tyre_lb_per_in") is None else "steer_tyre_lb_per_in"
    on_steer = rule_set.value(steer_key)
    if on_steer is not None and truck.front_tyre_width_in is not None:
        limit = on_steer * 2 * truck.front_tyre_width_in
        yield most("Tyre width", front_form(rig), limit, f"{rule_set.basis(steer_key)}; truck front tyres")
    if per_inch is None:
        return
    if truck.rear_tyre_width_in is not None:
        limit = per_inch * truck.rear_tyres * truck.rear_tyre_width_in
        yield most("Tyre width", rear_form(rig), limit, f"{basis}; truck rear tyres")
    if trailer.tyre_width_in is not None:
        limit = per_inch * trailer.tyres_per_axle * trailer.tyre_width_in
        heaviest = trailer_axles_form(rig).times(max(trailer.shares))
        yield most("Tyre width", heaviest, limit, f"{basis}; trailer tyres, heaviest axle")
