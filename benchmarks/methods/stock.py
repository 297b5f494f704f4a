"""Baseline: CP-SAT as it comes, on hoistopt's own whole model, without a hint.

All parameters but the number of threads, the seed and the time limit are CP-SAT's own. What it
reaches is what anyone could with the model and stock tools, so hoistopt must not do worse.
"""

from __future__ import annotations

from hoistopt.base.clock import Clock as Limit
from hoistopt.base.clock import OutOfTime
from hoistopt.base.effort import Effort
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import build_model
from hoistopt.solver.model.decode import decode

from .cp_sat import run_cp_sat
from .outcome import Clock, Outcome


def solve(problem: Problem, degree: int, workers: int, seed: int, clock: Clock) -> Outcome:
    """Least cycle time by the whole model and CP-SAT's default parameters."""
    limit = Limit(Effort(clock.left(), workers, seed))
    try:
        built = build_model(build_instance(problem, degree, limit), clock=limit)
    except OutOfTime:
        return Outcome("unknown", 1, None)
    built.model.minimize(built.cycle)
    status, solver = run_cp_sat(built.model, workers, seed, clock)
    if status == "infeasible":
        return Outcome(status, None, None)
    bound = max(1, built.lowest, round(solver.best_objective_bound))
    return Outcome(status, bound, None if status == "unknown" else decode(built, solver.value))
