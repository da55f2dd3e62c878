"""Second witnesses for what the planner claims: exact runs built differently, on seeded days.

``python benchmarks/witnesses.py play small|12|24|48 [FROM TO]`` plays the days with these seeds that have no line
yet in ``benchmarks/results/witnesses.jsonl`` (a long series can be played in sittings);
``python benchmarks/witnesses.py report`` writes ``benchmarks/results/witnesses.md``.
``--again`` plays days anew that have a line.

- ``small``: random days of 2 to 12 moves with every kind of constraint, shared trucks and drivers, machines moved
  twice. Witnesses: all rig-days, or where those are too many the ones that a better plan could hold; the monolith
  where neither is for such a day, and on every fourth day besides.
- ``12``, ``24``, ``48``: the suite's days. Witness: the rig-days that a better plan could hold; at 12 the monolith
  too. The witness lists trips plainly and alone, so at 48 the days played are those with few trips: mostly tight
  ones with no more than some 3,000 sets a rig, drawn as the suite's but by further seeds as well.

A plan's values are counted from the plan by the verifier, so a proof is confirmed when the witness shows that no
better plan exists. What is compared with what: docs/external-checks.md.
"""

from __future__ import annotations

import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import combinations
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from benchmarks.about_machine import computer  # noqa: E402
from benchmarks.generator import Size, digest  # noqa: E402
from benchmarks.generator import day as suite_day  # noqa: E402
from benchmarks.records import append, read  # noqa: E402
from dispatch.items import LoadsBy  # noqa: E402
from dispatch.placement import Placer  # noqa: E402
from dispatch.plan import Plan  # noqa: E402
from dispatch.problem import Problem, shares_gear  # noqa: E402
from dispatch.solve import solve  # noqa: E402
from dispatch.verify import verify  # noqa: E402
from tests.external.random_days import Sizes, random_day  # noqa: E402
from tests.external.second_opinion import (  # noqa: E402
    Opinion,
    all_rig_days,
    confirmed,
    disagreements,
    one_model,
    rig_days_in_the_gap,
)

LINES = ROOT / "benchmarks" / "results" / "witnesses.jsonl"
REPORT = ROOT / "benchmarks" / "results" / "witnesses.md"
GOALS = ("left out", "trips", "cost")
MONOLITH_EVERY = 4


@dataclass(frozen=True, slots=True)
class Series:
    """A family of days, the seeds played when none are named, and the product's limit."""

    seeds: range
    limit_s: float
    most: int
    """Partial days that the witness may look at."""


SERIES = {
    "small": Series(range(1000, 1300), 60, 300_000),
    "12": Series(range(20), 60, 1_500_000),
    "24": Series(range(20), 60, 1_500_000),
    "48": Series(range(20), 300, 2_500_000),
}


def day(series: str, seed: int) -> Problem:
    """A day of a series; small ones have two or three rigs, as only two share gear."""
    if series == "small":
        return random_day(seed, Sizes(12, 2 + seed % 2))
    return suite_day(Size(int(series), {"12": 3, "24": 5, "48": 8}[series]), seed)


def opinions(series: str, seed: int, problem: Problem, placer: Placer, plan: Plan) -> Iterator[Opinion]:
    """What the witnesses of the series say."""
    most = SERIES[series].most
    listed = all_rig_days(problem, placer, most) if series == "small" else None
    if listed is None:
        listed = rig_days_in_the_gap(problem, placer, plan, most=most)
    if listed is not None:
        yield listed
    if listed is None or series == "12" or (series == "small" and seed % MONOLITH_EVERY == 0):
        yield one_model(problem, placer, seconds=30 if series == "small" else 60)


def play(series: str, seed: int) -> dict[str, Any]:
    """One day: the product, then the witnesses."""
    problem = day(series, seed)
    placer = Placer(problem)
    start = time.perf_counter()
    plan = solve(problem, placer=placer, time_limit_s=SERIES[series].limit_s)
    seconds = time.perf_counter() - start
    told = []
    for opinion in opinions(series, seed, problem, placer, plan):
        told.append(
            {
                "witness": opinion.witness,
                "goals": {name: [said.value, said.floor] for name, said in opinion.goals.items()},
                "confirmed": confirmed(plan.levels, opinion),
                "disagreements": disagreements(plan.levels, opinion),
                "note": opinion.note,
                "seconds": round(time.perf_counter() - start - seconds, 1),
            }
        )
    return {
        "series": series,
        "seed": seed,
        "day": digest(problem),
        "moves": len(problem.moves),
        "rigs": len(problem.rigs),
        "seconds": round(seconds, 1),
        "levels": {level.name: [level.value, level.bound, level.proved] for level in plan.levels},
        "violations": [str(one) for one in verify(problem, plan)],
        "opinions": told,
        "date": str(date.today()),
        "state": state(),
    }


def state() -> str:
    """The commit that was played; empty outside a checkout."""
    asked = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return asked.stdout.strip()


def play_all(series: str, seeds: Sequence[int], *, again: bool) -> None:
    known = {(line["series"], line["seed"], line["day"]) for line in read(LINES)}
    for seed in seeds:
        if again or (series, seed, digest(day(series, seed))) not in known:
            line = play(series, seed)
            append(LINES, line)
            bad = [text for told in line["opinions"] for text in told["disagreements"]] + line["violations"]
            sys.stdout.write(f"{series} {seed}: {line['levels']} {bad or 'no disagreement'}\n")
            sys.stdout.flush()


# The report


def latest() -> list[dict[str, Any]]:
    """The last line of each day."""
    return list({(line["series"], line["seed"]): dict(line) for line in read(LINES)}.values())


def row(series: str, lines: Sequence[dict[str, Any]]) -> str:
    """How many days, how many goals are proved by the product, how many of them a witness confirms."""
    moves = [line["moves"] for line in lines]
    cells = []
    for goal in GOALS:
        proved = [line for line in lines if line["levels"][goal][2]]
        seen = [line for line in proved if any(goal in told["confirmed"] for told in line["opinions"])]
        cells.append(f"{len(seen)} of {len(proved)}")
    whole = sum(
        all(line["levels"][goal][2] and any(goal in t["confirmed"] for t in line["opinions"]) for goal in GOALS)
        for line in lines
    )
    bad = sum(bool(line["violations"]) or any(t["disagreements"] for t in line["opinions"]) for line in lines)
    sizes = f"{min(moves)} to {max(moves)}" if min(moves) < max(moves) else f"{moves[0]}"
    return f"| {series} | {sizes} | {len(lines)} | {' | '.join(cells)} | {whole} | {bad} |"


def with_the_monolith(lines: Sequence[dict[str, Any]]) -> Iterator[str]:
    """What the days were like on which the monolith proved all three goals too."""
    proved = [
        day(line["series"], line["seed"])
        for line in lines
        for told in line["opinions"]
        if told["witness"] == "monolith" and len(told["confirmed"]) == len(GOALS)
    ]
    large = sum(len(one.moves) >= 8 for one in proved)
    shared = sum(any(shares_gear(a, b) for a, b in combinations(one.rigs, 2)) for one in proved)
    twice = sum(bool(one.successors) for one in proved)
    lifted = sum(any(haul.how is LoadsBy.LIFTED for haul in one.hauls) for one in proved)
    permits = sum(any(move.permit for move in one.moves) for one in proved)
    yield (
        f"The monolith agreed on all three goals of {len(proved)} days: {large} of 8 moves or more, {shared} with "
        f"shared gear, {twice} with a machine moved twice, {lifted} with lifted items, {permits} with permits."
    )


def better_known(line: dict[str, Any], told: dict[str, Any]) -> Iterator[str]:
    """Where the witness has a better plan than one that was not called proved, as good on the goals before."""
    for goal in GOALS:
        if goal not in told["goals"]:
            return
        own, known = line["levels"][goal][0], told["goals"][goal][0]
        if known < own - 1e-6:
            yield f"- {line['series']} {line['seed']}, {goal}: {own:g}, the {told['witness']} has {known:g}"
        if known != own and told["witness"] != "rig-days in the gap":
            return


def report() -> str:
    lines = latest()
    by_series = {name: [line for line in lines if line["series"] == name] for name in SERIES}
    names = Counter(told["witness"] for line in lines for told in line["opinions"])
    states = Counter(line["state"] for line in lines)
    bad = [
        f"- {line['series']} {line['seed']}: {text}"
        for line in lines
        for text in [*line["violations"], *(t for told in line["opinions"] for t in told["disagreements"])]
    ]
    better = [text for line in lines for told in line["opinions"] for text in better_known(line, told)]
    return "\n".join(
        [
            "# Second witnesses",
            "",
            f"Written by `python benchmarks/witnesses.py report` on {date.today()}. {computer()}.",
            "",
            "Each cell: goals that the product proved and a witness, an exact run built differently, proved too.",
            "*All*: days with all three goals proved by both. *Disagree*: days on which a plan or a bound of one",
            "contradicts a bound or a plan of the other, or the verifier refuses a plan. Where a proof is not",
            "confirmed, the witness ran out of its budget.",
            "",
            "| series | moves | days | left out | trips | cost | all | disagree |",
            "|---|---|---|---|---|---|---|---|",
            *(row(name, own) for name, own in by_series.items() if own),
            "",
            "Witnesses: " + ", ".join(f"{name} on {count} days" for name, count in sorted(names.items())) + ".",
            "Seeds of 48 moves, days with few trips, which the witness can list: "
            + ", ".join(str(line["seed"]) for line in by_series["48"])
            + ".",
            "Played at commit: "
            + ", ".join(f"{name or 'unknown'} ({count} days)" for name, count in states.items()),
            "",
            *with_the_monolith(lines),
            "",
            "## Disagreements",
            "",
            *(bad or ["None."]),
            "",
            "## Where a witness knows better, and nothing else was claimed",
            "",
            *(better or ["Nowhere."]),
            "",
        ]
    )


def main(words: Sequence[str]) -> int:
    plain = [word for word in words if word != "--again"]
    if plain[:1] == ["play"] and len(plain) in (2, 4) and plain[1] in SERIES:
        seeds = range(int(plain[2]), int(plain[3])) if len(plain) == 4 else SERIES[plain[1]].seeds
        play_all(plain[1], seeds, again="--again" in words)
        return 0
    if plain == ["report"]:
        REPORT.write_text(report(), encoding="utf-8")
        sys.stdout.write(report())
        return 0
    sys.stderr.write(f"{__doc__}\n")
    return 2


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
