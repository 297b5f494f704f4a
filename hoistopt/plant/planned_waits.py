"""Where a plan lets a hoist wait before it lifts, and where it has it go on at once.

A machine that follows a plan lifts at the planned time, or as soon as the hoist is there. So a
log shows the plan's own waits, between every lowering and the next lift, and only where the plan
has none does it show how long empty travel takes.
"""

from __future__ import annotations

from itertools import pairwise

from ..checker import Replay

Pair = tuple[str, str]
"""Where a hoist set down, and where it lifts next."""


def at_once(seen: Replay, hoist: int = 0) -> frozenset[Pair]:
    """The empty travels of a hoist after which the plan has it lift at once, in every cycle.

    Less than a tick of waiting is none: starts are rounded up to ticks.

    Parameters
    ----------
    seen : Replay
        The checker's, of a cycle that it accepts.
    hoist : int
        Which of the line's hoists, from 0.
    """
    plan = seen.plan
    table = plan.table
    steps = [n for n, by in enumerate(table.hoists) if by == hoist and plan.parts[n] is not None]
    steps.sort(key=lambda number: table.starts[number])
    if not steps:
        return frozenset()
    tick = table.clock.ticks(1)
    waits: dict[Pair, list[int]] = {}
    for before, number in pairwise([*steps, steps[0]]):
        turned = table.cycle if table.starts[number] <= table.starts[before] else 0
        pair = table.steps[before].target, table.steps[number].source
        travel = table.timetables[hoist].empty(*pair)
        gap = table.starts[number] + turned - plan.end(before)
        if travel is not None:
            waits.setdefault(pair, []).append(gap - travel)
    return frozenset(pair for pair, found in waits.items() if max(found) < tick)
