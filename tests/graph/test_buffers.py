"""Lateness through what is made once, against starts that are simulated one lateness at a time."""

from __future__ import annotations

from random import Random

from hoistopt.graph.arc import Arc
from hoistopt.graph.buffers import LateOnce
from hoistopt.graph.from_programme import OnceDwell

MOST = 40
"""Grid steps: more than any path has of slack and any dwell of room, in all."""


def drawn(rng: Random) -> tuple[list[int], list[Arc], list[OnceDwell]]:
    """Starts that keep a few random waits, and loads that stand between them."""
    starts = [rng.randint(0, 12) for _ in range(6)]
    pairs = [(a, b) for a in range(6) for b in range(6) if starts[a] < starts[b]]
    waits = [
        Arc(a, b, starts[b] - starts[a] - rng.randint(0, 5), 0, "hoist")
        for a, b in rng.sample(pairs, min(6, len(pairs)))
    ]
    dwells = [
        OnceDwell(rng.choice((a, a, None)), b, "T", "T", 1, rng.choice((None, 0, 1, 3)))
        for a, b in rng.sample(pairs, min(3, len(pairs)))
    ]
    return starts, waits, dwells


def late(starts: list[int], waits: list[Arc], event: int, by: int) -> list[int]:
    """By how much each event is late: every one starts when due and all it waits for is over."""
    actual = list(starts)
    actual[event] += by
    for _ in starts:
        for arc in waits:
            actual[arc.head] = max(actual[arc.head], actual[arc.tail] + arc.length)
    return [one - planned for one, planned in zip(actual, starts, strict=True)]


def test_what_is_late_and_what_stands_too_long() -> None:
    rng = Random("buffers")
    reached = exceeded = never = 0
    for _ in range(60):
        starts, waits, dwells = drawn(rng)
        once = LateOnce(starts, waits, dwells)
        for event in range(len(starts)):
            trials = [late(starts, waits, event, by) for by in range(MOST)]
            buffers = {
                other: next(by for by, found in enumerate(trials) if found[other]) - 1
                for other in range(len(starts))
                if trials[-1][other]
            }
            found = once.buffers(event)
            assert found == buffers
            reached += len(buffers) - 1
            above = dict.fromkeys(range(len(dwells)), MOST)
            for number, dwell in enumerate(dwells):
                for by, times in enumerate(trials):
                    brought = 0 if dwell.arrival is None else times[dwell.arrival]
                    longer = times[dwell.departure] - brought
                    if dwell.room is not None and longer > dwell.room:
                        above[number] = min(above[number], by - 1)
            told = sorted((limit, dwells.index(dwell)) for limit, dwell in once.exceeded(found))
            assert told == sorted((by, number) for number, by in above.items() if by < MOST)
            exceeded += len(told)
            never += len(dwells) - len(told)
    assert min(reached, exceeded, never) > 100


def test_events_planned_later_together_do_not_hurt_one_another() -> None:
    waits = [Arc(0, 1, 2, 0, "hoist"), Arc(1, 2, 3, 0, "hoist"), Arc(0, 2, 1, 0, "hoist")]
    apart = [Arc(1, 3, 2, 0, "hoist")]
    once = LateOnce([0, 2, 9, 8], waits, [OnceDwell(None, 0, "T", "T", 1, 7)], apart)
    assert [once.later((0,)), once.later((1,)), once.later((0, 1))] == [0, 4, 4]
    assert once.later((3,)) is None
