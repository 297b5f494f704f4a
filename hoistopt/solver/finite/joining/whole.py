"""What CP-SAT proves and betters on the whole model of one way of joining."""

from __future__ import annotations

from dataclasses import dataclass

from ....base.clock import Clock
from ....instance.finite import FiniteInstance
from ... import cpsat
from ..bounds import horizon
from ..model import FiniteModel
from ..times import Timing
from .candidate import Value

MOST_FOR_MODEL = 260
"""Moves that are not the cycle's; a model of the pairs of more is built but seldom of use."""


@dataclass(frozen=True)
class Looked:
    """What a look at the whole model of one problem gave.

    Attributes
    ----------
    status : str
        "optimal", "feasible", "infeasible" or "unknown", of programmes better than those known.
    timing : Timing or None
        The best of them.
    bound : (int, int)
        None has a lesser value; (0, 0) where it is settled what there is.
    """

    status: cpsat.Status
    timing: Timing | None
    bound: Value


def fits_model(instance: FiniteInstance) -> bool:
    """Whether the problem has few enough moves for the model of their pairs."""
    return len(instance.moves) - len(instance.tied) <= MOST_FOR_MODEL


def look(
    instance: FiniteInstance,
    clock: Clock,
    work: float,
    below: Value | None,
    best: Timing | None,
    within: int | None = None,
) -> Looked:
    """Search the whole model of one problem for a programme better than those known.

    Parameters
    ----------
    instance : FiniteInstance
    clock : Clock
    work : float
        Most work, in CP-SAT's own measure.
    below : (int, int), optional
        The value that a programme has to better; None: any programme will do.
    best : Timing, optional
        A programme of the problem to begin with.
    within : int, optional
        Ticks: only moves that start so near one another in `best` may change places; None: any.

    Raises
    ------
    OutOfTime
        When there is no time to build the model.
    """
    asked = instance.join is not None and bool(instance.join.leaving)
    latest = horizon(instance)
    if below is not None:
        latest = min(latest, below[1] - 1) if not asked else max(latest, below[1])
    model = FiniteModel(instance, latest, clock)
    if below is not None and asked:
        model.model.add(model.aim < below[0] * model.weight + below[1])
    if best is not None:
        model.hint(best)
        if within is not None:
            model.hold_order(best, within)
    model.model.minimize(model.aim)
    status, solver = cpsat.minimise(model.model, lambda *_: None, clock, work=work, symmetry=False)
    timing = model.timing(solver) if status in ("optimal", "feasible") else None
    bound = 0 if status in ("optimal", "infeasible") else cpsat.least_proved(solver)
    return Looked(status, timing, divmod(bound, model.weight) if asked else (0, bound))
