"""Time blocks: hand-worked joins, and joins of random blocks against walking through them minute by minute."""

from __future__ import annotations

import random

from dispatch.timing import NEVER_MIN, Block, join, join_all, latest, no_worse, soonest, window


def test_work_in_a_window() -> None:
    assert window(30, 480, 560) == Block(30, 480, 530)
    assert window(30, None, None) == Block(30, 0, NEVER_MIN)
    assert window(30, 480, 510) == Block(30, 480, 480)
    assert window(30, 481, 510) is None


def test_waiting_that_no_start_can_avoid_is_in_the_duration() -> None:
    """30 min in [480, 500], 10 min of road, 20 min from 600 on: begun at 500, over at 620."""
    assert join(Block(30, 480, 500), 10, Block(20, 600, 700)) == Block(120, 500, 500)


def test_a_later_start_avoids_waiting() -> None:
    """From 09:20 on the second can be begun as soon as it is reached."""
    assert join(Block(30, 480, 700), 10, Block(20, 600, 700)) == Block(60, 560, 660)


def test_too_late_for_the_second() -> None:
    assert join(Block(30, 480, 500), 10, Block(20, 0, 520)) == Block(60, 480, 480)
    assert join(Block(30, 481, 500), 10, Block(20, 0, 520)) is None


def test_end_of_a_block() -> None:
    block = Block(60, 500, 520)
    assert [block.end(start) for start in (400, 500, 520)] == [560, 560, 580]
    assert block.earliest_end == 560


def test_join_all_stops_at_what_cannot_be_reached() -> None:
    assert join_all([(10, Block(5)), (20, Block(5))]) == Block(40, 0, NEVER_MIN - 35)
    assert join_all([(10, Block(5, 0, 3)), (20, Block(5))]) is None


def test_no_worse_means_it_can_stand_for_the_other_whenever_begun() -> None:
    assert no_worse(Block(50, 500, 600), Block(60, 490, 590))
    assert not no_worse(Block(50, 511, 600), Block(60, 500, 590))
    assert not no_worse(Block(50, 500, 580), Block(60, 500, 590))


def test_latest_and_soonest_of_what_is_given() -> None:
    assert (latest(None, 5, 3), soonest(None, 5, 3)) == (5, 3)
    assert (latest(None), soonest()) == (None, None)


def walk(pieces: list[tuple[int, Block]], start: int) -> int | None:
    time = start
    for gap, block in pieces:
        time = max(time + gap, block.earliest)
        if time > block.latest:
            return None
        time += block.duration
    return time


def test_random_chains_against_walking() -> None:
    rng = random.Random(5)
    fitting = 0
    for _ in range(300):
        pieces = []
        for place in range(rng.randint(2, 5)):
            earliest = rng.randint(0, 60)
            block = Block(rng.randint(0, 15), earliest, earliest + rng.randint(0, 80))
            pieces.append((rng.randint(0, 20) if place else 0, block))
        whole = join_all(pieces[1:], pieces[0][1])
        ends = {start: walk(pieces, start) for start in range(220)}
        possible = {start: end for start, end in ends.items() if end is not None}
        if whole is None:
            assert not possible
            continue
        fitting += 1
        assert max(possible) == whole.latest
        assert all(whole.end(start) == end for start, end in possible.items())
        assert min(end - start for start, end in possible.items()) == whole.duration
    assert fitting > 50
