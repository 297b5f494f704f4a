"""How long the hoist travels empty."""

from __future__ import annotations

from ....instance import Move
from ..variables import Linear, Literal, Variables


def empty_travel(variables: Variables) -> Linear:
    """Ticks of empty travel in one cycle, from each move to the next.

    A circuit through all moves that never goes back in time, but for the step over the
    end of the cycle, is the order of the moves.
    """
    instance, model = variables.instance, variables.model
    first = instance.first_moves[0]
    arcs: list[tuple[int, int, Literal]] = []
    total: list[Linear] = []
    for a in instance.moves:
        after: list[tuple[Move, Literal]] = []
        for b in instance.moves:
            if a.index == b.index:
                continue
            literal = model.new_bool_var(f"f{a.index}_{b.index}")
            arcs.append((a.index, b.index, literal))
            after.append((b, literal))
            if b.index != first:
                model.add_implication(literal, variables.before(a.index, b.index))
        total.append(_travel_after(variables, a, after))
    model.add_circuit(arcs)
    return sum(total)


def _travel_after(variables: Variables, a: Move, after: list[tuple[Move, Literal]]) -> Linear:
    """Empty travel after a move, whichever move is next."""
    model, empty = variables.model, variables.instance.empty
    if len(a.targets) == 1 and all(len(b.sources) == 1 for b, _ in after):
        here = a.targets[0]
        return sum(empty[here][b.sources[0]] * literal for b, literal in after)
    longest = max(empty[u][v] for u in a.targets for b, _ in after for v in b.sources)
    travel = model.new_int_var(0, longest, f"e{a.index}")
    for b, literal in after:
        for here in a.targets:
            for there in b.sources:
                chosen = [variables.ends_at(a, here), variables.begins_at(b, there)]
                model.add(travel >= empty[here][there]).only_enforce_if(literal, *chosen)
    return travel
