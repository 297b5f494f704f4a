"""Run CP-SAT on a model, hear from it while it runs, stop it when asked."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from typing import Any, Literal

from ortools.sat.python import cp_model

Status = Literal["optimal", "feasible", "infeasible", "unknown"]

_STATUS: dict[Any, Status] = {
    cp_model.OPTIMAL: "optimal",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
    cp_model.UNKNOWN: "unknown",
}


def run_model(
    model: cp_model.CpModel,
    *,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
) -> tuple[Status, cp_model.CpSolver]:
    """Run CP-SAT on any model, for those who build their own; the solver has the values.

    Raises
    ------
    KeyboardInterrupt
        When Ctrl-C ended the search.
    """
    solver = new_solver(time_limit=time_limit, workers=workers, seed=seed)
    return run_solver(solver, model), solver


def run_solver(solver: cp_model.CpSolver, model: cp_model.CpModel) -> Status:
    """The same with a solver at hand, which another thread may stop.

    Raises
    ------
    KeyboardInterrupt
        When Ctrl-C ended the search.
    """
    outcome, interrupted = _interruptible(solver, model, None)
    if interrupted:
        raise KeyboardInterrupt
    return _STATUS.get(outcome, "unknown")


def minimise(
    model: cp_model.CpModel,
    hear: Callable[[int | None, int | None], None],
    *,
    time_limit: float | None,
    effort: float | None = None,
    plainly: bool = False,
    probe: bool = False,
    workers: int | None,
    seed: int,
) -> tuple[Status, cp_model.CpSolver, bool]:
    """Run CP-SAT on a model with an objective, passing on every better value and bound.

    `effort`, `plainly` and `probe` as in :func:`new_solver`. The last value returned tells whether
    Ctrl-C ended the search.
    """
    solver = new_solver(
        time_limit=time_limit,
        effort=effort,
        plainly=plainly,
        probe=probe,
        workers=workers,
        seed=seed,
    )
    watcher = _Watcher(hear)
    solver.best_bound_callback = watcher.hear_bound
    outcome, interrupted = _interruptible(solver, model, watcher)
    return _STATUS.get(outcome, "unknown"), solver, interrupted


def new_solver(
    *,
    time_limit: float | None,
    effort: float | None = None,
    plainly: bool = False,
    probe: bool = False,
    workers: int | None = None,
    seed: int = 0,
) -> cp_model.CpSolver:
    """A solver with limits and a way of searching.

    `effort` limits the work in CP-SAT's own measure, which is the same on every run.
    `plainly` is without presolve and linear relaxation, in one thread; with `probe` single
    literals are tried first.
    """
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers or os.cpu_count() or 1
    solver.parameters.random_seed = seed
    if time_limit is not None:
        solver.parameters.max_time_in_seconds = time_limit
    if effort is not None:
        solver.parameters.max_deterministic_time = effort
    if plainly:
        # Small and tightly bound models are solved before presolve would be done.
        solver.parameters.num_workers = 1
        solver.parameters.cp_model_presolve = False
        solver.parameters.cp_model_probing_level = 2 if probe else 0
        solver.parameters.inprocessing_dtime_ratio = 0.0
        solver.parameters.linearization_level = 0
        solver.parameters.new_linear_propagation = False
    return solver


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Passes news on: best objective or None, and bound."""

    def __init__(self, hear: Callable[[int | None, int | None], None]) -> None:
        super().__init__()
        self._hear = hear

    def on_solution_callback(self) -> None:
        self._hear(round(self.objective_value), None)
        self.hear_bound(self.best_objective_bound)

    def hear_bound(self, bound: float) -> None:
        # Before the first bound CP-SAT may report minus infinity.
        if bound > 0:
            self._hear(None, round(bound))


def _interruptible(solver: cp_model.CpSolver, model: Any, watcher: Any) -> tuple[int, bool]:
    """Solve in a thread of its own, so that Ctrl-C stops the search and keeps its best.

    Returns the status, and whether Ctrl-C was pressed.
    """
    # CP-SAT's own handler would be called in this thread, know no search and abort.
    solver.parameters.catch_sigint_signal = False
    outcome: list[Any] = []
    done, stopping, interrupted = threading.Event(), False, False

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
            stopping = interrupted = True
    if isinstance(outcome[0], BaseException):
        raise outcome[0]
    return int(outcome[0]), interrupted
