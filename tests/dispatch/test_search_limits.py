"""Stages and parts of stages, by a clock that the test sets."""

from __future__ import annotations

import pytest

from dispatch.search_limits import Limits


class Clock(Limits):
    """Limits whose time is told by hand."""

    seconds = 0.0

    def _now(self) -> float:
        return self.seconds


def at(limits: Clock, seconds: float) -> Clock:
    Clock.seconds = seconds
    return limits


@pytest.fixture
def limits() -> Clock:
    Clock.seconds = 0.0
    return Clock(time_limit_s=100.0)


def test_a_part_takes_its_share_of_what_is_left(limits: Clock) -> None:
    """A stage of 40 of 100 s; at 10 s half of the 30 left: until 25. Then the stage goes on until 40."""
    limits.begin_stage(0.4)
    at(limits, 10.0)
    with limits.part_of_stage(0.5):
        assert limits.seconds_left() == pytest.approx(15.0)
        at(limits, 24.9)
        assert not limits.over()
        at(limits, 25.1)
        assert limits.over()
    assert not limits.over()
    assert limits.seconds_left() == pytest.approx(14.9)


def test_a_part_that_ran_out_did_not_cut_the_search(limits: Clock) -> None:
    with limits.part_of_stage(0.1):
        at(limits, 11.0)
        assert limits.over()
    assert not limits.cut


def test_what_was_cut_before_stays_cut(limits: Clock) -> None:
    limits.cut = True
    with limits.part_of_stage(0.1):
        pass
    assert limits.cut


def test_the_end_of_the_whole_within_a_part_is_told(limits: Clock) -> None:
    with limits.part_of_stage(0.5):
        at(limits, 101.0)
    assert limits.over()
    assert (limits.cut, limits.stopped) == (True, True)


def test_without_a_time_limit_a_part_has_no_end() -> None:
    limits = Limits()
    with limits.part_of_stage(0.001):
        assert limits.seconds_left() is None
        assert not limits.over()


def test_an_error_within_a_part_leaves_the_stage_as_it_was(limits: Clock) -> None:
    limits.begin_stage(0.4)
    with pytest.raises(KeyError), limits.part_of_stage(0.5):
        raise KeyError
    assert limits.seconds_left() == pytest.approx(40.0)
