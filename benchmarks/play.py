"""One run: one day, one method, one limit, in a process of its own. Prints its record as one line of JSON.

Run by ``suite``: ``python -m benchmarks.play 24/5 3 haulday 60``. The clock and the memory are read when the
method has given its plan; everything that judges the plan comes after.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path
from typing import Any

from benchmarks.generator import Size, day, digest, tightness_of
from benchmarks.methods import METHODS, Played
from benchmarks.peers.repair import count_illegal, repaired
from benchmarks.peers.routes import Day, Routes
from benchmarks.scoring import score
from dispatch.problem import Problem

A_MB = 1024 if sys.platform == "linux" else 1024 * 1024
"""A megabyte in the unit in which the system tells memory."""
STATED = {"left out": "left_out", "trips": "trips", "cost": "cents"}
"""Goals and what their values are called in a record."""


def play(size: Size, seed: int, method: str, limit_s: float) -> dict[str, Any]:
    """The record of one run."""
    problem = day(size, seed)
    started = time.perf_counter()
    played = METHODS[method](problem, limit_s)
    seconds = time.perf_counter() - started
    used, by_others = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    record: dict[str, Any] = {
        "size": str(size),
        "seed": seed,
        "windows": tightness_of(seed).name,
        "day": digest(problem),
        "method": method,
        "limit_s": limit_s,
        "seconds": round(seconds, 3),
        "cpu_s": round(sum(one.ru_utime + one.ru_stime for one in (used, by_others)), 3),
        "peak_mb": round(peak_memory_mb(used) + by_others.ru_maxrss / A_MB, 1),  # what both hold counts twice
        "first_s": None if played.first_s is None else round(played.first_s, 3),
        "bounds": dict(played.bounds),
        "events": played.events,
        "note": played.note,
    }
    return record | judged(problem, played)


def judged(problem: Problem, played: Played) -> dict[str, Any]:
    """What the verifier and the calculator say of the plan: scores; of bare routes also what is illegal."""
    if played.routes is not None:
        return judged_routes(problem, played.routes)
    if played.stated:
        return {"score": None, "stated": {name: played.stated[goal] for goal, name in STATED.items()}}
    return {"score": None if played.plan is None else score(problem, played.plan).as_record()}


def judged_routes(problem: Problem, routes: Routes) -> dict[str, Any]:
    """The bare plan, the calculator's count, and the mended plan, which is the one that counts as the method's."""
    own = Day(problem)
    illegal = count_illegal(own, routes)
    return {
        "bare": score(problem, own.plan(routes), loads_too=False).as_record(),
        "illegal": {name: getattr(illegal, name) for name in illegal.__slots__},
        "score": score(problem, own.plan(repaired(own, routes))).as_record(),
    }


def peak_memory_mb(used: resource.struct_rusage) -> float:
    """The most memory that this process has held, MB of 1,048,576 bytes.

    On Linux as ``/proc`` has it: there ``ru_maxrss`` of a process begins with what its parent held.
    """
    status = Path("/proc/self/status")
    lines = status.read_text(encoding="utf-8").splitlines() if status.exists() else []
    peaks = [int(line.split()[1]) / 1024 for line in lines if line.startswith("VmHWM")]
    return peaks[0] if peaks else used.ru_maxrss / A_MB


def main() -> None:
    moves_rigs, seed, method, limit_s = sys.argv[1:]
    print(json.dumps(play(Size.read(moves_rigs), int(seed), method, float(limit_s))))


if __name__ == "__main__":
    main()
