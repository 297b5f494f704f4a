"""A bound on the finish from what the hoist can do in a row.

A programme that begins and ends with an empty line can be made over and over, as soon as the
hoist is back: a cycle with all of its loads. So the bound of chains of moves, which holds for
cycles of any number of loads (`solver/chains/`), holds for it, less the way back.
"""

from __future__ import annotations

from collections import Counter

import numpy as np

from ...base.clock import Clock, OutOfTime
from ...instance import Move
from ...instance.finite import FiniteInstance, FiniteLoad
from ..chains import ChainBound, Kinds
from ..chains.kinds import NEVER
from ..compiling import compiling_before

CHAINS = (1_000, 5_000, 20_000, 80_000)
"""Chains at the most, for each move of a recipe: more see more, and take longer."""


def chained_bound(instance: FiniteInstance, clock: Clock, compiling: Clock | None = None) -> int:
    """Ticks by which no programme is over, for the sake of the loads that enter.

    Others are left out: without them what is left breaks no rule. So are loads whose times are
    given.

    Parameters
    ----------
    instance : FiniteInstance
        With one hoist.
    clock : Clock
        When it is over, the best bound by then is given.
    compiling : Clock, optional
        Nothing is compiled that would not be done before it is over; by default `clock`.
    """
    loads = instance.entering()
    if not loads or instance.several is not None:
        return 0
    models = {load.recipe: load for load in reversed(loads)}
    counts = Counter(load.recipe for load in loads)
    kinds, heads, tails = _kinds(instance, models, counts)
    first = min(load.earliest for load in loads)
    if instance.hoist is not None:
        first = max(first, min(instance.hoist[s] for s in _sources(instance, models)))
    back = _way_back(instance, models, heads, tails)
    chains, bound = ChainBound(kinds), 0
    try:
        with compiling_before(clock if compiling is None else compiling):
            for most in CHAINS:
                if clock.over:
                    break
                chains.raise_to(most, clock)
                bound = max(bound, first + chains.per_set.__ceil__() - back)
    except OutOfTime:
        return bound
    return bound


def _sources(instance: FiniteInstance, models: dict[str, FiniteLoad]) -> set[int]:
    """Places from which loads enter the line."""
    return {s for load in models.values() for s in instance.moves[load.moves[0]].sources}


def _kinds(
    instance: FiniteInstance, models: dict[str, FiniteLoad], counts: Counter[str]
) -> tuple[Kinds, list[int], list[int]]:
    """The kinds of moves; for each the least time from its load's entering, and to its end."""
    all_moves = instance.moves
    moves = [all_moves[index] for load in models.values() for index in load.moves]
    size = len(moves)
    gap = np.array([[_gap(instance, a, b) for b in moves] for a in moves], np.int64)
    step = gap.copy()
    ends, begins, fills, clears = (np.full(size, -1) for _ in range(4))
    least, most = np.zeros(size, np.int64), np.full(size, NEVER)
    heads, tails = [0] * size, [0] * size
    number = {move.index: kind for kind, move in enumerate(moves)}
    for kind, move in enumerate(moves):
        stay = instance.stay_after.get(move.index)
        if stay is None:
            continue
        after = number[stay.departure]
        heads[after] = heads[kind] + move.shortest + stay.least
        if len(stay.places) > 1 or instance.places[stay.places[0]].capacity != 1:
            continue
        ends[after], begins[kind] = kind, after
        fills[kind] = clears[after] = stay.places[0]
        least[kind] = move.shortest + stay.least
        if stay.most is not None:
            most[kind] = max(r.duration - r.shaved for r in move.routes) + stay.most
        step[kind, after] = max(step[kind, after], least[kind])
    for kind, move in reversed(list(enumerate(moves))):
        stay = instance.stay_after.get(move.index)
        if stay is not None:
            after = number[stay.departure]
            tails[kind] = stay.least + all_moves[stay.departure].shortest + tails[after]
    visits = np.array([counts[recipe] for recipe, load in models.items() for _ in load.moves])
    return Kinds(visits, step, gap, ends, begins, least, most, fills, clears), heads, tails


def _gap(instance: FiniteInstance, a: Move, b: Move) -> int:
    """Least time from the start of a move to that of a later one."""
    empty = instance.empty
    return min(r.duration + empty[r.target][source] for r in a.routes for source in b.sources)


def _way_back(
    instance: FiniteInstance, models: dict[str, FiniteLoad], heads: list[int], tails: list[int]
) -> int:
    """From the finish to the next beginning, for every move to be in time for those after it.

    Measured tables may make the direct way from an earlier move to a later one long.
    """
    moves = [instance.moves[index] for load in models.values() for index in load.moves]
    return max(
        max(
            instance.empty[target][source] - tail - head
            for target in a.targets
            for source in b.sources
        )
        for a, tail in zip(moves, tails, strict=True)
        for b, head in zip(moves, heads, strict=True)
    )
