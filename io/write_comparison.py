"""The workbook of ``haulday compare``, put together from parts."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence

from dispatch.io import sheet_styles as styles
from dispatch.io.compare_candidates import write_candidates
from dispatch.io.compare_money import write_money
from dispatch.io.compare_pictures import write_compare_pictures
from dispatch.io.compare_summary import write_compare_summary
from dispatch.io.compare_tables import write_days, write_differences, write_limits, write_use
from dispatch.io.output_units import OutputUnits
from dispatch.io.summary_sheet import Used
from openpyxl.workbook import Workbook

from dispatch.comparison.compare import Comparison

Part = Callable[[Workbook, Comparison, OutputUnits], None]
PARTS: tuple[Part, ...] = (
    write_days,
    write_differences,
    write_limits,
    write_money,
    write_candidates,
    write_use,
    write_compare_pictures,
)
"""What stands behind the Summary, in the order of the sheets."""
OF_OTHER_FLEETS: frozenset[Part] = frozenset({write_differences, write_limits, write_money})
"""Left out where there are candidates only: no other fleet has anything to show there."""


def comparison_workbook(comparison: Comparison, used: Used, parts: Sequence[Part] = PARTS) -> bytes:
    """The bytes of an ``.xlsx`` file, in the units that Settings asks for."""
    problem = next(iter(comparison.history.problems.values()))
    units = OutputUnits.of(problem.settings)
    workbook = styles.new_workbook()
    write_compare_summary(styles.first_sheet(workbook, "Summary"), comparison, used, units)
    for part in parts:
        if part in OF_OTHER_FLEETS and not comparison.history.others:
            continue
        part(workbook, comparison, units)
    buffer = io.BytesIO()
    workbook.save(buffer)
    return buffer.getvalue()
