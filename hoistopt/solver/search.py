"""Run CP-SAT on a model, hear from it while it runs, and read its answer."""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from ortools.sat.python import cp_model

from ..instance import Instance
from ..schedule import Schedule
from .decode import decode
from .model import build_model

Tell = Callable[[int | None, int, float], None]
"""Hears best cycle time or None, bound (both in ticks), and elapsed seconds."""

_STATUS: dict[Any, Literal["optimal", "feasible", "infeasible", "unknown"]] = {
    cp_model.OPTIMAL: "optimal",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
    cp_model.UNKNOWN: "unknown",
}


@dataclass(frozen=True)
class Found:
    """The outcome of a search; `bound` in ticks, `runtime` in seconds.

    `interrupted` tells that Ctrl-C ended it.
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
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

    Parameters
    ----------
    time_limit : float, optional
        Seconds; without it the search ends with a proof.
    workers : int, optional
        Search threads, by default one per core: more threads than cores make proofs
        slower by far.
    seed : int
        Same seed and one worker: same schedule.
    tell : callable, optional
        Called from another thread whenever the best cycle time or the bound moves.
    """
    began = time.perf_counter()
    variables = build_model(instance)
    variables.model.minimize(variables.cycle)
    solver = _solver(time_limit, workers, seed)
    watcher = _Watcher(variables.lowest, began, tell)
    if tell is not None:
        solver.best_bound_callback = watcher.hear_bound
    outcome, interrupted = _interruptible(solver, variables.model, watcher)
    status = _STATUS.get(outcome, "unknown")
    schedule, bound = None, watcher.bound
    if status in ("optimal", "feasible"):
        schedule = decode(variables, solver.value)
        bound = max(bound, round(solver.best_objective_bound))
    return Found(status, bound, schedule, time.perf_counter() - began, interrupted)


def is_feasible(
    instance: Instance, *, time_limit: float | None = None, workers: int = 1
) -> bool | None:
    """Whether an instance has any schedule; None when the limit came first."""
    status, _ = run_model(build_model(instance).model, time_limit=time_limit, workers=workers)
    return None if status == "unknown" else status != "infeasible"


def run_model(
    model: cp_model.CpModel,
    *,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
) -> tuple[Literal["optimal", "feasible", "infeasible", "unknown"], cp_model.CpSolver]:
    """Run CP-SAT on any model, for those who build their own; the solver has the values.

    Raises
    ------
    KeyboardInterrupt
        When Ctrl-C ended the search.
    """
    solver = _solver(time_limit, workers, seed)
    outcome, interrupted = _interruptible(solver, model, None)
    if interrupted:
        raise KeyboardInterrupt
    return _STATUS.get(outcome, "unknown"), solver


def _solver(time_limit: float | None, workers: int | None, seed: int) -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers or os.cpu_count() or 1
    solver.parameters.random_seed = seed
    if time_limit is not None:
        solver.parameters.max_time_in_seconds = time_limit
    return solver


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Keeps the best bound and passes news on."""

    def __init__(self, bound: int, began: float, tell: Tell | None) -> None:
        super().__init__()
        self.best: int | None = None
        self.bound = bound
        self._began = began
        self._tell = tell

    def on_solution_callback(self) -> None:
        self.best = round(self.objective_value)
        self.hear_bound(self.best_objective_bound)

    def hear_bound(self, bound: float) -> None:
        # Before the first bound CP-SAT may report minus infinity.
        if bound > self.bound:
            self.bound = round(bound)
        if self._tell is not None:
            self._tell(self.best, self.bound, time.perf_counter() - self._began)


def _interruptible(solver: cp_model.CpSolver, model: Any, watcher: Any) -> tuple[int, bool]:
    """Solve in a thread of its own, so that Ctrl-C stops the search and keeps its best.

    Returns the status, and whether Ctrl-C was pressed.
    """
    # CP-SAT's own handler would be called in this thread, know no search and abort.
    solver.parameters.catch_sigint_signal = False
    outcome: list[Any] = []
    done, stopping = threading.Event(), False

    def run() -> None:
        try:
            outcome.append(solver.solve(model, watcher))
        except BaseException as error:
            outcome.append(error)
        done.set()

    threading.Thread(target=run, daemon=True).start()
    # Not join(): interrupted, it takes the running thread for finished (Python 3.11).
    while not done.is_set():
        try:
            if stopping:
                solver.stop_search()  # again, as it is lost before the search has begun
            done.wait(0.1 if stopping else None)
        except KeyboardInterrupt:
            stopping = True
    if isinstance(outcome[0], BaseException):
        raise outcome[0]
    return int(outcome[0]), stopping
