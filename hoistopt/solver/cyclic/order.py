"""Orders of moves: the best schedule that follows one, and whether any of some is better."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from ...base.clock import Clock
from ...instance import Instance
from ..cpsat import run_model
from ..model.build import build_model
from ..model.decode import decode
from .incumbent import Incumbent

Evaluate = Callable[[Sequence[int]], int | None]
"""Returns the least cycle time of an order of moves, in ticks, and keeps the schedule.

None where the order has none better than the incumbent.
"""

MOST_WORK = 2.0
"""CP-SAT's work for one order, in its own measure (about a second), which is the same on every
machine; with the order given a schedule takes milliseconds."""


def schedule_in_order(
    instance: Instance, order: Sequence[int], incumbent: Incumbent, clock: Clock | None = None
) -> int | None:
    """Find the least cycle time of an order of moves, by the whole model.

    A schedule better than the incumbent replaces it.

    Parameters
    ----------
    order : sequence of int
        All moves, as they start in one cycle; the first is the one that starts it.
    clock : Clock, optional
        Ends the search when it is over.

    Returns
    -------
    int or None
        The cycle time in ticks; None where the order has none better than the incumbent, or
        none was found with that work.

    Raises
    ------
    OutOfTime
        When the clock is over before the model is built.
    """
    clock = Clock() if clock is None else clock
    variables = build_model(instance, incumbent.best, lowest=incumbent.lowest, clock=clock)
    model = variables.model
    for earlier, later in pairwise(order):
        model.add_bool_or(variables.before(earlier, later))
    if incumbent.best is not None:
        model.add(variables.cycle < incumbent.best)
    model.minimize(variables.cycle)
    status, solver = run_model(model, clock.part(workers=1, seed=0), work=MOST_WORK)
    if status not in ("optimal", "feasible"):
        return None
    schedule = decode(variables, solver.value)
    incumbent.keep(schedule, list(solver.response_proto.solution))
    return schedule.cycle


def any_better(
    orders: Iterable[Sequence[int]], evaluate: Evaluate, stop: Callable[[], bool]
) -> bool:
    """Return whether any of some orders gave a better schedule, until told to stop."""
    better = False
    for order in orders:
        if stop():
            break
        better |= evaluate(order) is not None
    return better
