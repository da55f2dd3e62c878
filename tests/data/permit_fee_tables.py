"""Permit fees of four states as rows. They change: each table says when it was read, and on what evidence.

Evidence: seen (read in a copy of the source), derived (arithmetic on a rule named), memory (to be verified).
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from dispatch.money.fee_bands import Band, Measure
from dispatch.money.permits import Each, FeeRow

READ = date(2026, 11, 25)

_COLORADO = "Colorado, single trip overweight, old table; 45 USD for six axles seen, rows from memory"
COLORADO_OLD = (
    FeeRow("Colorado single trip overweight", Decimal(15), source=_COLORADO, dated=READ),
    FeeRow("Colorado single trip overweight", Decimal(5), Each.AXLE, source=_COLORADO, dated=READ),
)

_ARKANSAS = "Arkansas Code 27-35-210: 17 USD, and by ton and distance; rows from memory, the sum derived"


def _arkansas(usd: int, over_mi: float | None, up_to_mi: float | None) -> FeeRow:
    bands = (Band(Measure.GROSS, over=80_000), Band(Measure.MILES, over_mi, up_to_mi))
    return FeeRow(
        "Arkansas single trip",
        Decimal(usd),
        Each.TON_OVER,
        tons_over_lb=80_000,
        bands=bands,
        source=_ARKANSAS,
        dated=READ,
    )


ARKANSAS = (
    FeeRow("Arkansas single trip", Decimal(17), source=_ARKANSAS, dated=READ),
    _arkansas(8, None, 100),
    _arkansas(10, 100, 150),
    _arkansas(12, 150, 200),
    _arkansas(14, 200, 250),
    _arkansas(16, 250, None),
)

_MINNESOTA = "Minnesota Statutes 169.86, cost per mile of axle groups; rows from memory, the sum derived"
_PER_MILE: dict[int, tuple[str, ...]] = {
    2: ("0.12", "0.14", "0.18", "0.21", "0.26", "0.30"),
    3: ("0.05", "0.06", "0.07", "0.09", "0.10", "0.12"),
}
"""By axles in the group: USD a mile for every started 2,000 lb over."""
MINNESOTA = tuple(
    FeeRow(
        "Minnesota overweight",
        Decimal(usd),
        Each.AXLE_GROUP,
        per_miles=Decimal(1),
        bands=(
            Band(Measure.GROUP_AXLES, axles - 1, axles),
            Band(Measure.GROUP_OVER, 2_000 * number, 2_000 * (number + 1)),
        ),
        source=_MINNESOTA,
        dated=READ,
    )
    for axles, column in _PER_MILE.items()
    for number, usd in enumerate(column)
)

_ILLINOIS = "625 ILCS 5/15-306, schedule for overweight axle loads, for every started 45 miles (P.A. 96-34); seen"
_BY_OVER: tuple[tuple[int, int, tuple[int | None, int | None, int | None]], ...] = (
    (0, 6_000, (5, 5, 5)),
    (6_000, 11_000, (8, 7, 6)),
    (11_000, 17_000, (None, 8, 7)),
    (17_000, 22_000, (None, None, 9)),
    (22_000, 29_000, (None, None, 11)),
)
"""Pounds over and up to; USD for a single axle, two axles, three; ``None``: not permitted."""
ILLINOIS_AXLES = tuple(
    FeeRow(
        "Illinois overweight axles",
        Decimal(usd),
        Each.AXLE_GROUP,
        per_miles=Decimal(45),
        started=True,
        bands=(Band(Measure.GROUP_AXLES, axles - 1, axles), Band(Measure.GROUP_OVER, over, up_to)),
        source=_ILLINOIS,
        dated=READ,
    )
    for over, up_to, fees in _BY_OVER
    for axles, usd in enumerate(fees, start=1)
    if usd is not None
)
