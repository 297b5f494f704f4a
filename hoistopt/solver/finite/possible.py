"""Whether there is any programme at all."""

from __future__ import annotations

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance, FiniteLoad
from ..cpsat import run_model
from .bounds import horizon
from .giving_way import goes
from .model import FiniteModel
from .placing.construct import first_board

HURRY = 0.5
"""Most seconds for placing loads, before the whole model is asked."""


def possible(instance: FiniteInstance, clock: Clock) -> bool | None:
    """Whether some programme keeps all rules; None where the clock was over first, where none
    keeps what is enough for several hoists, and some what they need in any case, or where several
    hoists find no ways in the one that was met."""
    found = _possible(instance, clock)
    if found is False and instance.needed is not instance:
        return None if _possible(instance.needed, clock, ways=False) is not False else False
    return found


def _possible(instance: FiniteInstance, clock: Clock, *, ways: bool = True) -> bool | None:
    if any(overdue(instance, load) for load in instance.loads):
        return False
    board = first_board(instance, clock.part(HURRY))
    if board is not None and (not ways or goes(instance, board.timing())):
        return True
    try:
        model = FiniteModel(instance, horizon(instance), clock)
    except OutOfTime:
        return None
    status, solver = run_model(model.model, clock)
    if status in ("unknown", "infeasible"):
        return None if status == "unknown" else False
    return True if not ways or goes(instance, model.timing(solver)) else None


def overdue(instance: FiniteInstance, load: FiniteLoad) -> int:
    """By how many ticks a load stands too long before it, and the hoist, can be ready for its
    first move; 0 where it need not."""
    if load.latest is None:
        return 0
    first = load.earliest
    if instance.hoist is not None and load.place is not None:
        first = max(first, instance.hoist[load.place])
    first = instance.soonest(instance.moves[load.moves[0]], first)
    return max(0, first - load.latest)
