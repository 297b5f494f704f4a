"""Run CP-SAT on a model, hear from it while it runs, stop it when asked."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, Literal

from ortools.sat.python import cp_model

from ..base.clock import LOOK_EVERY, Clock

See = Callable[[Callable[[Any], int]], None]

Status = Literal["optimal", "feasible", "infeasible", "unknown"]

_STATUS: dict[Any, Status] = {
    cp_model.OPTIMAL: "optimal",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
    cp_model.UNKNOWN: "unknown",
}


class _Model(cp_model.CpModel):
    """A model without the older spellings of its methods.

    OR-Tools gives every model all of them one by one, which takes longer than building and
    solving a small model.
    """

    def _add_pre_pep8_methods(self) -> None:
        """Add none."""


def new_model() -> cp_model.CpModel:
    """An empty model."""
    return _Model()


def run_model(
    model: cp_model.CpModel,
    clock: Clock | None = None,
    *,
    work: float | None = None,
    plainly: bool = False,
) -> tuple[Status, cp_model.CpSolver]:
    """Run CP-SAT on any model, for those who build their own; the solver has the values.

    Stopped or out of time it keeps the best solution it has, or is "unknown". `work` and
    `plainly` as in :func:`new_solver`.
    """
    clock = Clock() if clock is None else clock
    solver = new_solver(clock, work=work, plainly=plainly)
    return run_solver(solver, model, clock), solver


def minimise(
    model: cp_model.CpModel,
    hear: Callable[[int | None, int | None], None],
    clock: Clock,
    *,
    work: float | None = None,
    plainly: bool = False,
    probe: bool = False,
    symmetry: bool = True,
    see: See | None = None,
) -> tuple[Status, cp_model.CpSolver]:
    """Run CP-SAT on a model with an objective, passing on every better value and bound.

    `work`, `plainly`, `probe` and `symmetry` as in :func:`new_solver`. `see` is called with
    every better solution: with a function that gives the value of a variable in it.
    """
    solver = new_solver(clock, work=work, plainly=plainly, probe=probe, symmetry=symmetry)
    watcher = _Watcher(hear, see)
    solver.best_bound_callback = watcher.hear_bound
    return run_solver(solver, model, clock, watcher), solver


def new_solver(
    clock: Clock,
    *,
    work: float | None = None,
    plainly: bool = False,
    probe: bool = False,
    symmetry: bool = True,
) -> cp_model.CpSolver:
    """A solver with limits and a way of searching.

    Parameters
    ----------
    clock : Clock
        Gives the threads and the seed.
    work : float, optional
        Most work in CP-SAT's own measure, which is the same on every run.
    plainly, probe : bool
        Without presolve and linear relaxation, in one thread; with `probe` single
        literals are tried first.
    symmetry : bool
        Whether CP-SAT looks for symmetries.
    """
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = clock.workers
    solver.parameters.random_seed = clock.seed
    if not symmetry:
        solver.parameters.symmetry_level = 0
    if work is not None:
        solver.parameters.max_deterministic_time = work
    if plainly:
        # Small and tightly bound models are solved before presolve would be done.
        solver.parameters.num_workers = 1
        solver.parameters.cp_model_presolve = False
        solver.parameters.cp_model_probing_level = 2 if probe else 0
        solver.parameters.inprocessing_dtime_ratio = 0.0
        solver.parameters.linearization_level = 0
        solver.parameters.new_linear_propagation = False
    return solver


def run_solver(
    solver: cp_model.CpSolver, model: cp_model.CpModel, clock: Clock, watcher: Any = None
) -> Status:
    """Run a solver until it is done, or its clock is over.

    It runs in a thread of its own: the one that waits can see a stop, and run signal
    handlers, which one inside CP-SAT cannot.
    """
    if clock.over:
        return "unknown"
    if clock.left is not None:
        solver.parameters.max_time_in_seconds = clock.left
    # CP-SAT's own handler would be called in this thread, know no search and abort.
    solver.parameters.catch_sigint_signal = False
    outcome: list[Any] = []
    done = threading.Event()

    def run() -> None:
        try:
            outcome.append(solver.solve(model, watcher))
        except BaseException as error:
            outcome.append(error)
        done.set()

    threading.Thread(target=run, daemon=True).start()
    try:
        while not done.wait(LOOK_EVERY):
            if clock.stopped:
                break
    finally:
        # Left early, by a stop or an error: no search goes on that nobody waits for. Asked
        # more than once, as CP-SAT does not hear it before it has begun.
        while not done.is_set():
            solver.stop_search()
            done.wait(LOOK_EVERY)
    if isinstance(outcome[0], BaseException):
        raise outcome[0]
    if outcome[0] == cp_model.MODEL_INVALID:
        raise ValueError(f"a model that CP-SAT refuses: {model.validate()}")
    return _STATUS[outcome[0]]


def least_proved(solver: cp_model.CpSolver) -> int:
    """The bound that a solver leaves on what it makes least, and no less than 0, rounded up."""
    try:
        bound = solver.best_objective_bound
    except RuntimeError:  # the time was over before CP-SAT began
        return 0
    return max(0, -int(-bound // 1))


def proved_bound(solver: cp_model.CpSolver, status: Status) -> int:
    """What nothing is less than, by a run that ended so; 0 where there is nothing at all."""
    if status == "optimal":
        return round(solver.objective_value)
    return 0 if status == "infeasible" else least_proved(solver)


class _Watcher(cp_model.CpSolverSolutionCallback):
    """Passes news on: best objective or None, and bound."""

    def __init__(
        self, hear: Callable[[int | None, int | None], None], see: See | None = None
    ) -> None:
        super().__init__()
        self._hear, self._see = hear, see

    def on_solution_callback(self) -> None:
        if self._see is not None:
            self._see(self.value)
        self._hear(round(self.objective_value), None)
        self.hear_bound(self.best_objective_bound)

    def hear_bound(self, bound: float) -> None:
        # Before the first bound CP-SAT may report minus infinity.
        if bound > 0:
            self._hear(None, round(bound))
