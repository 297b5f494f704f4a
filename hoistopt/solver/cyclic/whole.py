"""The whole model by CP-SAT, from the incumbent and above the bound: what ends most searches."""

from __future__ import annotations

from ...base.clock import Clock
from ...instance import Instance
from ..cpsat import Status, minimise
from ..model.build import build_model
from ..model.constraints.symmetry import begins_with_shortest_headway, shortest_headway_first
from ..model.decode import decode, starts_of
from ..model.hint import hint
from .incumbent import Incumbent

PROVABLE, HARDLY_PROVABLE = 60, 80
"""Moves of several loads. With no more than the first, CP-SAT may prove the least cycle in seconds,
which is worth waiting for; with more than the second it hardly does in minutes, and the time is
better spent on shorter cycles."""


def search_whole_model(
    instance: Instance,
    incumbent: Incumbent,
    clock: Clock,
    work: float | None = None,
    *,
    plainly: bool = False,
) -> Status:
    """Search the whole model between the best bound and the best schedule.

    Unless `plainly`, CP-SAT runs as it comes, in the clock's threads, with its own mix of
    searches, beginning from the incumbent: no line is left with a gap that it would close in
    the time that it has.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place, while CP-SAT runs.
    work : float, optional
        Most work, in CP-SAT's own measure; without it until the proof, or the clock is over.
    plainly : bool
        In the way that is quickest for small, tightly bound models.

    Raises
    ------
    OutOfTime
        When the clock is over before the model is built.
    """
    variables = build_model(instance, incumbent.best, lowest=incumbent.lowest, clock=clock)
    model = variables.model
    model.add(variables.cycle >= incumbent.bound)
    begin = None if plainly or incumbent.values else incumbent.schedule
    if begin is None or begins_with_shortest_headway(
        instance, starts_of(instance, begin), begin.cycle
    ):  # else what CP-SAT begins from would be refused
        shortest_headway_first(variables)
    if incumbent.best is not None:
        # Without values to begin from, only what is better is of interest.
        model.add(variables.cycle <= incumbent.best - (not incumbent.values and plainly))
        if begin is not None:
            hint(variables, begin)
        for index, value in enumerate(incumbent.values):
            model.add_hint(model.get_int_var_from_proto_index(index), value)
    model.minimize(variables.cycle)
    status, solver = minimise(
        model,
        incumbent.improve,
        clock,
        work=work,
        plainly=plainly,
        probe=instance.jobs == 1,  # with more loads it costs more than it saves
    )
    if status in ("optimal", "feasible"):
        incumbent.keep(decode(variables, solver.value), list(solver.response_proto.solution))
        incumbent.improve(None, round(solver.best_objective_bound))
    elif status == "infeasible":
        incumbent.improve(None, incumbent.best)
    return status
