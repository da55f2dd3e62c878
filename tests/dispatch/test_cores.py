"""One core or two, with a second process or without: the same plan with the same bounds."""

from __future__ import annotations

from contextlib import ExitStack

import pytest

from benchmarks.generator import Size, day
from dispatch import order_search, planning_day, second_process, side_by_side, solve
from dispatch.plan import Plan
from dispatch.second_process import SecondProcess

BEGUN: list[object] = []


def plan_with(cores: int, seed: int, monkeypatch: pytest.MonkeyPatch) -> Plan:
    """The plan of a day that is taken for a large one."""
    with monkeypatch.context() as patched, ExitStack() as open_ones:
        for module in (side_by_side, order_search, second_process):
            patched.setattr(module, "CORES", cores)
        patched.setattr(order_search, "FEW_SETS", 5)
        patched.setattr(solve, "LARGE_DAY", 5)
        patched.setattr(planning_day, "may_have_one", lambda: cores > 1)

        class Noted(SecondProcess):
            def __init__(self, jobs):
                super().__init__(jobs)
                BEGUN.append(self)
                open_ones.callback(self.close)

        patched.setattr(planning_day, "SecondProcess", Noted)
        return solve.solve(day(Size(12, 3), seed), time_limit_s=None)


@pytest.mark.parametrize("seed", [0, 3])
def test_the_plan_does_not_depend_on_the_cores(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    BEGUN.clear()
    one = plan_with(1, seed, monkeypatch)
    assert not BEGUN
    two = plan_with(2, seed, monkeypatch)
    assert len(BEGUN) == 1
    assert one == two
