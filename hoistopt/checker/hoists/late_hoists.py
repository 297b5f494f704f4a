"""How late a step may be before a hoist, its own or another, makes a later step late."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush

from ..plan import Plan
from .separations import least_until_next, separations
from .ways import Doing, all_doings

Node = tuple[int, int]
"""Hoist, and place in what it does in a cycle."""


def rooms_between(plan: Plan) -> Iterator[tuple[int, int, int]]:
    """Yield steps and how late the first may be before the hoists make the second late.

    A step that is late makes empty travels late that wait for it, of its own hoist and of its
    neighbours; what is left of its lateness at the next steps that wait for those counts.

    Parameters
    ----------
    plan : Plan
        Of several hoists that keep their distance.

    Yields
    ------
    before, after : int
        Steps; `after` may be the same one a cycle later.
    room : int
        Grid time, at least 0.
    """
    does = all_doings(plan.table, plan.parts)
    onward = _waits(plan, does)
    for hoist, doings in enumerate(does):
        for place, doing in enumerate(doings):
            if doing.step:
                for after, room in _reached(does, onward, (hoist, place)).items():
                    yield doing.number, after, room


def _waits(plan: Plan, does: Sequence[Sequence[Doing]]) -> dict[Node, list[tuple[Node, int]]]:
    """What waits for each thing that is done, and how late that may be."""
    cycle = plan.table.cycle
    found: dict[Node, list[tuple[Node, int]]] = {}
    for hoist, doings in enumerate(does):
        for place, doing in enumerate(doings):
            after = (place + 1) % len(doings)
            apart = doings[after].since - doing.since + cycle * (after <= place)
            room = apart - least_until_next(doings, place)
            found.setdefault((hoist, place), []).append(((hoist, after), max(0, room)))
    for each in separations(plan, does):
        room = each.slack(does, cycle)
        found.setdefault(each.before, []).append((each.after, max(0, room)))
    return found


def _reached(
    does: Sequence[Sequence[Doing]], onward: dict[Node, list[tuple[Node, int]]], late: Node
) -> dict[int, int]:
    """The steps that a late one makes late over travels alone, and how late it may be for each."""
    steps: dict[int, int] = {}
    nearest: dict[Node, int] = {}
    waiting = [(room, node) for node, room in onward[late]]
    waiting.sort()
    while waiting:
        room, node = heappop(waiting)
        if nearest.get(node, room + 1) <= room:
            continue
        nearest[node] = room
        doing = does[node[0]][node[1]]
        if doing.step:
            steps[doing.number] = min(room, steps.get(doing.number, room))
            continue
        for after, more in onward[node]:
            heappush(waiting, (room + more, after))
    return steps
