"""One run of one method on one line, in a process of its own; not for people.

python -m benchmarks.hoists.one TANKS HOISTS SEED METHOD LIMIT WORKERS ANSWER
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from itertools import islice
from math import inf
from pathlib import Path
from typing import Any

from hoistopt.base.clock import Clock, OutOfTime
from hoistopt.base.effort import Effort, Progress
from hoistopt.instance import Instance
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule

from .lines import Case

METHODS = {
    "hoistopt": "`hoistopt.solve`",
    "zones": "the best fixed zones: the track cut in up to 40 ways, those that share the work most "
    "evenly, each move made by the hoist of its zone, order and times by CP-SAT with all cores; "
    "all of them for half of the time, then the better half for twice as long each, and so on, "
    "until the time is over or all are proved",
    "stock": "CP-SAT with default parameters and all cores on hoistopt's own whole model, no hint",
}
"""What is compared, and what it is, in the order of tables. Ways out are found by hoistopt for all
of them: neither people nor CP-SAT have a word for them."""

MOST_ZONES = 40


class Heard:
    """When a run had its first schedule; seconds."""

    def __init__(self) -> None:
        self.since = time.perf_counter()
        self.first: float | None = None

    def found(self) -> None:
        """There is a schedule now."""
        if self.first is None:
            self.first = self.seconds()

    def seconds(self) -> float:
        """Since the run began."""
        return time.perf_counter() - self.since


def run(case: Case, method: str, limit: float, workers: int) -> dict[str, Any]:
    """What a method comes to on a line, replayed by the checker; times in the line's unit."""
    # What has to be imported is no part of the time.
    import hoistopt.planning.cycle
    import hoistopt.solver.several.search  # noqa: F401
    from hoistopt import replay

    problem = case.problem()
    heard = Heard()
    status, bound, schedule = _RUNS[method](problem, limit, workers, heard)
    seconds = heard.seconds()
    if schedule is not None:
        seen = replay(problem, schedule)
        if not seen.clean:
            return {"refused": "; ".join(map(str, seen.violations[:3]))}
    return {
        "status": status,
        "cycle": None if schedule is None else float(schedule.cycle_time),
        "bound": bound,
        "seconds": round(seconds, 2),
        "first": None if heard.first is None else round(heard.first, 2),
    }


Outcome = tuple[str, float | None, Schedule | None]


def _product(problem: Problem, limit: float, workers: int, heard: Heard) -> Outcome:
    import hoistopt

    def hear(news: Progress) -> None:
        if news.cycle_time is not None:
            heard.found()

    found = hoistopt.solve(
        problem, degree=1, time_limit=limit, workers=workers, seed=0, on_progress=hear
    )
    if found.schedule is not None:
        heard.found()
    bound = None if found.lower_bound is None else float(found.lower_bound)
    return found.status, bound, found.schedule


def _zones(problem: Problem, limit: float, workers: int, heard: Heard) -> Outcome:
    """Every split for a moment, then the best ones in turn for longer and longer."""
    from hoistopt.solver.several.looks import look

    instance = _instance(problem)
    clock = Clock(Effort(limit, workers, 0))
    tried = [(zone, _incumbent(instance, heard)) for zone in _splits(instance)]

    def reached(number: int) -> float:
        return tried[number][1].best or inf

    left, turn = set(range(len(tried))), list(range(len(tried)))
    seconds = limit / (2 * len(tried))
    while left and not clock.over:
        for number in turn:
            status = "unknown"
            with suppress(OutOfTime):
                status = look(*tried[number], clock.part(seconds), plainly=False)
            if status in ("optimal", "infeasible"):
                left.discard(number)
        turn = sorted(left.intersection(turn), key=reached)
        turn = turn[: -(-len(turn) // 2)] or sorted(left, key=reached)
        seconds *= 2
    best = tried[min(range(len(tried)), key=reached)][1]
    return "feasible" if best.schedule else "unknown", None, best.schedule


def _splits(instance: Instance) -> Iterator[Instance]:
    from hoistopt.solver.several.shares import Zones

    zones = Zones(instance)
    return (zones.share(borders) for borders in islice(zones.splits(), MOST_ZONES))


def _stock(problem: Problem, limit: float, workers: int, heard: Heard) -> Outcome:
    from ortools.sat.python import cp_model

    from hoistopt.solver.model.build import build_model
    from hoistopt.solver.model.decode import decode
    from hoistopt.solver.model.several_bounds import lower_bound

    instance = _instance(problem)
    clock = Clock(Effort(limit, workers, 0))
    incumbent = _incumbent(instance, heard)
    lowest = lower_bound(instance, clock)
    built = build_model(instance, incumbent.longest, lowest=lowest, clock=clock)
    built.model.minimize(built.cycle)

    class Seen(cp_model.CpSolverSolutionCallback):
        """All schedules on the way, as not every one leaves hoists a way out."""

        def on_solution_callback(self) -> None:
            incumbent.keep(decode(built, self.value), [])

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.max_time_in_seconds = max(0.1, limit - heard.seconds())
    status = solver.solve(built.model, Seen())
    bound = max(1, built.lowest, round(solver.best_objective_bound))
    ticks = instance.ticks_per_unit
    if status == cp_model.INFEASIBLE:
        return "infeasible", None, None
    schedule = incumbent.schedule
    closed = schedule is not None and schedule.cycle == bound
    found = "optimal" if closed else "unknown" if schedule is None else "feasible"
    return found, float(bound / ticks), schedule


def _instance(problem: Problem) -> Instance:
    from hoistopt.instance import build_instance

    return build_instance(problem, 1, several=True)


def _incumbent(instance: Instance, heard: Heard) -> Any:
    from hoistopt.solver.several.incumbent import GivingWay

    class Told(GivingWay):
        """Says when there is a first one."""

        def keep(self, schedule: Schedule, values: list[int]) -> bool:
            kept = super().keep(schedule, values)
            if kept:
                heard.found()
            return kept

    return Told(1, instance=instance)


_RUNS: dict[str, Callable[[Problem, float, int, Heard], Outcome]] = {
    "hoistopt": _product,
    "zones": _zones,
    "stock": _stock,
}


if __name__ == "__main__":
    tanks, hoists, seed, method, limit, workers, answer = sys.argv[1:]
    case = Case(int(tanks), int(hoists), int(seed), float(limit))
    Path(answer).write_text(json.dumps(run(case, method, float(limit), int(workers))))
