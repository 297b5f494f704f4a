"""A schedule in much the same order of moves as one that breaks some rule, by CP-SAT."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from ...base.clock import Clock
from ...instance import Instance
from ..cpsat import new_solver, run_solver
from ..model.build import build_model
from ..model.decode import decode
from .incumbent import Incumbent

FREE = 20
"""Moves, at the least, around those that break a rule whose order is free."""

MOST_WORK, LONGER = 0.3, 1.06
"""CP-SAT's work on one schedule, in its own measure (it takes about a second); and how many times
as long as the cycle time given its cycle may be."""


def mend(
    held: Instance,
    starts: NDArray[np.int64],
    cycle: int,
    broken: NDArray[np.bool_],
    reach: int,
    incumbent: Incumbent,
    clock: Clock,
) -> bool:
    """Keep a better schedule in much the same order; return whether there is one.

    Parameters
    ----------
    held : Instance
        Every move on one route.
    starts : array (moves,)
        In ticks, counted on over cycles.
    cycle : int
    broken : array (moves,)
        Moves that break a rule, or are near one that does. They and those around them are free;
        where there are none, none is.
    reach : int
        Other moves that have no more than so many places in the order between them may change
        places.
    incumbent : Incumbent
        Improved in place.
    """
    best = incumbent.best
    order = np.argsort((starts - starts[held.first_moves[0]]) % cycle, kind="stable").tolist()
    place = np.empty(len(order), np.int64)
    place[order] = np.arange(len(order))
    free: set[int] = set()
    if broken.any():
        apart = np.abs(place[:, None] - place[broken][None])
        apart = np.minimum(apart, len(order) - apart).min(axis=1)
        nearest = np.argsort(apart, kind="stable")[:FREE].tolist()
        free = {*nearest, *np.flatnonzero(broken).tolist()}
    variables = build_model(held, best, lowest=incumbent.lowest, clock=clock)
    top = round(LONGER * cycle)
    variables.model.add(variables.cycle <= (top if best is None else min(top, best - 1)))
    variables.model.minimize(variables.cycle)
    variables.model.add_bool_and(
        variables.before(a, b)
        for (i, a), (j, b) in combinations(enumerate(order), 2)
        if a not in free and b not in free and min(j - i, i - j + len(order)) > reach
    )
    solver = new_solver(clock, work=MOST_WORK, plainly=True)
    if run_solver(solver, variables.model, clock) not in ("optimal", "feasible"):
        return False
    return incumbent.keep(decode(variables, solver.value), [])
