"""The one hoist makes one move at a time and needs time to get to the next."""

from __future__ import annotations

from itertools import permutations

from ....instance import Move
from ..variables import Linear, Variables


def hoist_in_one_place(variables: Variables) -> None:
    """Of any two moves one comes first, and the empty travel to the other fits between.

    Around the cycle too: from the later move on to the next cycle's earlier one. After a
    move of `instance.helped` the hoist is free from its start, wherever it is needed.
    """
    moves = variables.instance.moves
    choosing = {move.index for move in moves if len(move.routes) > 1}
    for first, second in permutations(moves, 2):
        variables.clock.check()
        a, b = first.index, second.index
        _in_order(variables, a, b)
        if not _fits_by_way_of_first(variables, a, b):
            _around_the_cycle(variables, a, b)
        if a in choosing or (b in choosing and len(second.sources) > 1):
            _by_place(variables, first, second)
    for move in moves:
        variables.model.add(variables.cycle >= _gap(variables, move.index, move.index))
        if move.index in choosing:
            _back_to_itself(variables, move)


def _gap(variables: Variables, a: int, b: int) -> Linear:
    """Least time from the start of move a to that of a later b, on whichever routes."""
    return variables.instance.gaps[a][b] - variables.quicker(a)


def _in_order(variables: Variables, a: int, b: int) -> None:
    """Where a comes first in the cycle, there is time to get to b."""
    model, start, gap = variables.model, variables.start, _gap(variables, a, b)
    if b != variables.first:
        model.add(start[b] - start[a] >= gap).only_enforce_if(variables.before(a, b))


def _around_the_cycle(variables: Variables, a: int, b: int) -> None:
    """Where b comes first in the cycle, there is time to get from a to the next cycle's b.

    It is so where a comes first, too, but quicker to solve when left out there.
    """
    model, start, gap = variables.model, variables.start, _gap(variables, a, b)
    model.add(start[b] + variables.cycle - start[a] >= gap).only_enforce_if(variables.before(b, a))


def _fits_by_way_of_first(variables: Variables, a: int, b: int) -> bool:
    """Whether there is time enough from a to the next cycle's b, as the first move is between.

    Always so where times obey the triangle inequality; measured ones need not.
    """
    first, gaps = variables.first, variables.instance.gaps
    if not isinstance(variables.quicker(first), int):
        return False  # a quicker first move leaves less time between
    return first not in (a, b) and gaps[a][first] + gaps[first][b] >= gaps[a][b]


def _by_place(variables: Variables, a: Move, b: Move) -> None:
    """b starts once the hoist can be there after a; the time depends on the places chosen."""
    if a.index in variables.instance.helped:
        return  # no time to add to what stands for all places
    model, start = variables.model, variables.start
    ready = start[a.index] + variables.duration(a.index)
    for source in b.sources:
        variables.clock.check()
        there = ready + variables.travel(a.index, source)
        begins = variables.begins_at(b, source)
        model.add(start[b.index] >= there).only_enforce_if(
            variables.before(a.index, b.index), begins
        )
        model.add(start[b.index] + variables.cycle >= there).only_enforce_if(begins)


def _back_to_itself(variables: Variables, move: Move) -> None:
    if move.index in variables.instance.helped:
        return
    empty = variables.instance.empty
    back = [route.duration + empty[route.target][route.source] for route in move.routes]
    least = variables.weighted(move.index, back) - variables.quicker(move.index)
    variables.model.add(variables.cycle >= least)
