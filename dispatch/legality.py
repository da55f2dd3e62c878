"""What "legal" means: one small function a rule, each returning a check record with the basis of its limit.

``leg_checks`` holds on every loaded leg, ``trip_checks`` once a trip, ``trip_cautions`` forbid nothing but must
be known. Worst cases run over every true weight within tolerance.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from dispatch.axle_loads import cg_in, contact_load_beyond, to_coupler
from dispatch.checks import Check, Sense
from dispatch.dimensions import length_key
from dispatch.fleet import Deck, Licence, Rig
from dispatch.items import Contact, Item, LoadsBy, Weight
from dispatch.licences import class_needed, classes_short
from dispatch.limits import RuleSet
from dispatch.load_rules import LoadRule, gross_form, load_rules, trailer_form
from dispatch.moves import Haul
from dispatch.plan import Leg, Placed, Trip
from dispatch.problem import Problem
from dispatch.securement import Securement, secure
from dispatch.sites import Site
from dispatch.units import SLACK_IN, SLACK_LB
from dispatch.winching import line_pull_lb


@dataclass(frozen=True, slots=True)
class Standing:
    """An item on deck with its places behind the coupler, inches."""

    haul: Haul
    placed: Placed
    cg_in: float
    front_in: float

    @property
    def item(self) -> Item:
        """What stands there."""
        return self.haul.item

    @property
    def rear_in(self) -> float:
        """Rear end of its body behind the coupler."""
        return self.front_in + self.haul.item.length_in


def stand(problem: Problem, rig: Rig, on_deck: Iterable[Placed]) -> tuple[Standing, ...]:
    """The items on deck with their places behind the coupler."""
    standing = []
    for placed in on_deck:
        haul = problem.hauls[placed.haul]
        front = to_coupler(rig.trailer, placed.deck, placed.front_edge_in)
        standing.append(Standing(haul, placed, cg_in(haul.item, placed.facing, front), front))
    return tuple(standing)


def leg_checks(problem: Problem, rig: Rig, leg: Leg) -> tuple[Check, ...]:
    """Every check of one loaded leg, in the order of the Weights sheet; law that a permit lifts is waived."""
    on_deck = stand(problem, rig, leg.on_deck)
    ends = (problem.sites[leg.origin], problem.sites[leg.destination])
    lifted = may_exceed_law(on_deck)
    checks = (
        *_weight_checks(problem, rig, on_deck),
        *((check, False) for check in deck_rating_checks(rig, on_deck)),
        *_size_checks(problem, rig, on_deck),
        *((check, False) for check in site_checks(rig, on_deck, ends)),
        (licence_check(problem, rig, on_deck), False),
    )
    return tuple(_waived(check) if is_law and lifted else check for check, is_law in checks)


def may_exceed_law(on_deck: Sequence[Standing]) -> bool:
    """Whether a permit lifts limits of law on this leg: one item, alone on the deck, with a permit."""
    return len(on_deck) == 1 and on_deck[0].haul.permit is not None


def _waived(check: Check) -> Check:
    if check.ok:
        return check
    return replace(check, ok=True, waived=True, basis=f"{check.basis}; exceeded under the move's permit")


def _weight_checks(problem: Problem, rig: Rig, on_deck: Sequence[Standing]) -> Iterator[tuple[Check, bool]]:
    tyre_width: list[Check] = []
    for rule in load_rules(rig, problem.settings, problem.rules):
        check = evaluate(rule, rig, [s.item.weight for s in on_deck], [s.cg_in for s in on_deck])
        if rule.name == "Tyre width":
            tyre_width.append(check)
        else:
            yield check, rule.law
    if tyre_width:  # one name, several positions: the tightest stands for all
        yield max(tyre_width, key=lambda check: check.use), False


def evaluate(rule: LoadRule, rig: Rig, weights: Sequence[Weight], cgs_in: Sequence[float]) -> Check:
    """One weight rule as a check record; a share is reported in per cent of the loaded trailer."""
    trailer = rig.trailer
    value = rule.form.nominal(trailer, weights, cgs_in)
    worst = rule.form.worst(trailer, weights, cgs_in, rule.sense)
    over_lb = worst - rule.limit_lb if rule.sense is Sense.MOST else rule.limit_lb - worst
    ok = over_lb <= SLACK_LB
    if rule.share is None:
        return Check(rule.name, value, worst, rule.limit_lb, "lb", rule.sense, ok, rule.basis)
    whole = trailer_form(rig)
    nominal = rule.share + value / whole.nominal(trailer, weights, cgs_in)
    extreme = _extreme_share(rule, rig, weights, cgs_in)
    return Check(rule.name, nominal * 100, extreme * 100, rule.share * 100, "%", rule.sense, ok, rule.basis)


def _extreme_share(rule: LoadRule, rig: Rig, weights: Sequence[Weight], cgs_in: Sequence[float]) -> float:
    """Least or greatest coupler share over all true weights (Dinkelbach's method for a ratio of linear forms)."""
    trailer, whole = rig.trailer, trailer_form(rig)
    assert rule.share is not None
    coupler = rule.form + whole.times(rule.share)
    share = rule.share
    for _ in range(50):
        form = coupler + whole.times(-share)
        empties = (trailer.empty_coupler, trailer.empty_axles)
        factors = (form.k_coupler, form.k_axles, *(form.coefficient(x) for x in cgs_in))
        top = bottom = 0.0
        for weight, factor, in_coupler in zip(
            (*empties, *weights), factors, (1.0, 0.0, *(coupler.coefficient(x) for x in cgs_in)), strict=True
        ):
            heavy = (factor > 0) == (rule.sense is Sense.MOST)
            true_lb = weight.high_lb if heavy else weight.low_lb
            top += in_coupler * true_lb
            bottom += true_lb
        if abs(top / bottom - share) < 1e-13:
            break
        share = top / bottom
    return share


def deck_rating_checks(rig: Rig, on_deck: Sequence[Standing]) -> Iterator[Check]:
    """Load standing on the dovetail and on the neck deck while driving, against their ratings."""
    trailer = rig.trailer
    if trailer.dovetail_length_in > 0 and trailer.dovetail_rating_lb is not None:
        hinge = trailer.deck_length_in - trailer.dovetail_length_in
        shares = [dovetail_share(s, hinge) for s in on_deck]
        value = sum(f * s.item.weight.nominal_lb for f, s in zip(shares, on_deck, strict=True))
        worst = sum(f * s.item.weight.high_lb for f, s in zip(shares, on_deck, strict=True))
        yield _upper("Dovetail", value, worst, trailer.dovetail_rating_lb, "lb", "Trailers, Dovetail rating")
    if trailer.neck is not None and trailer.neck.rating_lb is not None:
        on_neck = [s.item.weight for s in on_deck if s.placed.deck is Deck.NECK]
        value, worst = sum(w.nominal_lb for w in on_neck), sum(w.high_lb for w in on_neck)
        yield _upper("Neck deck", value, worst, trailer.neck.rating_lb, "lb", "Trailers, Neck deck rating")


def dovetail_share(standing: Standing, hinge_in: float) -> float:
    """Part of an item's weight that rests behind the dovetail's hinge (inches from the deck front)."""
    if standing.placed.deck is Deck.NECK:
        return 0.0
    return contact_load_beyond(standing.item, standing.placed.facing, standing.placed.front_edge_in, 1.0, hinge_in)


def _upper(name: str, value: float, worst: float, limit: float, unit: str, basis: str) -> Check:
    slack = SLACK_LB if unit == "lb" else SLACK_IN
    return Check(name, value, worst, limit, unit, Sense.MOST, worst <= limit + slack, basis)


def load_height_in(rig: Rig, on_deck: Iterable[Standing]) -> float:
    """Highest point of truck and load above the road, inches."""
    heights = [rig.truck.height_in or 0.0, rig.trailer.deck_height_in]
    if rig.trailer.neck is not None:
        heights.append(rig.trailer.neck.height_in)
    for s in on_deck:
        neck = rig.trailer.neck
        deck = neck.height_in if s.placed.deck is Deck.NECK and neck else rig.trailer.deck_height_in
        heights.append(deck + s.item.height_in)
    return max(heights)


def load_width_in(rig: Rig, on_deck: Iterable[Standing], limit_in: float | None) -> float:
    """Widest point of the load, inches; the trailer's own deck counts where it is over the limit by itself.

    A deck as wide as the law allows would otherwise stand at 100 % use on every leg and hide what is tight.
    """
    trailer = rig.trailer
    decks = [trailer.deck_width_in] + ([] if trailer.neck is None else [trailer.neck.width_in])
    over = [width for width in decks if limit_in is not None and width > limit_in + SLACK_IN]
    return max([0.0, *over, *(s.item.width_in for s in on_deck)])


def rig_length_in(rig: Rig, on_deck: Iterable[Standing] = ()) -> float:
    """Overall length from the front bumper to the rearmost point of trailer or load, inches."""
    trailer = rig.trailer
    rearmost = trailer.deck_from_coupler_in + trailer.deck_length_in + trailer.deck_to_rear_in
    rearmost = max([rearmost, *(s.rear_in for s in on_deck)])
    return rig.truck.front_overhang_in + rig.truck.coupler_in + rearmost


def rear_overhang_in(rig: Rig, on_deck: Iterable[Standing]) -> float:
    """How far the load reaches behind the end of the deck, inches; 0 when it does not."""
    end = rig.trailer.deck_from_coupler_in + rig.trailer.deck_length_in
    return max([0.0, *(s.rear_in - end for s in on_deck)])


def _size_checks(problem: Problem, rig: Rig, on_deck: Sequence[Standing]) -> Iterator[tuple[Check, bool]]:
    rules = problem.rules
    sizes = (
        ("Width", load_width_in(rig, on_deck, rules.value("width_in")), "width_in"),
        ("Height", load_height_in(rig, on_deck), "height_in"),
        ("Length", rig_length_in(rig, on_deck), length_key(rig, rules)),
    )
    for name, value, key in sizes:
        limit = rules.value(key)
        if limit is not None:
            yield _upper(name, value, value, limit, "in", rules.basis(key)), True
    over = rear_overhang_in(rig, on_deck)
    allowed = problem.settings.rear_overhang_in
    yield _upper("Overhang", over, over, allowed, "in", "Settings, Rear overhang allowed"), False


def site_checks(rig: Rig, on_deck: Sequence[Standing], ends: Sequence[Site]) -> Iterator[Check]:
    """The two sites' own limits; where both set one, the lower decides."""
    length, height = rig_length_in(rig, on_deck), load_height_in(rig, on_deck)
    site = _lowest(ends, "longest_rig_in")
    if site is not None and site.longest_rig_in is not None:
        yield _upper("Site length", length, length, site.longest_rig_in, "in", f"Sites, {site.name}, Longest rig")
    site = _lowest(ends, "highest_load_in")
    if site is not None and site.highest_load_in is not None:
        yield _upper(
            "Site height", height, height, site.highest_load_in, "in", f"Sites, {site.name}, Highest load"
        )
    site = _lowest(ends, "heaviest_gross_lb")
    if site is not None and site.heaviest_gross_lb is not None:
        value, worst = gross_lb(rig, on_deck)
        basis = f"Sites, {site.name}, Heaviest gross"
        yield _upper("Site gross", value, worst, site.heaviest_gross_lb, "lb", basis)


def _lowest(ends: Sequence[Site], field: str) -> Site | None:
    limited = [site for site in ends if getattr(site, field) is not None]
    return min(limited, key=lambda site: float(getattr(site, field)), default=None)


def gross_lb(rig: Rig, on_deck: Sequence[Standing]) -> tuple[float, float]:
    """Gross of the combination, nominal and worst case, pounds."""
    form = gross_form(rig)
    weights, cgs = [s.item.weight for s in on_deck], [s.cg_in for s in on_deck]
    return form.nominal(rig.trailer, weights, cgs), form.worst(rig.trailer, weights, cgs, Sense.MOST)


def licence_check(problem: Problem, rig: Rig, on_deck: Sequence[Standing]) -> Check:
    """How many classes the driver's licence falls short of what ratings or the actual gross need; limit 0."""
    _, worst = gross_lb(rig, on_deck)
    rules = problem.rules
    needed = licence_needed(rules, rig, worst)
    short = classes_short(rig.licence, needed, rules)
    basis = f"{rules.licence_clause}: needs {needed.value}; Rigs, Licence: {rig.licence.value}"
    if not rules.licences:
        basis = f"{rules.licence_clause}: not checked"
    return Check("Licence", short, short, 0, "count", Sense.MOST, short == 0, basis)


def licence_needed(rules: RuleSet, rig: Rig, actual_lb: float) -> Licence:
    """Licence class that the rig needs by its ratings, or by its actual gross, pounds, where greater."""
    axles = 1 + rig.truck.rear_axles
    return class_needed(rig.truck.gvwr_lb, rig.trailer.gvwr_lb, actual_lb, rules, truck_axles=axles)


def trip_checks(problem: Problem, rig: Rig, trip: Trip) -> tuple[Check, ...]:
    """Ramp, Winch, Tie-downs and Tie-down WLL, once a trip."""
    hauls = [problem.hauls[haul] for haul in trip.hauls()]
    decks = [tuple(problem.hauls[placed.haul].item for placed in leg.on_deck) for leg in trip.legs()]
    return gear_checks(problem, rig, hauls, decks)


def gear_checks(
    problem: Problem, rig: Rig, hauls: Sequence[Haul], decks: Sequence[tuple[Item, ...]]
) -> tuple[Check, ...]:
    """Ramp, Winch, Tie-downs and Tie-down WLL for the hauls of a trip; ``decks``: what is aboard, leg by leg."""
    checks = [*_ramp_check(rig, hauls), *_winch_check(problem, rig, hauls)]
    results = [secure(deck, rig) for deck in decks if deck]
    if results:
        checks.extend(_tie_down_checks(rig, results))
    return tuple(checks)


def _ramp_check(rig: Rig, hauls: Sequence[Haul]) -> Iterator[Check]:
    rolling = [haul.item.weight for haul in hauls if haul.how is not LoadsBy.LIFTED]
    if rig.trailer.ramp_rating_lb is not None and rolling:
        heaviest = max(rolling, key=lambda weight: weight.high_lb)
        limit = rig.trailer.ramp_rating_lb
        yield _upper("Ramp", heaviest.nominal_lb, heaviest.high_lb, limit, "lb", "Trailers, Ramp rating")


def winch_pull_lb(problem: Problem, rig: Rig, weight_lb: float, contact: Contact) -> float:
    """Line pull that the item needs on this trailer, pounds; skids resist as tracks."""
    settings = problem.settings
    wheels = contact is Contact.WHEELS
    resistance = settings.rolling_wheels if wheels else settings.rolling_tracks
    return line_pull_lb(weight_lb, rig.trailer.loading_angle_deg, resistance, rig.trailer.snatch_block)


def _winch_check(problem: Problem, rig: Rig, hauls: Sequence[Haul]) -> Iterator[Check]:
    pulls = [
        (
            winch_pull_lb(problem, rig, haul.item.weight.high_lb, haul.item.contact),
            winch_pull_lb(problem, rig, haul.item.weight.nominal_lb, haul.item.contact),
        )
        for haul in hauls
        if haul.how is LoadsBy.WINCHED
    ]
    if pulls:
        worst, value = max(pulls)
        yield _upper("Winch", value, worst, rig.trailer.winch_pull_lb, "lb", "Trailers, Winch pull")


def _tie_down_checks(rig: Rig, results: Sequence[Securement]) -> Iterator[Check]:
    yield max((_count_check(rig, result) for result in results), key=lambda check: (not check.ok, check.use))
    strengths = [_strength_check(result) for result in results if any(h.wll_checked for h in result.holdings)]
    if strengths:
        yield max(strengths, key=lambda check: (not check.ok, check.use))


def _count_check(rig: Rig, result: Securement) -> Check:
    """Tie-downs and anchors needed, by number and by rating, against those carried; the scarcest kind stands."""
    carried = "Rigs, Chains and Straps"
    pairs = [(result.tie_downs, rig.chains + rig.straps, carried)]
    if not result.enough:
        pairs += [(result.chains, rig.chains, "Rigs, Chains"), (result.straps, rig.straps, "Rigs, Straps")]
    if rig.trailer.anchor_points is not None:
        pairs.append((result.anchors, rig.trailer.anchor_points, "Trailers, Anchor points"))
    used, limit, sheet = max(pairs, key=lambda pair: (pair[0] > pair[1], pair[0] / max(pair[1], 1)))
    clauses = "; ".join(dict.fromkeys(holding.basis for holding in result.holdings))
    basis = "; ".join(part for part in (sheet, clauses, result.shortage) if part)
    return Check("Tie-downs", used, used, limit, "count", Sense.MOST, used <= limit, basis)


def _strength_check(result: Securement) -> Check:
    """Aggregate working load limit needed against given, of the item of known ratings where it is tightest."""
    rated = [holding for holding in result.holdings if holding.wll_checked]
    tightest = max(rated, key=lambda h: h.needed_wll_lb / max(h.aggregate_wll_lb or 0.0, 1.0))
    needed, given = tightest.needed_wll_lb, tightest.aggregate_wll_lb or 0.0
    basis = f"49 CFR 393.106(d), half the weight of {tightest.item}"
    return Check("Tie-down WLL", needed, needed, given, "lb", Sense.MOST, needed <= given + SLACK_LB, basis)
