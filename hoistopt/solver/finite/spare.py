"""Room below maxima where it costs nothing: other times for the moves of a programme.

Every move keeps its way, and its place in whatever has an order: the hoists, the places, the ends
of the line. No load is out later. What is left is a linear program, which CP-SAT solves at once.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance
from .. import cpsat
from ..model.constraints.several import apart
from .giving_way import goes
from .model import FiniteModel
from .times import Timing

PIECES = ((4, 16), (2, 4), (1, 1))
"""Room counts until it is this part of the longest move's time, so much a tick; then the next."""
MOST_MOVES, WORK, LIMIT = 150, 2.0, 1.0
"""Moves of a programme that is looked at; how much CP-SAT may do, in its own measure, and for how
many seconds at the most."""


def with_room(instance: FiniteInstance, timing: Timing, clock: Clock) -> Timing:
    """The programme with more room below its maxima, as far as no load is out later.

    Little room counts more than much, and of as good programmes the one that starts sooner.

    Parameters
    ----------
    instance : FiniteInstance
        Of a programme that ends with the line empty.
    timing : Timing
        Breaks no rule.
    clock : Clock
        When it is over, the programme comes back as it is.
    """
    if instance.join is not None or not 1 < len(instance.moves) <= MOST_MOVES or clock.over:
        return timing
    fixed = replace(
        instance,
        moves=tuple(replace(move, routes=(timing.routes[move.index],)) for move in instance.moves),
    )
    part = clock.part(LIMIT)
    try:
        model = FiniteModel(fixed, timing.finish, part)
    except OutOfTime:
        return timing
    _hold(model, timing)
    rooms = _rooms(model, timing)
    if not rooms:
        return timing
    counts = len(instance.moves) + 1
    early = sum(model.start[move.index] for move in instance.moves)
    model.model.minimize(early - counts * sum(rooms))
    model.hint(timing)
    status, solver = cpsat.minimise(model.model, _nobody, part, work=WORK, symmetry=False)
    if status != "optimal":
        return timing
    found = model.timing(solver)
    return found if goes(instance, found) else timing


def _hold(model: FiniteModel, timing: Timing) -> None:
    """Whatever has an order keeps it, and no load is out later."""
    rules, instance = model.model, model.instance
    model.hold_order(timing, 0)
    for load in instance.loads:
        rules.add(model.end[load.moves[-1]] <= timing.end(load.moves[-1]))
    for (one, other), lit in model.event_orders():
        since, until = (
            timing.starts[move] if lifts else timing.end(move) for move, lifts in (one, other)
        )
        first = since + (one[1] and not other[1]) <= until
        rules.add_bool_and([lit if first else ~lit])
    if instance.several is None:
        return
    for a, b in combinations(range(len(instance.moves)), 2):
        asked = apart(instance.several, timing.routes[a], timing.routes[b])
        if asked is None:
            continue
        later = model.start[b] - model.start[a]
        after = timing.starts[b] - timing.starts[a] >= asked[1]
        rules.add(later >= asked[1] if after else later <= asked[0])


def _rooms(model: FiniteModel, timing: Timing) -> list[Any]:
    """What the room below each maximum counts."""
    instance, found = model.instance, []
    longest = max(route.duration for route in timing.routes)
    for load in instance.loads:
        if load.latest is not None and not instance.is_promised(load):
            room = load.latest - model.start[load.moves[0]]
            found += _counted(model, room, load.latest - load.earliest, longest)
    for stay in instance.stays:
        if stay.most is not None and stay.departure not in instance.promised:
            most = stay.most - timing.routes[stay.arrival].shaved
            dwell = model.start[stay.departure] - model.end[stay.arrival]
            found += _counted(model, most - dwell, most - stay.least, longest)
    return found


def _counted(model: FiniteModel, room: Any, most: int, longest: int) -> list[Any]:
    """Room in pieces, the first of which count most."""
    if most <= 0:
        return []
    pieces = [
        (model.model.new_int_var(0, min(most, -(-longest // part)), ""), weight)
        for part, weight in PIECES
    ]
    model.model.add(sum(piece for piece, _ in pieces) <= room)
    return [weight * piece for piece, weight in pieces]


def _nobody(best: int | None, bound: int | None) -> None:
    """Nobody hears of it: room is no finish."""
