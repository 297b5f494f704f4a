"""CP-SAT as it comes: how the baselines run it."""

from __future__ import annotations

from typing import Any

from ortools.sat.python import cp_model

from .outcome import Clock

_STATUS: dict[Any, str] = {
    cp_model.OPTIMAL: "optimal",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
}


class _Found(cp_model.CpSolverSolutionCallback):
    """Tells the clock of every better schedule."""

    def __init__(self, clock: Clock) -> None:
        super().__init__()
        self._clock = clock

    def on_solution_callback(self) -> None:
        self._clock.found()


def run_cp_sat(
    model: cp_model.CpModel, workers: int, seed: int, clock: Clock
) -> tuple[str, cp_model.CpSolver]:
    """Its status and the solver with the values, all other parameters being its own."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = clock.left()
    return _STATUS.get(solver.solve(model, _Found(clock)), "unknown"), solver
