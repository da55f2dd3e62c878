"""One core or two, with a second process or without: the same plan with the same bounds."""

from __future__ import annotations

from contextlib import ExitStack

import pytest

from benchmarks.generator import Size, day
from dispatch import order_search, planning_day, second_process, side_by_side, solve
from dispatch.plan import Plan
from dispatch.second_process import Jobs, SecondProcess
from dispatch.trip_listing import Listed


def plan_with(cores: int, seed: int, monkeypatch: pytest.MonkeyPatch) -> tuple[Plan, int]:
    """The plan of a day that is taken for a large one, and how many second processes were begun."""
    begun = []
    with monkeypatch.context() as patched, ExitStack() as open_ones:
        for module in (side_by_side, order_search, second_process):
            patched.setattr(module, "CORES", cores)
        patched.setattr(order_search, "FEW_SETS", 5)
        patched.setattr(solve, "LARGE_DAY", 5)
        patched.setattr(planning_day, "may_have_one", lambda: cores > 1)

        def noted(jobs: Jobs[Listed]) -> SecondProcess[Listed]:
            begun.append(process := SecondProcess(jobs))
            open_ones.callback(process.close)
            return process

        patched.setattr(planning_day, "SecondProcess", noted)
        return solve.solve(day(Size(12, 3), seed), time_limit_s=None), len(begun)


@pytest.mark.parametrize("seed", [0, 3])
def test_the_plan_does_not_depend_on_the_cores(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    one, begun_with_one = plan_with(1, seed, monkeypatch)
    two, begun_with_two = plan_with(2, seed, monkeypatch)
    assert (begun_with_one, begun_with_two) == (0, 1)
    assert one == two
