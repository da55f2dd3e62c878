"""What a trip asks of placement, and the orders along the deck that its loading order allows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
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


def arrangements(problem: Problem, rig: Rig, request: LoadRequest) -> Iterator[Arrangement]:
    """Every order along the deck, deck choice and facing that the loading order allows."""
    loads = {h: i for i, h in enumerate(request.load_order)}
    unloads = {h: i for i, h in enumerate(request.unload_order)}
    hauls = problem.hauls
    lifted = [h for h in request.load_order if hauls[h].how is LoadsBy.LIFTED]
    neck_choices: Iterable[tuple[bool, ...]] = [(False,) * len(lifted)]
    if rig.trailer.neck is not None:
        neck_choices = product((False, True), repeat=len(lifted))
    for choice in neck_choices:
        on_neck = [h for h, neck in zip(lifted, choice, strict=True) if neck]
        on_main = [h for h in request.load_order if h not in on_neck]
        if not _decks_agree(request, on_neck):
            continue
        for main in permutations(on_main):
            if not _order_works(problem, main, loads, unloads):
                continue
            for neck in permutations(on_neck):
                decks = (Deck.NECK,) * len(neck) + (Deck.MAIN,) * len(main)
                facings = [_facings(hauls[h].item, request.pin(h)) for h in (*neck, *main)]
                for facing in product(*facings):
                    yield Arrangement((*neck, *main), decks, facing)


def _order_works(problem: Problem, main: Sequence[int], loads: dict[int, int], unloads: dict[int, int]) -> bool:
    """Nothing stands behind a rear-loaded item on the main deck when it comes on or off."""
    hauls = problem.hauls
    for place, h in enumerate(main):
        if hauls[h].how is LoadsBy.LIFTED:
            continue
        for behind in main[place + 1 :]:
            if loads[behind] < loads[h] or unloads[behind] > unloads[h]:
                return False
    return True


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
