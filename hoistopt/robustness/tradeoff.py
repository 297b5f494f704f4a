"""What slack costs in cycle time: the schedules of which neither can be had for less."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ..errors import InputError
from ..instance import Instance, build_instance
from ..planning import solve
from ..problem import Problem
from ..result import Result
from ..schedule import Schedule
from ..solver import least_cycle
from ..solver.lexicographic import Settled, limited, settle
from ..solver.objectives import MARGINS, no_margins, tightened
from .robust import Number, accepted, checked_percent, longer

MOST_POINTS = 100
Measure = Literal["slack", "float"]


@dataclass(frozen=True)
class Point:
    """A schedule with more slack than any shorter one, and none with as much shorter.

    `margin` is its slack, or float, and `cycle_time` its cycle time, both in the
    problem's unit; `proven` tells whether both are proven.
    """

    margin: Fraction
    cycle_time: Fraction
    proven: bool
    schedule: Schedule


@dataclass(frozen=True)
class TradeOff:
    """The curve, its points in rising order; build it with :func:`trade_off`.

    `shortest` is the answer without regard to slack; without a schedule the curve is
    empty. `complete` tells whether `points` are all there are up to the limit.
    """

    problem: Problem
    measure: Measure
    upto: Decimal
    shortest: Result
    points: tuple[Point, ...]
    complete: bool


def trade_off(
    problem: Problem,
    degree: int = 1,
    upto: Number = 10,
    points: int = 8,
    measure: Measure = "slack",
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_point: Callable[[Point], None] | None = None,
) -> TradeOff:
    """How the least cycle time rises with the slack asked for.

    The first point has the most slack at the least cycle time; each further one the
    least cycle time with more slack than the one before, and the most slack at that. All
    lie on the exact curve; where it has more steps than `points`, some are passed over.

    Parameters
    ----------
    problem : Problem
        The line.
    degree : int
        Sets of loads per cycle.
    upto : number
        Percent beyond the shortest cycle to go.
    points : int
        Most points, 2 to 100.
    measure : {"slack", "float"}
        What is asked for: see :class:`~hoistopt.robustness.robust.Aim`.
    time_limit : float, optional
        Seconds for each search; points found under it may not be proven.
    workers, seed : int
        As in :func:`hoistopt.solve`.
    on_point : callable, optional
        Hears every point as it is found.

    Raises
    ------
    InputError
        When a figure makes no sense, or the problem cannot be planned.
    """
    percent = checked_percent(upto, "upto")
    if isinstance(points, bool) or not isinstance(points, int) or not 2 <= points <= MOST_POINTS:
        raise InputError(f"a whole number from 2 to {MOST_POINTS}", field="points", value=points)
    if measure not in MARGINS:
        raise InputError(f"one of {', '.join(MARGINS)}", field="measure", value=measure)
    if measure == "slack" and all(s.max is None for r in problem.recipes for s in r.stages):
        raise InputError(
            "a stage with a maximum; without one no start is ever too late",
            field="measure",
            value=measure,
            way_out='Ask for "float".',
        )
    shortest = solve(problem, degree, time_limit, workers, seed)
    if shortest.schedule is None:
        return TradeOff(problem, measure, percent, shortest, (), complete=False)
    curve = _Curve(problem, degree, measure, time_limit, workers, seed)
    found, complete = curve.walk(shortest, percent, points, on_point or (lambda point: None))
    return TradeOff(problem, measure, percent, shortest, tuple(found), complete)


class _Curve:
    def __init__(
        self,
        problem: Problem,
        degree: int,
        measure: Measure,
        time_limit: float | None,
        workers: int | None,
        seed: int,
    ) -> None:
        self.problem = problem
        self.instance: Instance = build_instance(problem, degree)
        self.measure = measure
        self.time_limit = time_limit
        self.workers = workers
        self.seed = seed

    def walk(
        self, shortest: Result, percent: Decimal, most: int, tell: Callable[[Point], None]
    ) -> tuple[list[Point], bool]:
        """The points, and whether none was passed over."""
        assert shortest.schedule is not None
        cycle, proven = shortest.schedule.cycle, shortest.status == "optimal"
        last = longer(cycle, percent)
        end = self._most(last)
        points: list[Point] = []
        complete = proven and end.attained[0].proven
        while True:
            found = self._most(cycle)
            margin = found.attained[0].value
            assert found.schedule is not None
            # With time up the schedule may be shorter still; the curve says what is known.
            point = Point(
                self._time(margin),
                found.schedule.time(found.schedule.cycle),
                proven and found.attained[0].proven,
                found.schedule,
            )
            accepted(self.problem, found.schedule)
            points.append(point)
            tell(point)
            left = end.attained[0].value - margin
            if left <= 0 or len(points) == most:
                return points, complete and left <= 0
            step = -(-left // (most - len(points)))
            complete = complete and step == 1
            shorter = self._shortest(margin + step, found.schedule.cycle, last)
            if shorter is None:
                return points, False
            cycle, proven = shorter

    def _most(self, cycle: int) -> Settled:
        """The most slack within a cycle time, and the shortest cycle with it."""
        found = settle(
            limited(self.instance, cycle),
            (self.measure, "cycle"),
            time_limit=self.time_limit,
            workers=self.workers,
            seed=self.seed,
        )
        if found.schedule is None:
            raise RuntimeError("a schedule known to exist was not found in time")
        return found

    def _shortest(self, margin: int, above: int, last: int) -> tuple[int, bool] | None:
        """The least cycle time with so much slack, and whether proven; None: not in time."""
        margins = MARGINS[self.measure](self.instance, margin, no_margins(self.instance))
        asked = replace(tightened(self.instance, margins), longest=last)
        asked = replace(asked, shortest=max(asked.shortest, above))
        found = least_cycle(asked, time_limit=self.time_limit, workers=self.workers, seed=self.seed)
        if found.schedule is None:
            return None
        return found.schedule.cycle, found.status == "optimal"

    def _time(self, ticks: int) -> Fraction:
        return ticks / self.instance.ticks_per_unit
