"""The best schedule whose moves follow a given order."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from ...base.clock import Clock
from ...instance import Instance
from ..cpsat import run_model
from ..model.build import build_model
from ..model.decode import decode
from .standing import Standing

LONGEST_TRY = 2.0
"""Seconds; with the order given a schedule takes milliseconds."""


def schedule_in_order(
    instance: Instance, order: Sequence[int], standing: Standing, clock: Clock | None = None
) -> int | None:
    """Give an order of moves its least cycle time, by the whole model.

    A schedule better than the best of `standing` is kept there.

    Returns
    -------
    int or None
        Its cycle time; None where the order has none below the best.

    Raises
    ------
    OutOfTime
        When the clock is over before the model is built.
    """
    clock = Clock() if clock is None else clock
    variables = build_model(instance, standing.best, lowest=standing.lowest, clock=clock)
    model = variables.model
    for earlier, later in pairwise(order):
        model.add_bool_or(variables.before(earlier, later))
    if standing.best is not None:
        model.add(variables.cycle < standing.best)
    model.minimize(variables.cycle)
    status, solver = run_model(model, clock.part(LONGEST_TRY, workers=1, seed=0))
    if status not in ("optimal", "feasible"):
        return None
    schedule = decode(variables, solver.value)
    standing.keep(schedule, list(solver.response_proto.solution))
    return schedule.cycle
