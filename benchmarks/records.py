"""The suite's record: a line of JSON a run, appended as runs end; a long suite can be played in sittings."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

from benchmarks.about_machine import computer

ROOT = Path(__file__).resolve().parent.parent
RESULTS = ROOT / "benchmarks" / "results"
LIBRARIES = ("haulday", "ortools", "highspy", "numpy")

Record = Mapping[str, Any]
Key = tuple[str, int, str, float]
"""Size, seed, method, limit: what is played once."""


def key_of(record: Record) -> Key:
    """What the line is about."""
    return record["size"], record["seed"], record["method"], float(record["limit_s"])


def read(path: Path) -> list[Record]:
    """The records of a file, oldest first; a last line that was cut off by a stop is left out."""
    if not path.exists():
        return []
    found = []
    for line in path.read_text(encoding="utf-8").splitlines():
        try:
            found.append(json.loads(line))
        except json.JSONDecodeError:
            continue
    return found


def append(path: Path, record: Record) -> None:
    """One more line; it is on the disk when this returns."""
    path.parent.mkdir(exist_ok=True)
    with path.open("a", encoding="utf-8") as file:
        file.write(json.dumps(record, separators=(",", ":")) + "\n")
        file.flush()
        os.fsync(file.fileno())


def latest(records: Iterable[Record], digests: Mapping[tuple[str, int], str] | None = None) -> list[Record]:
    """The last line of each key; with ``digests`` only days that are still drawn so."""
    found: dict[Key, Record] = {}
    for record in records:
        day = digests.get((record["size"], record["seed"])) if digests is not None else record.get("day")
        if record.get("day") == day:
            found[key_of(record)] = record
    return list(found.values())


def circumstances() -> dict[str, Any]:
    """Machine, load, versions, commit, date: written into every line."""
    return {
        "machine": computer(),
        "load": round(os.getloadavg()[0], 2),
        "versions": {"python": sys.version.split()[0]} | {name: version(name) for name in LIBRARIES},
        "commit": commit(),
        "date": datetime.now(UTC).strftime("%Y-%m-%d %H:%M"),
    }


def commit() -> str:
    """The commit, with a plus where the product's files differ from it."""
    try:
        name = _git("rev-parse", "--short", "HEAD")
        return name + (
            "+"
            if _git("status", "--porcelain", "--", "dispatch", "tests", "benchmarks/*.py", "benchmarks/peers")
            else ""
        )
    except (OSError, subprocess.CalledProcessError):
        return "unknown"


def _git(*arguments: str) -> str:
    done = subprocess.run(["git", *arguments], cwd=ROOT, capture_output=True, text=True, check=True)
    return done.stdout.strip()
