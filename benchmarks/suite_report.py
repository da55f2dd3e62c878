"""The suite's tables, chart and growth, written from its record."""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from benchmarks.anytime import proof_s
from benchmarks.comparison import against_all, compare, peers
from benchmarks.contradictions import GOALS, contradictions
from benchmarks.generator import SIZES, Size, day, digest
from benchmarks.growth import Law, Sample, SizeLaw, fit_law, fit_size_law
from benchmarks.methods import FIRST_PLAN, PRODUCT
from benchmarks.records import RESULTS, ROOT, Record, latest, read
from benchmarks.suite_chart import chart
from benchmarks.targets import TARGETS, DayRecord

PAGE = RESULTS / "suite.md"
CHART = ROOT / "docs" / "pictures" / "benchmarks.svg"
FEWEST = GOALS[:2]
MEMORY_MB = 4 * 1024
Rows = Iterable[Sequence[object]]


def write_report(path: Path) -> list[str]:
    """Writes page and chart; gives the contradictions, which stand at the top of the page too."""
    every = read(path)
    days = {(one["size"], one["seed"]) for one in every}
    digests = {(size, seed): digest(day(Size.read(size), seed)) for size, seed in days}
    records = latest(every, digests)
    wrong = contradictions(records)
    PAGE.write_text(
        page(records, wrong, stale=len(latest(every)) - len(records), name=path.name), encoding="utf-8"
    )
    CHART.write_bytes(chart(proofs(records), times(records), {"haulday": memory(records)}))
    return wrong


def page(records: Sequence[Record], wrong: Sequence[str], stale: int = 0, name: str = "suite.jsonl") -> str:
    """The whole page."""
    parts = [
        "# The suite",
        f"Written by `python -m benchmarks.suite --report` from `{name}`. What is played, and how to read this: "
        "[docs/benchmarks.md](../../docs/benchmarks.md).",
        "\n".join(about(records, stale)),
        verdict(records, wrong),
        "## Against the targets\n\n" + table(("moves/rigs", "asked", "measured", "days", "met"), targets(records)),
        "## What each method comes to\n\n"
        "Means over the days played, of verified plans only; of the routing library that is its plan as mended. "
        "*Bare*: its plan before the calculator looked at it.\n\n" + table(HEADS, means(records)),
        "## The product against all peers at once\n\n"
        "Left out and trips, in that order, at equal time; the peers' plans that the verifier accepts.\n\n"
        + table(
            ("moves/rigs", "limit s", "days", "no worse than any peer", "better than every peer"),
            standing(records),
        ),
        "## The product against each peer\n\n"
        "Days better / equal / worse for the product at equal time; a goal counts where those before are equal. "
        "*Bare* plans break load limits, so they may well look better than any legal plan.\n\n"
        + table(
            ("moves/rigs", "limit s", "peer", "days", "left out", "trips", "cost", "overall"), compared(records)
        ),
        "## Illegal loads of the plans made without the calculator\n\n"
        + table(
            ("moves/rigs", "limit s", "method", "days", "legs", "illegal", "trips", "illegal trips", "share"),
            illegal(records),
        ),
        "## Growth\n\n" + growth(records),
        "![Shares proved, growth of time and memory](../../docs/pictures/benchmarks.svg)",
    ]
    return "\n\n".join(parts) + "\n"


def about(records: Sequence[Record], stale: int) -> Iterator[str]:
    """When, where, with what."""
    if not records:
        yield "- Nothing played yet"
        return
    dates = sorted(one["date"] for one in records)
    yield f"- {len(records)} runs, {dates[0]} to {dates[-1]} UTC, one after another"
    yield f"- Machines: {'; '.join(machines(records))}"
    loads = [one["load"] for one in records]
    yield f"- Load average when a run ended: median {statistics.median(loads):.1f}, highest {max(loads):.1f}"
    libraries = dict.fromkeys(", ".join(f"{k} {v}" for k, v in one["versions"].items()) for one in records)
    yield f"- Versions: {'; '.join(libraries)}"
    yield f"- Commits (+: files differed): {', '.join(dict.fromkeys(one['commit'] for one in records))}"
    over = [one["seconds"] - one["limit_s"] for one in records if one["method"] == PRODUCT and "failed" not in one]
    if over:
        yield f"- The product ended at most {max(0.0, *over):.1f} s after its limit"
    if stale:
        yield f"- {stale} runs of days that are no longer drawn so are left out here"
    failed = [one for one in records if "failed" in one]
    for one in failed:
        yield f"- FAILED: {one['size']} seed {one['seed']}, {one['method']}, {one['limit_s']:g} s: {one['failed']}"


def machines(records: Sequence[Record]) -> list[str]:
    """The machines; where there are several, each with the sizes that were played on it."""
    names = list(dict.fromkeys(one["machine"] for one in records))
    if len(names) == 1:
        return names
    played = {name: sizes([one for one in records if one["machine"] == name]) for name in names}
    return [f"{name} ({', '.join(played[name])})" for name in names]


def verdict(records: Sequence[Record], wrong: Sequence[str]) -> str:
    """Whether anything contradicts anything."""
    if wrong:
        return "**Contradictions:**\n\n" + "\n".join(f"- {text}" for text in wrong)
    plans = sum(one.get("score") is not None for one in records)
    return f"No plan of any method contradicts a stated bound; the verifier accepts all {plans} plans."


def table(heads: Sequence[str], rows: Rows) -> str:
    """A table in Markdown."""
    lines = [heads, ["---"] * len(heads), *rows]
    return "\n".join("| " + " | ".join(str(cell) for cell in line) + " |" for line in lines)


def sizes(records: Sequence[Record]) -> list[str]:
    """The sizes of the record, small ones first."""
    return sorted({one["size"] for one in records}, key=lambda size: (Size.read(size).moves, Size.read(size).rigs))


def by_day(records: Sequence[Record], size: str) -> list[DayRecord]:
    """The product's runs of each day of a size."""
    own = [one for one in records if one["size"] == size and "failed" not in one]
    return [
        DayRecord(
            tuple(one for one in own if one["seed"] == seed and one["method"] == PRODUCT),
            next((one for one in own if one["seed"] == seed and one["method"] == FIRST_PLAN), None),
        )
        for seed in sorted({one["seed"] for one in own})
    ]


def targets(records: Sequence[Record]) -> Iterator[Sequence[object]]:
    """A row a target that the record says something about."""
    for size in sizes(records):
        days = by_day(records, size)
        asked = TARGETS[Size.read(size).moves] if Size.read(size) in SIZES else ()
        for target in asked:
            found = target.judge(days)
            shown, met = found if found is not None else ("not played", False)
            yield size, target.words, shown, len(days), ("yes" if met else "**no**") if found else ""


HEADS = ("moves/rigs", "limit s", "method", "days", "left out", "trips", "cost", "miles", "seconds", "peak MB")


def means(records: Sequence[Record]) -> Iterator[Sequence[object]]:
    """A row a size, limit and method; of plans made without the calculator a second one with the bare plan."""
    for size in sizes(records):
        keys = dict.fromkeys((one["limit_s"], one["method"]) for one in records if one["size"] == size)
        for limit, method in sorted(keys, key=lambda key: key[0]):
            own = [one for one in records if (one["size"], one["limit_s"], one["method"]) == (size, limit, method)]
            for kind, name in (("score", method), ("bare", f"{method}, bare")):
                some = [one for one in own if one.get(kind)]
                if some:
                    yield size, f"{limit:g}" if limit else "", name, len(some), *_means(some, kind)
                elif kind == "score":
                    yield size, f"{limit:g}" if limit else "", name, f"0 of {len(own)}", *[""] * 6


def _means(records: Sequence[Record], kind: str) -> Iterator[str]:
    def mean(value: Callable[[Record], float]) -> float:
        return statistics.fmean(value(one) for one in records)

    yield f"{mean(lambda one: one[kind]['left_out']):.1f}"
    yield f"{mean(lambda one: one[kind]['trips']):.1f}"
    yield f"{mean(lambda one: one[kind]['cents']) / 100:,.0f}"
    yield f"{mean(lambda one: one[kind]['loaded_tenths'] + one[kind]['empty_tenths']) / 10:,.0f}"
    yield f"{mean(lambda one: one['seconds']):.1f}"
    yield f"{max(one['peak_mb'] for one in records):,.0f}"


def standing(records: Sequence[Record]) -> Iterator[Sequence[object]]:
    """A row a size and limit."""
    for size in sizes(records):
        for limit in sorted(
            {one["limit_s"] for one in records if (one["size"], one["method"]) == (size, PRODUCT)}
        ):
            days, no_worse, better = against_all(records, size, limit)
            if days:
                yield size, f"{limit:g}", days, no_worse if no_worse == days else f"**{no_worse}**", better


def compared(records: Sequence[Record]) -> Iterator[Sequence[object]]:
    """A row a size, limit and peer."""
    for size in sizes(records):
        limits = sorted({one["limit_s"] for one in records if one["size"] == size and one["method"] == PRODUCT})
        for limit in limits:
            for peer in peers(records):
                for kind, name in (("score", peer), ("bare", f"{peer}, bare")):
                    tally = compare(records, size, limit, peer, kind)
                    if tally.days:
                        goals = [tally.on(place) for place in range(len(GOALS))]
                        yield size, f"{limit:g}", name, tally.days, *goals, tally.overall


def illegal(records: Sequence[Record]) -> Iterator[Sequence[object]]:
    """What the calculator counts in plans made without it."""
    for size in sizes(records):
        some = [one for one in records if one["size"] == size and one.get("illegal")]
        for limit, method in sorted({(one["limit_s"], one["method"]) for one in some}):
            own = [one["illegal"] for one in some if (one["limit_s"], one["method"]) == (limit, method)]
            names = ("legs", "illegal_legs", "trips", "illegal_trips")
            sums = [sum(one[name] for one in own) for name in names]
            yield size, f"{limit:g}", method, len(own), *sums, f"{sums[3] / max(1, sums[2]):.0%}"


# -- growth ------------------------------------------------------------------------------------------------


def _sample(record: Record, value: float) -> Sample:
    size = Size.read(record["size"])
    return Sample(size.moves, size.rigs, record["windows"] == "tight", value)


def _longest(records: Sequence[Record]) -> list[Record]:
    """The product's run with the longest limit of each day."""
    own = [one for one in records if one["method"] == PRODUCT and one.get("score")]
    found = {(one["size"], one["seed"]): one for one in sorted(own, key=lambda one: one["limit_s"])}
    return list(found.values())


def times(records: Sequence[Record]) -> dict[str, list[Sample]]:
    """Seconds to the first verified plan, and to the proof of the fewest trips where there is one."""
    first = [one for one in records if one["method"] == FIRST_PLAN and one.get("first_s")]
    proof = [(one, proof_s(one, FEWEST)) for one in _longest(records)]
    return {
        "first plan": [_sample(one, one["first_s"]) for one in first],
        "fewest trips proved": [_sample(one, seconds) for one, seconds in proof if seconds < math.inf],
    }


def memory(records: Sequence[Record]) -> list[Sample]:
    """Peak memory of the product, MB."""
    return [_sample(one, one["peak_mb"]) for one in _longest(records)]


def proofs(records: Sequence[Record]) -> dict[str, list[float]]:
    """Seconds to the proof of the fewest trips by size."""
    own = _longest(records)
    return {size: [proof_s(one, FEWEST) for one in own if one["size"] == size] for size in sizes(own)}


def growth(records: Sequence[Record]) -> str:
    """The laws as tables, and what they cannot say."""
    grown = times(records) | {"peak memory": memory(records)}
    alone = [(name, law_row(fit_size_law(samples))) for name, samples in grown.items()]
    all_three = [(name, full_row(fit_law(samples))) for name, samples in grown.items()]
    peak = max((s.value for s in grown["peak memory"]), default=0.0)
    return "\n\n".join(
        [
            "Least squares on logarithms, with standard errors; *spread* is the factor within which two thirds of "
            "the runs lie around the law. Days whose proof did not come within the limit are not in the law of "
            "the proof, which is therefore too kind to large days.",
            table(("what", "law, rigs growing along", "spread", "runs"), [(name, *row) for name, row in alone]),
            table(
                ("what", "moves to the power", "rigs to the power", "tight windows: times", "spread", "runs"),
                [(name, *row) for name, row in all_three],
            ),
            f"Highest peak memory of the product: {peak:,.0f} MB (limit {MEMORY_MB:,} MB).",
        ]
    )


def law_row(law: SizeLaw | None) -> tuple[str, str, str]:
    """The law of moves in words."""
    if law is None:
        return "too few runs", "", ""
    return f"{law.scale:.2g} * moves^({law.power:.2f} ± {law.error:.2f})", f"{law.spread:.2f}", str(law.runs)


def full_row(law: Law | None) -> tuple[str, str, str, str, str]:
    """The law of moves, rigs and windows in words."""
    if law is None:
        return "too few sizes", "", "", "", ""
    factor = f"{law.tight:.2f} (x/ {math.exp(law.tight_error):.2f})"
    moves, rigs = f"{law.moves:.2f} ± {law.moves_error:.2f}", f"{law.rigs:.2f} ± {law.rigs_error:.2f}"
    return moves, rigs, factor, f"{law.spread:.2f}", str(law.runs)
