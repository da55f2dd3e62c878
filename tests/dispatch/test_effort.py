"""The steps of effort: each may spend no less than the one before, and every one gives a verified plan."""

from dataclasses import fields
from itertools import pairwise

import pytest
from dispatch.io.command import Step

from dispatch.search_limits import Thoroughness
from dispatch.solve import solve
from dispatch.verify import verify
from dispatch.workshop import budget_for
from tests import factories as make

COUNTED = ("rounds_a_unit", "dives", "enumerated", "labels", "work", "nodes", "attempts", "deterministic")


def test_every_step_may_spend_more_than_the_one_before() -> None:
    steps = [budget_for(step) for step in Thoroughness]
    for less, more in pairwise(steps):
        assert all(getattr(less, name) < getattr(more, name) for name in COUNTED)
    assert set(COUNTED) <= {field.name for field in fields(steps[0])}


def test_the_command_offers_the_same_steps() -> None:
    assert [step.value for step in Step] == [step.value for step in Thoroughness]


@pytest.mark.parametrize("step", Thoroughness)
def test_every_step_gives_a_plan_that_holds(step: Thoroughness) -> None:
    moves = [make.move(f"M{n}", make.item(f"i{n}", 4_000 + 500 * n, 120.0)) for n in range(4)]
    problem = make.problem(moves, [make.rig()])
    plan = solve(problem, time_limit_s=None, thoroughness=step)
    assert not plan.left_out
    assert not verify(problem, plan)
