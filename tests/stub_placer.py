"""A stand-in for the placement that knows payload and deck length only: a tool to test the optimiser's own rules.

Payload is the trailer's GVWR less its empty weight; items stand in load order from the front of the deck. A lone
item wider than 102 in rides under its move's permit, and then its legs need the permit; no other may be that wide.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence

from dispatch.fleet import Deck, Rig
from dispatch.placement import Load, LoadRequest, Placer
from dispatch.plan import Placed
from dispatch.problem import Problem

WIDEST_IN = 102.0


class StubPlacer(Placer):
    """Places loads by payload and length. ``veto`` makes requests illegal for reasons of a test's own."""

    def __init__(self, problem: Problem, veto: Callable[[Rig, LoadRequest], bool] = lambda rig, request: False):
        self.problem = problem
        self.veto = veto
        self.asked = 0

    def load_class(self, rig: Rig) -> Hashable:
        trailer = rig.trailer
        return trailer.gvwr_lb, trailer.empty_coupler, trailer.empty_axles, trailer.deck_length_in

    def _too_much(self, rig: Rig, hauls: Iterable[int]) -> bool:
        items = [self.problem.hauls[haul].item for haul in hauls]
        empty_lb = rig.trailer.empty_coupler.nominal_lb + rig.trailer.empty_axles.nominal_lb
        payload_lb = rig.trailer.gvwr_lb - empty_lb
        gaps_in = self.problem.settings.gap_in * (len(items) - 1)
        length_in = sum(item.length_in for item in items) + gaps_in
        too_heavy = sum(item.weight.nominal_lb for item in items) > payload_lb
        return too_heavy or length_in > rig.trailer.deck_length_in

    def hopeless(self, rig: Rig, hauls: Iterable[int]) -> bool:
        return self._too_much(rig, list(hauls))

    def room(self, rig: Rig) -> tuple[float, float]:
        empty_lb = rig.trailer.empty_coupler.nominal_lb + rig.trailer.empty_axles.nominal_lb
        payload_lb = rig.trailer.gvwr_lb - empty_lb
        return 1.1 * payload_lb, rig.trailer.deck_length_in + self.problem.settings.gap_in

    def find(self, rig: Rig, request: LoadRequest) -> Load | None:
        self.asked += 1
        hauls = [self.problem.hauls[haul] for haul in request.load_order]
        wide = [haul for haul in hauls if haul.item.width_in > WIDEST_IN]
        if wide and (len(hauls) > 1 or wide[0].permit is None):
            return None
        if self._too_much(rig, request.load_order) or self.veto(rig, request):
            return None
        placed, edge = [], 0
        for haul in hauls:
            placed.append(Placed(haul.index, Deck.MAIN, edge, haul.item.facings[0]))
            edge += round(haul.item.length_in + self.problem.settings.gap_in)
        return Load(tuple(placed), tuple(bool(wide) for _ in request.states))

    def find_many(self, rig: Rig, requests: Sequence[LoadRequest]) -> list[Load | None]:
        return [self.find(rig, request) for request in requests]

    def best(self, rig: Rig, request: LoadRequest) -> Load | None:
        return self.find(rig, request)
