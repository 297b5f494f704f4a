"""Several hoists in a programme: of any two moves the starts are far enough apart."""

from __future__ import annotations

from itertools import combinations

from .....instance import Move, Several
from ....model.constraints.several import Apart, apart
from ..variables import FiniteVariables, Lit


def hoists_apart(variables: FiniteVariables, several: Several) -> None:
    """Of any two moves the later one starts when the hoists that make them can keep apart.

    What is asked of two moves is the same as in a cycle, here once and not in every cycle:
    see :func:`hoistopt.solver.model.constraints.several.hoists_keep_apart`. Those of a cycle
    leave one another time, and so do those that are promised.
    """
    moves = variables.instance.moves
    for move in moves:
        _from_the_state(variables, move)
    for a, b in combinations(moves, 2):
        variables.clock.check()
        if not _held_alike(variables, a, b):
            _two_moves(variables, several, a, b)


def _from_the_state(variables: FiniteVariables, move: Move) -> None:
    """The first moves leave hoists the time that they need from where the state has them."""
    start = variables.start[move.index]
    for route, taken in variables.ways(move):
        for low, high in variables.instance.barred(route):
            if low <= 0:
                variables.add_where(start >= high + 1, [taken])
                continue
            after = variables.model.new_bool_var("")
            variables.add_where(start >= high + 1, [taken, after])
            variables.add_where(start <= low - 1, [taken, ~after])


def _held_alike(variables: FiniteVariables, a: Move, b: Move) -> bool:
    """Whether two moves keep the time between them, which is as it should be."""
    instance, held = variables.instance, variables.held
    alike = [instance.tied, instance.promised]
    if held is not None:
        alike += [dict(held.kept), dict(held.later)]
    return any(a.index in starts and b.index in starts for starts in alike)


def _two_moves(variables: FiniteVariables, several: Several, a: Move, b: Move) -> None:
    soonest, latest = _between_starts(variables, a, b)
    asked: list[tuple[list[Lit], Apart]] = []
    for one, first in variables.ways(a):
        for other, second in variables.ways(b):
            found = apart(several, one, other)
            # Whenever they start, that is so already.
            if found is None or soonest >= found[1] or latest <= found[0]:
                continue
            asked.append(([first, second], found))
    if not asked:
        return
    later = variables.start[b.index] - variables.start[a.index]
    if soonest > max(low for _, (low, _) in asked):
        for chosen, (_, high) in asked:
            variables.add_where(later >= high, chosen)
        return
    if latest < min(high for _, (_, high) in asked):
        for chosen, (low, _) in asked:
            variables.add_where(later <= low, chosen)
        return
    after = variables.model.new_bool_var("")
    for chosen, (low, high) in asked:
        variables.add_where(later >= high, [*chosen, after])
        variables.add_where(later <= low, [*chosen, ~after])


def _between_starts(variables: FiniteVariables, a: Move, b: Move) -> tuple[int, int]:
    """The least and the greatest time that there may be from one start to another."""
    (a_low, a_high), (b_low, b_high) = variables.spans[a.index], variables.spans[b.index]
    soonest, latest = b_low - a_high, b_high - a_low
    tied = variables.instance.tied
    if a.job == b.job:
        soonest = max(soonest, _between(variables, a, b))
    # All other moves begin before the first one of the cycle.
    if b.index in tied and a.index not in tied:
        soonest = max(soonest, tied[b.index] + 1)
    if a.index in tied and b.index not in tied:
        latest = min(latest, -tied[a.index] - 1)
    return soonest, latest


def _between(variables: FiniteVariables, a: Move, b: Move) -> int:
    """The least time from the start of one move of a load to that of a later one."""
    instance = variables.instance
    return sum(
        instance.moves[index].shortest + instance.stay_after[index].least
        for index in range(a.index, b.index)
    )
