"""Plays the product and its peers on the same days, one after another, each run in a process of its own.

``python -m benchmarks.suite`` plays what is not in the record yet; ``--report`` writes the tables and the chart
from the record. Days, seeds, methods and limits can be chosen. Stop it at any time and start it again: a line of
the record is a run. It ends with an error as soon as a plan contradicts a bound or the verifier refuses a plan.
"""

from __future__ import annotations

import argparse
import json
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from benchmarks.contradictions import contradictions
from benchmarks.generator import SEEDS, SIZES, Size, day, digest, tightness_of
from benchmarks.methods import METHODS, MOST_MOVES, PRODUCT, WITHOUT_LIMIT
from benchmarks.records import RESULTS, ROOT, Record, append, circumstances, key_of, latest, read
from benchmarks.suite_report import write_report

RECORD = RESULTS / "suite.jsonl"
LIMITS_S = {12: (60.0,), 24: (60.0,)}
LARGE_LIMITS_S = (60.0, 120.0, 300.0)
GRACE_S = 300.0
"""Beyond its limit a run may take so long to be judged, or to notice that its time is over; then it is ended."""


@dataclass(frozen=True, slots=True)
class Run:
    """What is to be played."""

    size: Size
    seed: int
    method: str
    limit_s: float


WARM_UP = Run(Size(12, 3), 0, PRODUCT, 600.0)


def runs(
    sizes: Sequence[Size], seeds: Sequence[int], methods: Sequence[str], limits: Sequence[float]
) -> Iterator[Run]:
    """Day by day; of a day limit by limit; of a limit method by method."""
    for size in sizes:
        for seed in seeds:
            for place, limit in enumerate(limits or LIMITS_S.get(size.moves, LARGE_LIMITS_S)):
                for method in methods:
                    if size.moves > MOST_MOVES.get(method, size.moves):
                        continue
                    if method not in WITHOUT_LIMIT:
                        yield Run(size, seed, method, limit)
                    elif place == 0:
                        yield Run(size, seed, method, 0.0)


def play(run: Run) -> Record:
    """The run's record, made in a process of its own; a run that fails has a line that says so."""
    command = [sys.executable, "-m", "benchmarks.play"]
    command += [str(run.size), str(run.seed), run.method, str(run.limit_s)]
    failed = {
        "size": str(run.size), "seed": run.seed, "windows": tightness_of(run.seed).name,
        "day": digest(day(run.size, run.seed)), "method": run.method, "limit_s": run.limit_s, "bounds": {},
    }  # fmt: skip
    try:
        timeout = run.limit_s + GRACE_S
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True, timeout=timeout)
        return dict(json.loads(done.stdout.splitlines()[-1])) | circumstances()
    except subprocess.TimeoutExpired:
        return failed | {"failed": "ended: it was not done long after its limit"} | circumstances()
    except subprocess.CalledProcessError as error:
        why = (error.stderr or "").strip().splitlines()[-1:] or [f"exit code {error.returncode}"]
        return failed | {"failed": why[0]} | circumstances()


def play_all(todo: Sequence[Run], path: Path, again: bool) -> None:
    """Plays what the record does not hold; exits when something contradicts something."""
    digests = {(str(run.size), run.seed): digest(day(run.size, run.seed)) for run in todo}
    known = {key_of(one) for one in latest(read(path), digests) if "failed" not in one}
    left = [run for run in todo if again or (str(run.size), run.seed, run.method, run.limit_s) not in known]
    print(
        f"{len(left)} of {len(todo)} runs to play, {sum(run.limit_s for run in left) / 3600:.1f} h at most",
        flush=True,
    )
    if left:
        print("once, so that no run pays for it: what a new installation compiles", flush=True)
        play(WARM_UP)
    for number, run in enumerate(left, 1):
        record = play(run)
        append(path, record)
        print(
            f"{number}/{len(left)} {run.size} seed {run.seed}, {run.method} {run.limit_s:g} s: {told(record)}",
            flush=True,
        )
        same_day = [
            one for one in latest(read(path), digests) if one["size"] == str(run.size) and one["seed"] == run.seed
        ]
        stop_if(contradictions(same_day))


def told(record: Record) -> str:
    """The run in a few words."""
    if "failed" in record:
        return f"FAILED: {record['failed']}"
    score = record["score"] or record.get("stated")
    if score is None:
        return record["note"] or "no plan"
    goals = f"{score['left_out']:g} left out, {score['trips']} trips, {score['cents'] / 100:,.2f}"
    return f"{goals} in {record['seconds']:.1f} s and {record['peak_mb']:.0f} MB"


def stop_if(wrong: Sequence[str]) -> None:
    """Ends with an error when there is anything wrong."""
    if wrong:
        sys.exit("CONTRADICTION\n" + "\n".join(wrong))


def arguments() -> argparse.Namespace:
    """The command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", nargs="+", type=Size.read, default=list(SIZES), metavar="MOVES/RIGS")
    parser.add_argument("--seeds", nargs="+", type=int, default=list(SEEDS))
    parser.add_argument("--methods", nargs="+", choices=list(METHODS), default=list(METHODS))
    parser.add_argument("--limits", nargs="+", type=float, default=[], metavar="SECONDS")
    parser.add_argument("--record", type=Path, default=RECORD)
    parser.add_argument("--again", action="store_true", help="play what the record holds already, too")
    parser.add_argument("--report", action="store_true", help="play nothing; write tables and chart")
    return parser.parse_args()


def main() -> None:
    """Plays, or reports."""
    for stop in (signal.SIGINT, signal.SIGTERM):  # the run in hand ends too, in the background as well
        signal.signal(stop, lambda *_: sys.exit("stopped; the same command goes on from here"))
    asked = arguments()
    if asked.report:
        stop_if(write_report(asked.record))
    else:
        play_all(list(runs(asked.sizes, asked.seeds, asked.methods, asked.limits)), asked.record, asked.again)


if __name__ == "__main__":
    main()
