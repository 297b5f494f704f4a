"""From a state of the line and a list of orders to a programme that is proven and checked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from math import gcd

from ..base.clock import Clock, OutOfTime
from ..base.effort import Effort, Progress, effort_of
from ..base.errors import InfeasibleError, InputError
from ..base.notebook import ShownInNotebook
from ..checker import ProgrammeReplay, accepted_programme, replay_programme
from ..instance import Route
from ..instance.build_finite import build_finite
from ..instance.finite import WEIGHTS, FiniteInstance
from ..problem import Problem
from ..schedule import LineState, Order, Programme, Step, readable, unroll
from ..schedule.orders import check_orders
from ..schedule.state_checks import check_state
from ..solver.finite import Programmed, Timing, lateness, least_finish
from .cycle import solve
from .result import Status

USUAL_LIMIT = 10.0
"""Seconds of search where no limit is given."""
CYCLE_SHARE, CYCLE_LIMIT = 0.15, 5.0
"""Share of the time, and most seconds, for a cycle to begin with."""
MOST_IN_SET = 12
"""Loads of a set for which a cycle is looked for."""


@dataclass(frozen=True, repr=False)
class Plan(ShownInNotebook):
    """The answer to one planning; times in the problem's unit, from the moment of the state.

    Attributes
    ----------
    status : str
        "optimal": nothing is late that need not be, and `finish` is proven least.
        "feasible": a programme, stopped before the proof. "infeasible": proven that there
        is none. "unknown": stopped before either.
    finish : int, float or None
        When the last move is over.
    lower_bound : int, float or None
        No programme is over earlier; where orders have due times, none that is as little
        late.
    lateness : float or None
        Sum over all loads of weight times lateness, in planned times; None where no order
        has a due time.
    least_lateness : float or None
        No programme has less.
    programme : Programme or None
        The moves; the checker has accepted them.
    replay : ProgrammeReplay or None
        What the checker saw.
    orders : dict of int to str
        Name of the order of each load that enters.
    runtime : float
        Seconds spent in the search.
    reason : str or None
        Why there is no programme.
    problem : Problem or None
        The line.
    promised : tuple of int
        Loads whose times were given and kept: see :func:`hoistopt.place_next`.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Order
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> hoistopt.plan(problem, [Order("Cases", count=2)]).status
    'optimal'
    """

    status: Status
    finish: int | float | None
    lower_bound: int | float | None
    lateness: float | None
    least_lateness: float | None
    programme: Programme | None
    replay: ProgrammeReplay | None
    orders: dict[int, str]
    runtime: float
    reason: str | None = None
    problem: Problem | None = None
    promised: tuple[int, ...] = ()

    def __repr__(self) -> str:
        return f"<Plan: {self.summary()}>"

    @property
    def gap(self) -> float | None:
        """How far above the bound the finish may be, as a share of the finish."""
        if not self.finish or self.lower_bound is None:
            return None
        return (self.finish - self.lower_bound) / self.finish

    def summary(self) -> str:
        """One sentence for people."""
        if self.programme is None:
            return {
                "infeasible": f"No programme exists. {self.reason or ''}",
                "unknown": "Stopped before a programme was found.",
            }[self.status].strip()
        late = "" if self.lateness is None else f", weighted lateness {self.lateness:g}"
        proof = (
            "proven least"
            if self.status == "optimal"
            else f"not proven least: the bound is {self.lower_bound}, a gap of {self.gap:.1%}"
        )
        return f"All is done at {self.finish}{late}, {proof}."


def plan(
    problem: Problem,
    orders: Sequence[Order] = (),
    state: LineState | None = None,
    *,
    in_order: bool = False,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    effort: Effort | None = None,
) -> Plan:
    """Take all loads of a state, and all that are ordered, through the line until it is empty.

    Where orders have due times the weighted lateness is least, and of those the finish;
    else the finish.

    Parameters
    ----------
    problem : Problem
        The line and its recipes. Its mix, the order of its mix and its pace mean nothing
        here.
    orders : sequence of Order, optional
        Loads that are to enter; without any the line runs out.
    state : LineState, optional
        What stands where now; by default the line is empty and the hoist waits where it is
        needed first.
    in_order : bool
        Whether loads enter in the order of `orders`; else in whichever is best.
    time_limit : float, optional
        Seconds of search, 10 by default; the best programme found by then comes back with
        its gap.
    workers : int, optional
        Search threads, by default one per core.
    seed : int
        Same seed and one worker give the same programme, unless the time limit cuts in.
    on_progress : callable, optional
        Called with a :class:`Progress` while the search runs; the finish stands where
        other searches have the cycle time.
    effort : Effort, optional
        All of these in one, and a way to stop; instead of them.

    Raises
    ------
    InputError
        When orders, state or a limit make no sense, or there is nothing to do.
    ProgrammeRefused
        When the independent checker refuses the programme; please report it.

    Examples
    --------
    >>> import hoistopt
    >>> from hoistopt import Order
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> answer = hoistopt.plan(problem, [Order("Cases", count=2)])
    >>> len(answer.programme), sorted(answer.replay.out)
    (10, [1, 2])
    """
    effort = effort_of(
        effort,
        time_limit=time_limit,
        workers=workers,
        seed=seed,
        on_progress=on_progress,
        usual_limit=USUAL_LIMIT,
    )
    clock = Clock(effort)
    begins = LineState() if state is None else state
    check_state(problem, begins)
    begins = begins.numbered()
    check_orders(problem, orders)
    try:
        instance = build_finite(problem, begins, orders, in_order=in_order, clock=clock)
    except InfeasibleError as error:
        return without_programme(problem, "infeasible", clock, f"{error}.")
    except OutOfTime:
        return without_programme(problem, "unknown", clock)

    def tell(finish: int | None, bound: int) -> None:
        best = None if finish is None else readable(finish / instance.ticks_per_unit)
        least = readable(bound / instance.ticks_per_unit)
        clock.tell("programme", cycle_time=best, lower_bound=least)

    found = least_finish(
        instance,
        clock,
        tell,
        starts=lambda: _from_cycle(problem, instance, begins, orders, clock),
    )
    if found.timing is None:
        reason = None
        if found.status == "infeasible":
            reason = (
                "The loads cannot all be taken through the line within their windows, "
                "whatever the order of the moves."
            )
        return without_programme(problem, found.status, clock, reason)
    each = [order.order for order in orders for _ in range(order.count)]
    entering = [load.number for load in instance.entering()]
    names = dict(zip(entering, each, strict=True))
    return planned(problem, instance, begins, names, found, clock)


def without_programme(
    problem: Problem, status: Status, clock: Clock, reason: str | None = None
) -> Plan:
    """The plan that there is none."""
    return Plan(
        status, None, None, None, None, None, None, {}, clock.elapsed, reason, problem=problem
    )


def planned(
    problem: Problem,
    instance: FiniteInstance,
    state: LineState,
    names: dict[int, str],
    found: Programmed,
    clock: Clock,
) -> Plan:
    """The plan with the timing found, once the checker has accepted it.

    Parameters
    ----------
    names : dict of int to str
        Name of the order of each load that enters.
    """
    assert found.timing is not None
    programme = _programme(problem, instance, found.timing)
    seen = accepted_programme(problem, programme, state, made_here=True)
    per_unit = instance.ticks_per_unit
    due = any(load.due is not None for load in instance.loads)
    return Plan(
        status=found.status,
        finish=readable(found.timing.finish / per_unit),
        lower_bound=readable(found.bound / per_unit),
        lateness=_late(lateness(instance, found.timing), instance) if due else None,
        least_lateness=_late(found.late_bound, instance) if due else None,
        programme=programme,
        replay=seen,
        orders=names,
        runtime=clock.elapsed,
        problem=problem,
    )


def _late(weighted: int, instance: FiniteInstance) -> float:
    """Weighted lateness in the problem's unit."""
    return float(Fraction(weighted, WEIGHTS) / instance.ticks_per_unit)


def _programme(problem: Problem, instance: FiniteInstance, timing: Timing) -> Programme:
    names = [station.name for station in problem.stations]
    return Programme(
        instance.ticks_per_unit,
        tuple(
            Step(
                start=timing.starts[move.index],
                source=names[timing.routes[move.index].source],
                target=names[timing.routes[move.index].target],
                recipe=instance.loads[move.job].recipe,
                load=instance.loads[move.job].number,
                stage=move.stage,
            )
            for move in instance.moves
        ),
    )


# -- a cycle to begin with ----------------------------------------------------------------


def _from_cycle(
    problem: Problem,
    instance: FiniteInstance,
    state: LineState,
    orders: Sequence[Order],
    clock: Clock,
) -> list[Timing]:
    """The best cycle of the orders' mix, filled and run out, where an empty line begins."""
    each = [order.recipe for order in orders for _ in range(order.count)]
    counts = {name: each.count(name) for name in dict.fromkeys(each)}
    sets = reduce(gcd, counts.values(), 0)
    if not state.empty or state.standing or sets < 2 or len(each) // sets > MOST_IN_SET:
        return []
    mix = {name: number // sets for name, number in counts.items()}
    part = clock.share(CYCLE_SHARE)
    limit = CYCLE_LIMIT if part.left is None else min(CYCLE_LIMIT, part.left)
    try:
        line = Problem.from_data({**problem.to_data(), "cycle": {"mix": mix}})
        effort = Effort(max(limit, 0.01), clock.workers, clock.seed, clock.effort.stop)
        result = solve(line, effort=effort)
    except InputError:
        return []
    if result.schedule is None:
        return []
    release = max(order.release for order in orders)
    later = (release * instance.ticks_per_unit).__ceil__()
    if instance.hoist is not None:
        later = max(later, *instance.hoist)
    programme = unroll(result.schedule, sets)
    steps = tuple(
        Step(later + s.start, s.source, s.target, s.recipe, s.load, s.stage) for s in programme
    )
    moved = Programme(programme.ticks_per_unit, steps)
    if not replay_programme(problem, moved, state).clean:
        return []
    timing = _timing(problem, instance, moved)
    return [] if timing is None else [timing]


def _timing(problem: Problem, instance: FiniteInstance, programme: Programme) -> Timing | None:
    """A programme's times, its loads taken for those of the instance in order of entering."""
    number = {station.name: place for place, station in enumerate(problem.stations)}
    waiting: dict[str, list[int]] = {}
    for load in instance.entering():
        waiting.setdefault(load.recipe, []).append(instance.loads.index(load))
    jobs: dict[int, int] = {}
    starts: dict[int, int] = {}
    routes: dict[int, Route] = {}
    for step in programme:
        assert step.load is not None and step.recipe is not None and step.stage is not None
        if step.load not in jobs:
            jobs[step.load] = waiting[step.recipe].pop(0)
        move = instance.moves[instance.loads[jobs[step.load]].moves[step.stage]]
        ends = number[step.source], number[step.target]
        fitting = [route for route in move.routes if (route.source, route.target) == ends]
        if not fitting:
            return None
        starts[move.index], routes[move.index] = step.start, fitting[0]
    count = range(len(instance.moves))
    if instance.in_order:
        firsts = [starts[load.moves[0]] for load in instance.entering()]
        if firsts != sorted(firsts):
            return None
    return Timing(tuple(starts[m] for m in count), tuple(routes[m] for m in count))
