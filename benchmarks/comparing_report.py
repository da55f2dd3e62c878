"""The report of ``comparing``: what was measured, on what, and what is proved of every day."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks import records
from benchmarks.comparing import ADDED, DAYS, LIMIT_S, PROCESSES, SIZE, Asked
from benchmarks.killed_half_way import Killed
from dispatch.comparison.compare import Comparison
from dispatch.comparison.outcomes import DayOutcome

TARGET_S = 600.0


def report(asked: Asked, found: Comparison, read_back_s: float, *, same: bool, check: Killed | None) -> str:
    """The whole page. ``same``: the workbook read back from kept plans has the same data."""
    lines = [
        "# Fleets compared, timed",
        "",
        "Written by `python -m benchmarks.comparing`. Days of `generator.py`, the same under every fleet: today's "
        "rigs, a copy of the first rig's trailer for its truck and driver, of the second's, of both.",
        "",
        *_sittings(asked),
        f"- {asked.days} days of {SIZE} (moves/rigs) under {len(ADDED)} fleets, {asked.limit_s:g} s a search at "
        f"most, {asked.processes} processes",
        "",
        *_times(asked, found, read_back_s, same=same),
        "",
        *_killed(check),
        "## What is proved",
        "",
        *_fleets(found),
        "",
        *_days(found),
        "",
    ]
    return "\n".join(lines)


def _sittings(asked: Asked) -> Iterator[str]:
    starts = [line for line in records.read(asked.log) if "commit" in line]
    first = starts[0]
    versions = ", ".join(f"{name} {number}" for name, number in first["versions"].items())
    yield f"- Machine: {first['machine']}"
    yield f"- Versions: {versions}; commit {first['commit']}"
    for number, one in enumerate(starts, start=1):
        yield f"- Sitting {number} of {len(starts)}: {one['date']} UTC, load average before it {one['load']}"


def spent(asked: Asked) -> tuple[float, int, int]:
    """Seconds of all sittings as far as plans were finished in them, plans made, sittings."""
    sums: list[tuple[float, int]] = []
    for line in records.read(asked.log):
        if "commit" in line:
            sums.append((0.0, 0))
        elif sums:
            sums[-1] = (line["spent_s"], line["made"])
    return sum(one for one, _ in sums), sum(made for _, made in sums), len(sums)


def _times(asked: Asked, found: Comparison, read_back_s: float, *, same: bool) -> Iterator[str]:
    seconds, made, sittings = spent(asked)
    plans = found.outcomes
    full = (asked.days, asked.limit_s, asked.processes) == (DAYS, LIMIT_S, PROCESSES)
    words = "met" if seconds < TARGET_S else "not met"
    target = f"{words}, {TARGET_S:g} s" if full and sittings == 1 else "not judged: a trial, or several sittings"
    yield "| | |"
    yield "|---|---|"
    yield f"| days and fleets | {len(plans)} |"
    yield f"| plans made, those of the limits included | {made} |"
    yield f"| seconds, {sittings} sitting{'' if sittings == 1 else 's'} | {seconds:.0f} |"
    yield f"| target | {target} |"
    yield f"| searches of days and fleets cut short by the clock | {sum(one.cut for one in plans)} |"
    yield f"| days that a fleet leaves as they are, asked for their limit | {len(found.limits)} |"
    yield "| plans verified by the verifier | all, when made and when read back; a refused one ends the run |"
    yield f"| seconds to do it again with everything kept | {read_back_s:.0f} |"
    yield f"| workbook data of that run the same | {'yes' if same else 'NO'} |"


def _killed(check: Killed | None) -> Iterator[str]:
    if check is None:
        return
    yield "## Killed half-way and started again"
    yield ""
    files = "untouched" if check.untouched else "CHANGED"
    data = "the same as" if check.same else "OTHER than"
    why = " (which may give other plans)" if check.cut else ""
    yield (
        f"The first {check.days} days once more in a folder of their own: killed with {check.kept} plans kept, "
        f"then {check.made} made, {check.again} of the kept ones again; kept files {files}. Workbook data {data} "
        f"that of the run that was left alone; searches cut short by the clock in both: {check.cut}{why}. "
        f"{'It holds.' if check.holds else 'IT DOES NOT HOLD.'}"
    )
    yield ""


def _proved(day: DayOutcome) -> bool:
    return day.left_out.proved and day.trips.proved


def _fleets(found: Comparison) -> Iterator[str]:
    yield "| fleet | days proved | left out proved | trips | no plan has fewer | moves left out | cut short |"
    yield "|---|---|---|---|---|---|---|"
    for variant in found.history.variants:
        days = found.days_of(variant.name)
        floors = [day.trips.least for day in days]
        fewest = "not known" if None in floors else f"{sum(floor for floor in floors if floor is not None):g}"
        left_out = sum(day.left_out.proved for day in days)
        yield (
            f"| {variant.name} | {sum(map(_proved, days))} of {len(days)} | {left_out} "
            f"| {sum(day.trips.value for day in days):g} | {fewest} "
            f"| {sum(len(day.moves_left_out) for day in days)} | {sum(day.cut for day in days)} |"
        )


def _days(found: Comparison) -> Iterator[str]:
    names = [variant.name for variant in found.history.variants]
    yield "Trips of each day; in brackets what no plan goes below, where fewest is not proved; c: cut short."
    yield ""
    yield f"| day | {' | '.join(names)} |"
    yield "|---|" + "---|" * len(names)
    for day in found.history.days:
        yield f"| {day} | {' | '.join(_cell(found.outcome(day, name)) for name in names)} |"


def _cell(day: DayOutcome) -> str:
    floor = "?" if day.trips.least is None else f"{day.trips.least:g}"
    return f"{day.trips.value:g}" + ("" if _proved(day) else f" ({floor})") + (" c" if day.cut else "")
