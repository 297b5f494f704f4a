"""Find the least cycle time: CP-SAT, and sweeps where it finds no quick end."""

from __future__ import annotations

from dataclasses import dataclass

from ..instance import Instance
from ..schedule import Schedule
from .cpsat import Status, minimise, run_model
from .decode import decode
from .model import build_model, lowest_cycle
from .order import schedule_in_order
from .standing import Standing, Tell
from .sweep import can_sweep, close_gap

FIRST_EFFORT = 1.5
"""CP-SAT's work, in its own measure (about seconds), before sweeps are tried."""


@dataclass(frozen=True)
class Found:
    """The outcome of a search; `bound` in ticks, `runtime` in seconds.

    `interrupted` tells that Ctrl-C ended it.
    """

    status: Status
    bound: int
    schedule: Schedule | None
    runtime: float
    interrupted: bool = False


def least_cycle(
    instance: Instance,
    *,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    tell: Tell | None = None,
) -> Found:
    """Find the least cycle time of an instance.

    CP-SAT first, for as long as most lines need. Where that brings no proof, sweeps
    through move sequences bring better schedules and bounds, often the proof itself.
    What is left goes to CP-SAT again, from the best known and above the best bound.

    Parameters
    ----------
    time_limit : float, optional
        Seconds; without it the search ends with a proof.
    workers : int, optional
        Search threads, by default one per core: more threads than cores make proofs
        slower by far.
    seed : int
        Same seed and one worker: same schedule, unless the time limit cuts in.
    tell : callable, optional
        Called from another thread whenever the best cycle time or the bound moves.
    """
    search = _Search(instance, time_limit, workers, seed, tell)
    status = search.run_cp_sat(FIRST_EFFORT if can_sweep(instance) else None)
    if status in ("feasible", "unknown") and not search.over:
        search.sweep()
        if not search.over:
            status = search.run_cp_sat(None)
    return search.found(status)


class _Search:
    """One search: what it looks at, where it stands, and when it has to end."""

    def __init__(
        self,
        instance: Instance,
        time_limit: float | None,
        workers: int | None,
        seed: int,
        tell: Tell | None,
    ) -> None:
        self.instance, self.workers, self.seed = instance, workers, seed
        self.time_limit = time_limit
        self.interrupted = False
        self.standing = Standing(lowest_cycle(instance), tell)

    @property
    def left(self) -> float | None:
        """Seconds left; None without a limit."""
        if self.time_limit is None:
            return None
        return self.time_limit - self.standing.elapsed

    @property
    def over(self) -> bool:
        """Whether there is nothing more to do, or no more time to do it."""
        left = self.left
        return self.interrupted or self.standing.closed or (left is not None and left < 0.01)

    def run_cp_sat(self, effort: float | None) -> Status:
        """Search the whole model between the best bound and the best schedule."""
        standing = self.standing
        variables = build_model(self.instance)
        model = variables.model
        model.add(variables.cycle >= standing.bound)
        if standing.best is not None:
            model.add(variables.cycle <= standing.best)
            for index, value in enumerate(standing.values):
                model.add_hint(model.get_int_var_from_proto_index(index), value)
        model.minimize(variables.cycle)
        status, solver, self.interrupted = minimise(
            model,
            standing.hear,
            time_limit=self.left,
            effort=effort,
            workers=self.workers,
            seed=self.seed,
        )
        if status in ("optimal", "feasible"):
            standing.keep(decode(variables, solver.value), list(solver.response_proto.solution))
            standing.hear(None, round(solver.best_objective_bound))
        return status

    def sweep(self) -> None:
        """Close the gap by sweeps as far as they can."""
        try:
            close_gap(
                self.instance,
                self.standing,
                evaluate=lambda order: schedule_in_order(self.instance, order, self.standing),
                stop=lambda: self.over,
                workers=self.workers,
            )
        except KeyboardInterrupt:
            self.interrupted = True

    def found(self, status: Status) -> Found:
        """What came of it."""
        standing = self.standing
        if standing.schedule is not None:
            status = "optimal" if standing.closed or status == "optimal" else "feasible"
        bound = standing.bound
        if status == "optimal":
            assert standing.schedule is not None
            bound = standing.schedule.cycle
        return Found(status, bound, standing.schedule, standing.elapsed, self.interrupted)


def is_feasible(
    instance: Instance, *, time_limit: float | None = None, workers: int = 1
) -> bool | None:
    """Whether an instance has any schedule; None when the limit came first."""
    status, _ = run_model(build_model(instance).model, time_limit=time_limit, workers=workers)
    return None if status == "unknown" else status != "infeasible"
