"""Whether there is any programme at all."""

from __future__ import annotations

from ...base.clock import Clock, OutOfTime
from ...instance.finite import FiniteInstance, FiniteLoad
from ..cpsat import run_model
from .bounds import horizon
from .construct import first_board
from .model import FiniteModel

HURRY = 0.5
"""Most seconds for placing loads, before the whole model is asked."""


def possible(instance: FiniteInstance, clock: Clock) -> bool | None:
    """Whether some programme keeps all rules; None where the clock was over first, or where none
    keeps what is enough for several hoists, and some what they need in any case."""
    found = _possible(instance, clock)
    if found is False and instance.needed is not instance:
        return None if _possible(instance.needed, clock) is not False else False
    return found


def _possible(instance: FiniteInstance, clock: Clock) -> bool | None:
    if any(overdue(instance, load) for load in instance.loads):
        return False
    if first_board(instance, clock.part(HURRY)) is not None:
        return True
    try:
        model = FiniteModel(instance, horizon(instance), clock)
    except OutOfTime:
        return None
    status, _ = run_model(model.model, clock)
    return None if status == "unknown" else status != "infeasible"


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
