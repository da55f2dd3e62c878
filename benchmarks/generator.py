"""Seeded invented days for the benchmarks: a county with jobs, a mixed fleet, and what must be where by when.

Moves come in batches, as work does: machines leave the yard for a job together, go on to the next, come home.
Every move can be carried by some rig of the fleet by itself. The suite leaves out what its peers cannot model:
machines moved twice, companions, permits, dead machines, gear that rigs share. Priorities are all 1, so that what
is left out counts moves.
"""

from __future__ import annotations

import hashlib
import random
from collections.abc import Sequence
from dataclasses import dataclass

from benchmarks.machine_kinds import KINDS, MachineKind
from benchmarks.rig_kinds import FLEET, RigKind, carries
from dispatch.fleet import Rig
from dispatch.items import Contact
from dispatch.legality import rig_length_in
from dispatch.moves import Move
from dispatch.problem import Problem
from dispatch.sites import Site
from tests import factories as make

SEEDS = range(10)
NARROW_IN = 720.0
"""Longest rig that gets into a narrow site."""
BATCHES = (1, 1, 2, 2, 3, 4)
LATITUDE, LONGITUDE, SPREAD_DEG = 41.2, -98.8, 0.3
"""The middle of the county, and how far sites lie from it."""


@dataclass(frozen=True, slots=True)
class Size:
    """How many moves and rigs a day has."""

    moves: int
    rigs: int

    @property
    def yards(self) -> int:
        """Yards that the rigs are spread over."""
        return 1 if self.rigs < 8 else 2 if self.rigs < 16 else 3 if self.rigs < 30 else 4

    @property
    def shift_min(self) -> int:
        """Minutes of a shift: longer where there are more moves a rig."""
        return 570 if self.rigs < 16 else 630

    def __str__(self) -> str:
        return f"{self.moves}/{self.rigs}"

    @classmethod
    def read(cls, text: str) -> Size:
        """The size that ``24/5`` stands for."""
        moves, rigs = text.split("/")
        return cls(int(moves), int(rigs))


SIZES = tuple(Size(*size) for size in ((12, 3), (24, 5), (48, 8), (60, 10), (120, 18), (300, 40)))


@dataclass(frozen=True, slots=True)
class Tightness:
    """Windows: the share of batches that have one, and how many minutes it leaves beyond the work and the road."""

    name: str
    windows: float
    slack_min: tuple[int, ...]


LOOSE = Tightness("loose", 0.4, (180, 240, 300))
TIGHT = Tightness("tight", 0.9, (30, 45, 60, 90))


def tightness_of(seed: int) -> Tightness:
    """Even seeds are loose days, odd ones tight."""
    return TIGHT if seed % 2 else LOOSE


def day(size: Size, seed: int) -> Problem:
    """The day of a size and seed; the same ones give the same day."""
    return Drawing(size, seed).day()


def digest(problem: Problem) -> str:
    """Twelve signs that tell one day from another: records of days that are no longer drawn so do not count."""
    parts = (problem.moves, problem.rigs, tuple(problem.sites.values()), problem.settings)
    return hashlib.sha256(repr(parts).encode()).hexdigest()[:12]


class Drawing:
    """One day while it is drawn."""

    def __init__(self, size: Size, seed: int) -> None:
        self.rng = random.Random(f"{size} {seed}")
        self.size, self.tightness = size, tightness_of(seed)
        self.kinds = [FLEET[number % len(FLEET)] for number in range(size.rigs)]
        self.yards = [self._site(f"yard {number + 1}", 0.12) for number in range(size.yards)]
        self.jobs = [self._job(number + 1) for number in range(5 + size.moves // 4)]
        self.short = [kind for kind in dict.fromkeys(self.kinds) if rig_length_in(kind.rig("rig")) <= NARROW_IN]

    def day(self) -> Problem:
        """Rigs first, then batches of moves until there are enough."""
        rigs = [self._rig(number, kind) for number, kind in enumerate(self.kinds)]
        moves: list[Move] = []
        while len(moves) < self.size.moves:
            count = min(self.rng.choice(BATCHES), self.size.moves - len(moves))
            moves += self._batch(len(moves), count)
        return make.problem(moves, rigs, sites=[*self.yards, *self.jobs], roads=[])

    def _site(self, name: str, spread_deg: float, **more: object) -> Site:
        place = {
            "latitude": LATITUDE + self.rng.uniform(-spread_deg, spread_deg),
            "longitude": LONGITUDE + self.rng.uniform(-spread_deg, spread_deg) * 1.3,
        }
        return make.site(name, **(place | more))

    def _job(self, number: int) -> Site:
        hours = self.rng.random() < 0.7
        return self._site(
            f"job {number}",
            SPREAD_DEG,
            opens_min=self.rng.choice([360, 390, 420]) if hours else None,
            closes_min=self.rng.choice([930, 990, 1_050]) if hours else None,
            longest_rig_in=NARROW_IN if self.rng.random() < 0.08 else None,
            lift_on_site=self.rng.random() < 0.9,
        )

    def _rig(self, number: int, kind: RigKind) -> Rig:
        """The rigs take turns with the yards and begin at two hours; of a kind every third trailer is heavier."""
        yard = self.yards[number % len(self.yards)].name
        start = 330 if number // len(self.yards) % 2 else 360
        end = start + self.size.shift_min
        heavier = float(self.rng.choice([0, 0, 300]))
        return kind.rig(f"rig {number + 1}", heavier, yard=yard, shift_start_min=start, shift_end_min=end)

    def _batch(self, number: int, count: int) -> list[Move]:
        """Moves over one road in one window, give or take."""
        origin, destination = self._road()
        window = self._window(count)
        return [self._move(number + place, origin, destination, window) for place in range(count)]

    def _road(self) -> tuple[Site, Site]:
        """From the yard to a job, from a job to the yard, or from one job to the next."""
        yard, (first, second) = self.rng.choice(self.yards), self.rng.sample(self.jobs, 2)
        kind = self.rng.random()
        return (yard, first) if kind < 0.4 else (first, yard) if kind < 0.7 else (first, second)

    def _window(self, count: int) -> tuple[int, int] | None:
        """Ready and due, minutes: between them the batch's work, an hour of road, and the slack."""
        if self.rng.random() >= self.tightness.windows:
            return None
        ready = self.rng.choice(range(420, 751, 30))
        return ready, min(930, ready + 60 + 40 * count + self.rng.choice(self.tightness.slack_min))

    def _move(self, number: int, origin: Site, destination: Site, window: tuple[int, int] | None) -> Move:
        kind = self._machine(origin, destination)
        ready, due = (None, None) if window is None else window
        return make.move(
            f"M{number + 1}",
            kind.drawn(self.rng, f"{kind.name} {number + 1}"),
            origin=origin.name,
            destination=destination.name,
            load_min=self.rng.choice([10, 15, 20, 25]),
            unload_min=self.rng.choice([10, 15, 20]),
            ready_min=ready if self.rng.random() < 0.7 else None,
            due_min=due,
        )

    def _machine(self, origin: Site, destination: Site) -> MachineKind:
        """A kind that some rig of the fleet carries between the two sites."""
        rigs = self.short if origin.longest_rig_in or destination.longest_rig_in else self.kinds
        able = [kind for kind in KINDS if self._may_go(kind, origin, destination, rigs)]
        return self.rng.choices(able, [kind.share for kind in able])[0]

    @staticmethod
    def _may_go(kind: MachineKind, origin: Site, destination: Site, rigs: Sequence[RigKind]) -> bool:
        lifted = kind.contact is Contact.SKIDS
        if lifted and not (origin.lift_on_site and destination.lift_on_site):
            return False
        return any(carries(rig, kind) for rig in rigs)
