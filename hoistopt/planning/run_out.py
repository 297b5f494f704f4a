"""The rest of the cycle under way, with no new load: a programme to begin a search with."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..checker import replay_programme
from ..instance import Route
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import LineState
from ..solver.finite import Timing, add_loads, travels_once
from ..solver.finite.joining.placing import settled
from ..solver.finite.placing.board import Board
from ..solver.finite.placing.insertion import insert
from .planned import programme_of, route_of, stations_numbered


def run_out(problem: Problem, instance: FiniteInstance, state: LineState) -> list[Timing]:
    """The moves that the state's loads have left by the cycle under way, then what is ordered.

    Parameters
    ----------
    problem : Problem
    instance : FiniteInstance
        Of the state and orders; may be of the state alone.
    state : LineState
        With the moves `onward` from it, or without.

    Returns
    -------
    list of Timing
        One at the most, of which the checker has accepted the moves of the state's loads; none
        where it does not, such as with a hoist out of service since, or where what is ordered
        finds no place beside them.
    """
    onward = state.onward
    if onward is None or not onward.steps or instance.promised or instance.join is not None:
        return []
    number = stations_numbered(problem)
    by_move = {(step.load, step.stage): step for step in onward}
    fixed = {}
    for place, load in enumerate(instance.loads):
        if load.enters:
            continue
        way = []
        for index in load.moves:
            step = by_move.pop((load.number, instance.moves[index].stage), None)
            route = None if step is None else route_of(instance, index, step, number)
            if step is None or route is None:
                return []
            start = Fraction(step.start) * instance.ticks_per_unit / onward.ticks_per_unit
            way.append((start.__ceil__(), route))
        fixed[place] = way
    if by_move:
        return []
    waiting = instance.sequence or [n for n in range(len(instance.loads)) if n not in fixed]
    for after in (False, True):
        timing = _with_orders(instance, fixed, waiting, after=after)
        travels = None if timing is None else travels_once(instance, timing)
        if timing is None or travels is None:
            continue
        programme = programme_of(problem, instance, timing, travels)
        if replay_programme(problem, programme, state).clean:
            return [timing]
    return []


def _with_orders(
    instance: FiniteInstance,
    fixed: dict[int, list[tuple[int, Route]]],
    waiting: Sequence[int],
    *,
    after: bool,
) -> Timing | None:
    """What is ordered placed beside what is fixed; or `after` it, each once the last is out."""
    try:
        if not after:
            return add_loads(instance, fixed, waiting, in_order=bool(instance.sequence))
        board = Board(instance)
        for place, way in fixed.items():
            board.put(place, way)
        for place in waiting:
            ends = (start + route.duration for way in board.ways.values() for start, route in way)
            if not insert(board, place, not_before=max(ends) + settled(instance, True)):
                return None
        return board.timing()
    except ValueError:
        return None
