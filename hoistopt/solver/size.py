"""How much memory the model of an instance takes, before it is built."""

from __future__ import annotations

from itertools import combinations

from ..instance import Instance, Stay
from .model.variables import MANY_TERMS

PER_CONSTRAINT, PER_TERM = 2500, 500
"""Bytes while a model is solved, in two threads: for a constraint, and for a term of a sum over
many tanks. Measured on lines of 10 to 104 moves and 1 to 33 tanks a stage: 29 to 407 MB, told
to within a third."""


def model_bytes(instance: Instance) -> int:
    """Return about how many bytes the model takes while it is solved."""
    return PER_CONSTRAINT * constraints_of(instance) + PER_TERM * _terms(instance)


def constraints_of(instance: Instance) -> int:
    """Return about how many constraints the model of an instance has.

    Most are the rule of the hoist: of any two moves in either order, for each tank that the
    second may begin at. Then come the routes of moves from several tanks to several, and
    loads that may share tanks. The ends of the line are left out.
    """
    moves = instance.moves
    sources = [len(move.sources) for move in moves]
    choosing = [len(move.routes) > 1 for move in moves]
    many = sum(2 * count for count in sources)
    several = sum(2 * count for count in sources if count > 1)
    count = 2 * len(moves) * (len(moves) - 1)
    for move, own, free in zip(moves, sources, choosing, strict=True):
        count += many - 2 * own if free else several - 2 * own * (own > 1)
        if len(move.sources) > 1 and len(move.targets) > 1:
            count += 2 * len(move.routes)
        if len(move.targets) > MANY_TERMS:
            count += len(_places(instance))
    return count + sum(_sharing(*pair) for pair in combinations(instance.stays, 2))


def _sharing(x: Stay, y: Stay) -> int:
    shared = len(set(x.places) & set(y.places))
    return 0 if not shared else 12 if shared == 1 else 12 + shared


def _terms(instance: Instance) -> int:
    """Terms of sums that are over many tanks: travel from where a move ends, and durations."""
    travel = sum(
        len(move.targets) * len(_places(instance))
        for move in instance.moves
        if len(move.targets) > MANY_TERMS
    )
    return travel + sum(
        3 * len(move.routes) for move in instance.moves if len(move.routes) > MANY_TERMS
    )


def _places(instance: Instance) -> set[int]:
    """Places that some move begins at."""
    return {source for move in instance.moves for source in move.sources}
