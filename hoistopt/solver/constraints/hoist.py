"""The one hoist makes one move at a time and needs time to get to the next."""

from __future__ import annotations

from ...instance import Move
from ..variables import Variables


def hoist_in_one_place(variables: Variables) -> None:
    """Of any two moves one comes first, and the empty travel to the other fits between.

    Around the cycle too: from the later move on to the next cycle's earlier one.
    """
    gaps = variables.instance.gaps
    for a, b in variables.instance.pairs():
        i, j = a.index, b.index
        _in_order(variables, i, j, gaps[i][j])
        _in_order(variables, j, i, gaps[j][i])
        for first, second in ((a, b), (b, a)):
            if len(first.targets) > 1 or len(second.sources) > 1 or len(first.routes) > 1:
                _by_place(variables, first, second)
    for move in variables.instance.moves:
        variables.model.add(variables.cycle >= gaps[move.index][move.index])
        if len(move.routes) > 1:
            _back_to_itself(variables, move)


def _in_order(variables: Variables, a: int, b: int, gap: int) -> None:
    model, start = variables.model, variables.start
    model.add(start[b] - start[a] >= gap).only_enforce_if(variables.before(a, b))
    # Implied where a comes first, and quicker to solve when left out there.
    model.add(start[b] + variables.cycle - start[a] >= gap).only_enforce_if(variables.before(b, a))


def _by_place(variables: Variables, a: Move, b: Move) -> None:
    """The same, where the time depends on which places are chosen."""
    model, start, empty = variables.model, variables.start, variables.instance.empty
    ready = start[a.index] + variables.duration(a.index)
    for target in a.targets:
        for source in b.sources:
            chosen = [variables.ends_at(a, target), variables.begins_at(b, source)]
            travel = empty[target][source]
            model.add(start[b.index] - ready >= travel).only_enforce_if(
                variables.before(a.index, b.index), *chosen
            )
            model.add(start[b.index] + variables.cycle - ready >= travel).only_enforce_if(*chosen)


def _back_to_itself(variables: Variables, move: Move) -> None:
    for index, route in enumerate(move.routes):
        back = route.duration + variables.instance.empty[route.target][route.source]
        variables.model.add(variables.cycle >= back).only_enforce_if(
            variables.route(move.index, index)
        )
