"""What a trip asks of placement, and the orders along the deck that its loading order allows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations, product

from dispatch.fleet import Deck, Rig
from dispatch.items import Facing, Item, LoadsBy
from dispatch.plan import Placed
from dispatch.problem import Problem
from dispatch.units import SLACK_IN


@dataclass(frozen=True, slots=True)
class DeckState:
    """One loaded leg of a trip: who is aboard (haul indices in load order), from where to where."""

    aboard: tuple[int, ...]
    origin: str
    destination: str


@dataclass(frozen=True, slots=True)
class Pin:
    """What is settled beforehand about one haul's place; ``None``: left open."""

    haul: int
    deck: Deck | None = None
    facing: Facing | None = None
    front_edge_in: int | None = None


@dataclass(frozen=True, slots=True)
class LoadRequest:
    """A trip to place: load and unload order (haul indices) and the loaded legs between different sites.

    ``pins``: at most one a haul; what they settle is kept.
    """

    load_order: tuple[int, ...]
    unload_order: tuple[int, ...]
    states: tuple[DeckState, ...]
    pins: tuple[Pin, ...] = ()

    def pin(self, haul: int) -> Pin:
        """What is settled about the haul."""
        return next((pin for pin in self.pins if pin.haul == haul), Pin(haul))


@dataclass(frozen=True, slots=True)
class Load:
    """A legal load, placements in load order. ``permit_legs``: that leg is over a limit of law under a permit."""

    placements: tuple[Placed, ...]
    permit_legs: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Hauls in order along the deck, with deck and facing."""

    hauls: tuple[int, ...]
    decks: tuple[Deck, ...]
    facings: tuple[Facing, ...]


@dataclass(frozen=True, slots=True)
class Order:
    """Places in the load order, front to rear; the first ``on_neck`` of them stand on the neck deck."""

    places: tuple[int, ...]
    on_neck: int


def arrangements(problem: Problem, rig: Rig, request: LoadRequest) -> Iterator[Arrangement]:
    """Every order along the deck, deck choice and facing that the loading order allows."""
    loads = {h: i for i, h in enumerate(request.load_order)}
    lifted = tuple([problem.hauls[h].how is LoadsBy.LIFTED for h in request.load_order])
    unload = tuple([loads[h] for h in request.unload_order])
    for order in orders(lifted, never_behind(lifted, unload), neck=rig.trailer.neck is not None):
        hauls = tuple([request.load_order[i] for i in order.places])
        if not _decks_agree(request, hauls[: order.on_neck]):
            continue
        decks = (Deck.NECK,) * order.on_neck + (Deck.MAIN,) * (len(hauls) - order.on_neck)
        for facing in product(*[_facings(problem.hauls[h].item, request.pin(h)) for h in hauls]):
            yield Arrangement(hauls, decks, facing)


def orders(lifted: Sequence[bool], barred: Sequence[int], *, neck: bool) -> Iterator[Order]:
    """Every order along the deck that the loading order allows, with the items that stand on the neck deck.

    ``lifted``: by place in the load order; only lifted items stand on the neck deck. ``barred``: what
    ``never_behind`` gives, which holds on the main deck.
    """
    able = [place for place, one in enumerate(lifted) if one]
    for choice in product((False, True) if neck else (False,), repeat=len(able)):
        on_neck = [place for place, chosen in zip(able, choice, strict=True) if chosen]
        on_main = [place for place in range(len(lifted)) if place not in on_neck]
        for main in _in_line(on_main, barred):
            for ahead in permutations(on_neck):
                yield Order((*ahead, *main), len(ahead))


def never_behind(lifted: Sequence[bool], unload: Sequence[int]) -> tuple[int, ...]:
    """For every place in the load order, the places that may not stand behind it on the main deck, as bits.

    Nothing stands behind a rear-loaded item when it comes on or off; a lifted item comes on and off from the side.
    ``unload``: the places in the order in which the items come off.
    """
    bars, still_on = [0] * len(unload), (1 << len(unload)) - 1
    for place in unload:
        still_on &= ~(1 << place)
        bars[place] = 0 if lifted[place] else still_on | ((1 << place) - 1)
    return tuple(bars)


def _in_line(places: Sequence[int], barred: Sequence[int]) -> list[tuple[int, ...]]:
    """The permutations in which nothing stands where it may not, in the sequence of ``permutations``."""
    if not places:
        return [()]
    everything = sum(1 << place for place in places)
    found = []
    for place in places:
        if not barred[place] & (everything - (1 << place)):
            behind = [other for other in places if other != place]
            found += [(place, *rest) for rest in _in_line(behind, barred)]
    return found


def _decks_agree(request: LoadRequest, on_neck: Sequence[int]) -> bool:
    return all(pin.deck in (None, Deck.NECK if pin.haul in on_neck else Deck.MAIN) for pin in request.pins)


def _facings(item: Item, pin: Pin) -> tuple[Facing, ...]:
    return facings_of(item) if pin.facing is None else (pin.facing,)


def facings_of(item: Item) -> tuple[Facing, ...]:
    """The facings worth trying: one is enough for an item that is the same both ways round."""
    return item.facings[:1] if is_alike_both_ways(item) else item.facings


def is_alike_both_ways(item: Item) -> bool:
    """Whether the facing makes no difference: centre of gravity and contact are in the item's middle."""
    middle_cg = abs(2 * item.cg_in - item.length_in) < SLACK_IN
    middle_contact = abs(2 * item.contact_from_in + item.contact_length_in - item.length_in) < SLACK_IN
    return middle_cg and middle_contact
