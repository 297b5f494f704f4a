"""Several hoists share a track: each makes one move at a time, and none meets another."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from ....instance import Move, Route, Several
from ..variables import Literal, Variables

Apart = tuple[int, int]
"""The second of two moves starts at most so many ticks after the first, or at least so many."""


def hoists_keep_apart(variables: Variables) -> None:
    """Of any two moves the starts are far enough apart for the hoists that make them.

    For one hoist: the other move has ended, and the empty travel fits between. For two: they
    can make good the distance that would be short (:mod:`hoistopt.instance.several`). Around
    the cycle too: between two starts there may be other cycles' starts of either move.
    """
    several = variables.instance.several
    assert several is not None
    for first, second in variables.instance.pairs():
        variables.clock.check()
        apart = list(_apart(several, first, second))
        if apart:
            _between_cycles(variables, first, second, apart)
    _idle_at_an_end(variables, several)
    for move in variables.instance.moves:
        variables.model.add(variables.start[move.index] < variables.cycle)
        for index, route in enumerate(move.routes):
            back = several.next_move(route.hoist, route.exact, route.target, route.source)
            _given(variables, [(move, index)], variables.cycle >= back)


def ask_for_more(variables: Variables, several: Several, pairs: Iterable[tuple[int, int]]) -> None:
    """Of some pairs of moves ask for time apart as other hoists would.

    Parameters
    ----------
    several : Several
        Those; they ask for no less than the hoists of the model, which has its rules.
    pairs : iterable of (int, int)
        Indices of moves, the lesser first.
    """
    moves = variables.instance.moves
    for a, b in pairs:
        if (a, b) in variables.turns:
            found = list(_apart(several, moves[a], moves[b]))
            _room_for(variables, moves[a], moves[b], found, variables.turns[a, b])


def _idle_at_an_end(variables: Variables, several: Several) -> None:
    """A hoist between two that make moves makes one, too: it has to give way to both.

    One at an end of the track, with nobody at work beyond it, stands out of the way there.
    """
    if len(several) < 3:
        return
    model, moves = variables.model, variables.instance.moves
    at_work = []
    for hoist in range(len(several)):
        made = [
            variables.route(move.index, index)
            for move in moves
            for index, route in enumerate(move.routes)
            if route.hoist == hoist
        ]
        busy = model.new_bool_var(f"busy{hoist}")
        model.add_bool_or(busy.negated(), *made)
        for literal in made:
            model.add_implication(literal, busy)
        at_work.append(busy)
    for left in range(len(several)):
        for right in range(left + 2, len(several)):
            for middle in range(left + 1, right):
                both = at_work[left].negated(), at_work[right].negated()
                model.add_bool_or(*both, at_work[middle])


def _apart(several: Several, a: Move, b: Move) -> Iterator[tuple[int, int, Apart]]:
    """What each choice of routes asks for."""
    for i, one in enumerate(a.routes):
        for j, other in enumerate(b.routes):
            found = apart(several, one, other)
            if found is not None:
                yield i, j, found


def apart(several: Several, one: Route, other: Route) -> Apart | None:
    """What two routes of different moves ask of the time between the starts of the moves."""
    if one.hoist == other.hoist:
        return (
            -several.next_move(one.hoist, other.exact, other.target, one.source),
            several.next_move(one.hoist, one.exact, one.target, other.source),
        )
    assert one.path is not None and other.path is not None
    found = several.apart(one.hoist, one.path, other.hoist, other.path)
    if found is None:
        return None
    # Either may be late by its float.
    return found[0] - other.pad, found[1] + one.pad


def _between_cycles(
    variables: Variables, a: Move, b: Move, found: list[tuple[int, int, Apart]]
) -> None:
    """Find room for the second start between those of the first in two successive cycles."""
    shortest = variables.lowest
    highest = max(1 + (-high - 1) // shortest if high < 0 else 0 for _, _, (_, high) in found)
    lowest = min(-2 - (low - 1) // shortest if low > 0 else -1 for _, _, (low, _) in found)
    turns = _turns(variables, a.index, b.index, lowest, highest)
    variables.turns[a.index, b.index] = turns
    _room_for(variables, a, b, found, turns)


def _room_for(
    variables: Variables,
    a: Move,
    b: Move,
    found: list[tuple[int, int, Apart]],
    turns: Mapping[int, Literal],
) -> None:
    """The second starts late enough after the first, and soon enough before it comes again."""
    later = variables.start[b.index] - variables.start[a.index]
    for i, j, (low, high) in found:
        chosen = [(a, i), (b, j)]
        for turn, literal in turns.items():
            start, end = turn * variables.cycle, (turn + 1) * variables.cycle
            _given(variables, chosen, later >= high + start, literal)
            _given(variables, chosen, later <= low + end, literal)


def _turns(variables: Variables, a: int, b: int, lowest: int, highest: int) -> dict[int, Literal]:
    """For each cycle of move a, counted from that of move b, whether b comes next after it."""
    if (lowest, highest) == (-1, 0):
        first = variables.model.new_bool_var(f"z{a}_{b}")
        return {0: first, -1: first.negated()}
    found = {
        turn: variables.model.new_bool_var(f"z{a}_{b}_{turn}")
        for turn in range(lowest, highest + 1)
    }
    variables.model.add_exactly_one(found.values())
    return found


def _given(
    variables: Variables,
    chosen: list[tuple[Move, int]],
    constraint: Any,
    *more: Literal,
) -> None:
    """Add a constraint that holds where these routes are chosen."""
    literals = [
        variables.route(move.index, index) for move, index in chosen if len(move.routes) > 1
    ]
    added = variables.model.add(constraint)
    if literals or more:
        added.only_enforce_if(*literals, *more)
