"""What HiGHS proves of a programme, by hand: nothing of a linear one that was cut short."""

from __future__ import annotations

from math import inf

import highspy
import pytest

from dispatch.highs import add_column, add_row, add_whole_column, proved_floor, quiet_highs


def at_most_five(*, whole: bool) -> highspy.Highs:
    """The least of -x with 2 x <= 5: -2.5, in whole numbers -2."""
    h = quiet_highs()
    h.setOptionValue("presolve", "off")
    add_row(h, -inf, 5.0)
    if whole:
        add_whole_column(h, -1.0, {0: 2.0}, 9)
    else:
        add_column(h, -1.0, {0: 2.0})
    return h


@pytest.mark.parametrize(("whole", "least"), [(False, -2.5), (True, -2.0)])
def test_the_least_value_is_proved(whole: bool, least: float) -> None:
    h = at_most_five(whole=whole)
    h.run()
    assert proved_floor(h, whole=whole) == pytest.approx(least)


def test_a_linear_programme_cut_short_proves_nothing() -> None:
    """Before its first step it stands at x = 0: the value there, 0, is above the least."""
    h = at_most_five(whole=False)
    h.setOptionValue("simplex_iteration_limit", 0)
    h.run()
    assert h.getInfo().objective_function_value == 0.0
    assert proved_floor(h, whole=False) == -inf
