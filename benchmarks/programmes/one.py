"""One run of one method on one task, in a process of its own; not for people.

python -m benchmarks.programmes.one TASK METHOD LIMIT WORKERS ANSWER
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from hoistopt.base.effort import Effort, Progress
from hoistopt.checker import ProgrammeReplay
from hoistopt.instance import Route
from hoistopt.instance.finite import FiniteInstance
from hoistopt.problem import Problem
from hoistopt.schedule import LineState, Order, Programme, Step, Travel

from .tasks import SMOKE, SMOKE_TWO, tasks

METHODS = {
    "hoistopt": "`hoistopt.plan`",
    "fcfs": "first come first served: loads placed in the order given, each exactly as early as "
    "it can be out beside those before (hoistopt's own insertion, no search); with several hoists "
    "the best of all fixed zones with hand-over, which is what people do by hand",
    "dispatch": "a plain dispatcher: each load at the first time at which its way with least "
    "dwells is free",
    "pairwise": "a plain pairwise CP-SAT model in absolute time",
    "cycle": "the best cycle, filled and run out",
}
"""What is compared, and what it is, in the order of tables."""


class Heard:
    """When a run had its first programme, and each better one; seconds of the process."""

    def __init__(self) -> None:
        self.wall, self.cpu = time.perf_counter(), time.process_time()
        self.first: tuple[float, float] | None = None

    def found(self) -> None:
        """There is a programme now."""
        if self.first is None:
            self.first = self.seconds()

    def seconds(self) -> tuple[float, float]:
        """Seconds, and seconds of processor time, since the run began."""
        return time.perf_counter() - self.wall, time.process_time() - self.cpu


def run(name: str, method: str, limit: float, workers: int) -> dict[str, Any]:
    """What a method comes to on a task, replayed by the checker; times in the line's unit."""
    # What has to be imported is no part of the time, as with cycles.
    import hoistopt.planning.from_cycle
    import hoistopt.solver.finite  # noqa: F401
    from hoistopt import replay_programme

    task = next(each for each in (*tasks(), SMOKE, SMOKE_TWO) if each.name == name)
    problem, orders = task.make()
    heard = Heard()
    status, programme, bound = _METHODS[method](problem, orders, limit, workers, heard)
    seconds, cpu = heard.seconds()
    answer: dict[str, Any] = {"status": status, "seconds": seconds, "cpu": cpu, "bound": bound}
    answer |= {"finish": None, "late": None, "first": None, "first_cpu": None, "moves": None}
    if programme is not None:
        seen = replay_programme(problem, programme)
        if not seen.clean:
            answer["refused"] = "; ".join(map(str, seen.violations[:3]))
        counts = {order.recipe: 0 for order in orders}
        for order in orders:
            counts[order.recipe] += order.count
        entered = [r.recipe for r in seen.runs if r.stage == 0]
        if any(entered.count(recipe) != count for recipe, count in counts.items()) or seen.left:
            answer["refused"] = "not the loads that were ordered"
        answer |= {"finish": float(seen.finish), "moves": len(programme)}
        answer["late"] = _late(orders, seen)
        answer["first"], answer["first_cpu"] = heard.first or (seconds, cpu)
    return answer


def _late(orders: list[Order], seen: ProgrammeReplay) -> float | None:
    """Weighted lateness; loads are numbered in the order of the orders."""
    if all(order.due is None for order in orders):
        return None
    each = [order for order in orders for _ in range(order.count)]
    total = Fraction(0)
    for number, order in enumerate(each, start=1):
        if order.due is not None:
            total += order.weight * max(Fraction(0), Fraction(seen.out[number]) - order.due)
    return float(total)


Found = tuple[str, "Programme | None", "float | None"]


def _hoistopt(
    problem: Problem, orders: list[Order], limit: float, workers: int, heard: Heard
) -> Found:
    from hoistopt import plan

    def hear(news: Progress) -> None:
        if news.cycle_time is not None:
            heard.found()

    effort = Effort(limit, workers, on_progress=hear)
    answer = plan(problem, orders, effort=effort)
    bound = None if answer.lower_bound is None else float(answer.lower_bound)
    return answer.status, answer.programme, bound


def _instance(problem: Problem, orders: list[Order]) -> FiniteInstance:
    from hoistopt.instance.build_finite import build_finite

    return build_finite(problem, LineState(), orders)


def _fcfs(problem: Problem, orders: list[Order], limit: float, workers: int, heard: Heard) -> Found:
    from hoistopt.base.clock import Clock
    from hoistopt.solver.finite import add_loads, travels_once
    from hoistopt.solver.finite.placing.zones import in_zones

    instance = _instance(problem, orders)
    if len(problem.hoists) > 1:
        timing = in_zones(instance, Clock(Effort(None, 1)))
    else:
        timing = add_loads(instance, {}, range(len(instance.loads)), in_order=True)
    if timing is None:
        return "unknown", None, None
    made = dict(enumerate(zip(timing.starts, timing.routes, strict=True)))
    travels = travels_once(instance, timing) or ()
    return "feasible", _programme(problem, instance, made, travels), None


def _dispatch(
    problem: Problem, orders: list[Order], limit: float, workers: int, heard: Heard
) -> Found:
    from .dispatch import dispatch

    instance = _instance(problem, orders)
    return "feasible", _programme(problem, instance, dispatch(instance)), None


def _pairwise(
    problem: Problem, orders: list[Order], limit: float, workers: int, heard: Heard
) -> Found:
    from ..methods.cp_sat import run_cp_sat
    from ..methods.outcome import Clock
    from .pairwise import Pairwise

    clock = Clock(limit)
    instance = _instance(problem, orders)
    built = Pairwise(instance)
    status, solver = run_cp_sat(built.model, workers, 0, clock)
    if clock.first is not None:
        heard.first = clock.first, heard.seconds()[1]
    bound = None
    if not any(order.due is not None for order in orders):
        bound = max(0.0, solver.best_objective_bound) / float(instance.ticks_per_unit)
    if status not in ("optimal", "feasible"):
        return status, None, bound
    return status, _programme(problem, instance, built.found(solver)), bound


def _cycle(
    problem: Problem, orders: list[Order], limit: float, workers: int, heard: Heard
) -> Found:
    from hoistopt import solve, unroll

    result = solve(problem, effort=Effort(limit, workers))
    assert result.schedule is not None
    return "feasible", unroll(result.schedule, sum(order.count for order in orders)), None


def _programme(
    problem: Problem,
    instance: FiniteInstance,
    made: dict[int, tuple[int, Route]],
    travels: tuple[Travel, ...] = (),
) -> Programme:
    names = [station.name for station in problem.stations]
    hoists = [hoist.name for hoist in problem.hoists] if len(problem.hoists) > 1 else [None]
    steps = []
    for move in instance.moves:
        start, route = made[move.index]
        load = instance.loads[move.job]
        source, target = names[route.source], names[route.target]
        hoist = hoists[route.hoist]
        steps.append(Step(start, source, target, load.recipe, load.number, move.stage, hoist=hoist))
    steps.sort(key=lambda step: step.start)
    return Programme(instance.ticks_per_unit, tuple(steps), travels=travels)


Method = Callable[[Problem, "list[Order]", float, int, Heard], Found]
_METHODS: dict[str, Method] = {
    "hoistopt": _hoistopt,
    "fcfs": _fcfs,
    "dispatch": _dispatch,
    "pairwise": _pairwise,
    "cycle": _cycle,
}


def main() -> None:
    """Run, and write the answer whole."""
    name, method, limit, workers, answer = sys.argv[1:]
    found = run(name, method, float(limit), int(workers))
    part = Path(answer + ".part")
    part.write_text(json.dumps(found), encoding="utf-8")
    part.replace(answer)


if __name__ == "__main__":
    main()
