"""Each hoist makes one move after another, with the empty travel between."""

from __future__ import annotations

from itertools import combinations

from .....instance import Move
from ..variables import FiniteVariables, Lit, opposite
from .several import hoists_apart


def hoist_in_one_place(variables: FiniteVariables) -> None:
    """Of any two moves the later one starts when the hoist can be there at the earliest.

    Those of a cycle leave one another time, and all others come before them. So do those that
    are promised.
    """
    if variables.instance.several is not None:
        hoists_apart(variables, variables.instance.several)
        return
    tied, promised = variables.instance.tied, variables.instance.promised
    for a, b in combinations(variables.instance.moves, 2):
        if a.index in tied or b.index in tied:
            variables.orders[a.index, b.index] = first = tied.get(a.index, -1) < tied.get(
                b.index, -1
            )
            if first and a.index not in tied:
                apart(variables, a, b, [])
            elif not first and b.index not in tied:
                apart(variables, b, a, [])
            continue
        if a.index in promised and b.index in promised:
            variables.orders[a.index, b.index] = promised[a.index] < promised[b.index]
            continue
        if a.job == b.job:
            variables.orders[a.index, b.index] = True
            if not _follows(variables, a, b):
                apart(variables, a, b, [])
            continue
        if (known := _known(variables, a, b)) is not None:
            variables.orders[a.index, b.index] = known
            continue
        lit = variables.model.new_bool_var("")
        variables.orders[a.index, b.index] = lit
        apart(variables, a, b, [lit])
        apart(variables, b, a, [opposite(lit)])


def _follows(variables: FiniteVariables, a: Move, b: Move) -> bool:
    """Whether the least dwells alone leave the hoist its time between two moves of a load."""
    moves, empty = variables.instance.moves, variables.instance.empty
    least = sum(
        variables.instance.stay_after[index].least + (index > a.index) * moves[index].shortest
        for index in range(a.index, b.index)
    )
    return least >= max(empty[i.target][j.source] for i in a.routes for j in b.routes)


def _known(variables: FiniteVariables, a: Move, b: Move) -> bool | None:
    """Whether one move is made before another, where that follows from what is held.

    Those that are near each other and move against each other are told apart here.
    """
    held = variables.held
    if held is None:
        return None
    for starts in (held.kept, held.later):
        if a.index in starts and b.index in starts:
            return starts[a.index] < starts[b.index]
    far = variables.far
    of_a, of_b = variables.spans[a.index], variables.spans[b.index]
    for one, other, gap, order in (
        (a, b, of_b[0] - of_a[1], True),
        (b, a, of_a[0] - of_b[1], False),
    ):
        if gap >= far:
            return order
        # The other one first: it would have to start before that one can.
        if gap > -other.shortest:
            apart(variables, one, other, [])
            return order
    return None


def apart(variables: FiniteVariables, a: Move, b: Move, given: list[Lit]) -> None:
    """The hoist has its time from one move to the other, where some literals hold."""
    empty = variables.instance.empty
    for one, first in variables.ways(a):
        for other, second in variables.ways(b):
            needed = one.duration + empty[one.target][other.source]
            later = variables.start[b.index] >= variables.start[a.index] + needed
            variables.add_where(later, [first, second, *given])
