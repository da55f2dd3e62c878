"""What a fleet changes against the base: counts as intervals where not proved, money of the plans found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from dispatch.comparison.outcomes import DayOutcome, Goal

NOT_PROVED = " as found, not proved"
"""What words of a count end with where nothing can be said beyond the plans that were found."""


@dataclass(frozen=True, slots=True)
class Span:
    """What is saved: as found, and the least and most that the best plans of both fleets can differ by.

    ``None``: not known, as a goal that comes before is not proved. Negative: that many more.
    """

    found: float
    least: float | None
    most: float | None

    @property
    def exact(self) -> bool:
        """Whether both fleets are proved, so that the difference is what it is."""
        return self.least is not None and self.least == self.most

    @staticmethod
    def total(spans: Iterable[Span]) -> Span:
        """The sum over days; one end that is not known makes the sum's end unknown."""
        all_spans = list(spans)
        least = [span.least for span in all_spans]
        most = [span.most for span in all_spans]
        return Span(
            sum(span.found for span in all_spans),
            None if None in least else sum(one for one in least if one is not None),
            None if None in most else sum(one for one in most if one is not None),
        )


@dataclass(frozen=True, slots=True)
class Difference:
    """One fleet against the base, on one day or (``day`` empty) over all; positive figures are savings.

    ``left_out`` counts priorities. ``outside_hauls`` are trips of outside hauliers; where one has no price the
    money is not whole (``priced`` is no). Distance in tenths of a mile, time in minutes, money in cents.
    """

    day: str
    variant: str
    trips: Span
    left_out: Span
    outside_hauls: int
    tenths: int
    paid_min: int
    overtime_min: int
    own_cents: int
    outside_cents: int
    priced: bool

    @property
    def cents(self) -> int:
        """What the day saves, before ownership."""
        return self.own_cents + self.outside_cents

    @property
    def same_work(self) -> bool:
        """Whether it hauls the same and in as many trips, as far as was found."""
        return not self.trips.found and not self.left_out.found


def span(base: Goal, other: Goal, *, contained: bool) -> Span:
    """What the other saves of a goal. ``contained``: the base is inside the other, which then cannot do worse."""
    least = None if base.least is None else base.least - other.value
    most = None if other.least is None else base.value - other.least
    if contained and least is not None:
        least = max(least, 0.0)
    return Span(base.value - other.value, least, most)


def difference(base: DayOutcome, other: DayOutcome, *, contained: bool) -> Difference:
    """One day's difference. ``contained``: every rig of the base is in the other fleet too.

    Trips of the larger fleet cannot be more while both leave out the same, proved; otherwise they may: what is
    hauled in addition takes trips.
    """
    alike = base.left_out.proved and other.left_out.proved and base.left_out.value == other.left_out.value
    return Difference(
        day=base.day,
        variant=other.variant,
        trips=span(base.trips, other.trips, contained=contained and alike),
        left_out=span(base.left_out, other.left_out, contained=contained),
        outside_hauls=len(base.outside) - len(other.outside),
        tenths=base.tenths - other.tenths,
        paid_min=base.paid_min - other.paid_min,
        overtime_min=base.overtime_min - other.overtime_min,
        own_cents=base.own.cents - other.own.cents,
        outside_cents=base.outside_cents - other.outside_cents,
        priced=not base.not_priced and not other.not_priced,
    )


def total(variant: str, days: Sequence[Difference]) -> Difference:
    """The differences of a variant over all days."""
    return Difference(
        day="",
        variant=variant,
        trips=Span.total(day.trips for day in days),
        left_out=Span.total(day.left_out for day in days),
        outside_hauls=sum(day.outside_hauls for day in days),
        tenths=sum(day.tenths for day in days),
        paid_min=sum(day.paid_min for day in days),
        overtime_min=sum(day.overtime_min for day in days),
        own_cents=sum(day.own_cents for day in days),
        outside_cents=sum(day.outside_cents for day in days),
        priced=all(day.priced for day in days),
    )


def by_variant(differences: Iterable[Difference]) -> Mapping[str, list[Difference]]:
    """The days' differences by variant, in order."""
    found: dict[str, list[Difference]] = {}
    for one in differences:
        found.setdefault(one.variant, []).append(one)
    return found


def saves(span_: Span, one: str, many: str) -> str:
    """``saves 2 trips``, ``saves 2 to 3 trips``, ``needs 1 trip more``, ``saves no trips`` and their like."""
    low, high = span_.least, span_.most
    if low is None or high is None:
        return f"{_saves(span_.found, one, many)}{NOT_PROVED}"
    if low == high:
        return _saves(low, one, many)
    if low >= 0:
        return f"saves {low:g} to {high:g} {many}"
    if high <= 0:
        return f"needs {-high:g} to {-low:g} {many} more"
    return f"between {-low:g} {_plural(-low, one, many)} more and {high:g} fewer"


def _saves(count: float, one: str, many: str) -> str:
    if not count:
        return f"saves no {many}"
    word = _plural(abs(count), one, many)
    return f"saves {count:g} {word}" if count > 0 else f"needs {-count:g} {word} more"


def _plural(count: float, one: str, many: str) -> str:
    return one if count == 1 else many
