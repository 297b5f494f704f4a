"""What slack costs in cycle time: the schedules of which neither can be had for less."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...base.clock import Clock
from ...base.effort import Effort, Progress, effort_of
from ...base.errors import InputError
from ...checker import Replay, accepted
from ...graph.spread_margin import spread_float, spread_margin
from ...instance import Instance, asked_margins, build_instance
from ...margin.figures import MarginFigures, margin_figures
from ...margin.slack import slack_limits
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule, readable
from ...solver import least_cycle
from ...solver.model.objectives import MARGINS, tightened
from .search import Number, check_points, checked_percent, longer
from .start import least_of, settle_from

Measure = Literal["slack", "float"]


@dataclass(frozen=True)
class Point:
    """A schedule with a larger margin than any shorter one, and none with as much shorter.

    Attributes
    ----------
    margin : Fraction
        What was asked for, as in :class:`~hoistopt.analysis.robust.search.Aim`: less is
        kept where a window is narrower. In the problem's unit.
    cycle_time : Fraction
        In the same unit.
    proven : bool
        Whether both are proven.
    schedule : Schedule
        The checker has accepted it.
    tightest : Fraction or None
        How late every start of it may be, once or in every cycle, narrow windows
        included; None: as late as one likes.
    forgives : MarginFigures
        Share of loads out of window under the scatter of the problem, or an assumed one, with
        tightest slack and float.
    """

    margin: Fraction
    cycle_time: Fraction
    proven: bool
    schedule: Schedule
    tightest: Fraction | None
    forgives: MarginFigures


@dataclass(frozen=True)
class Tradeoff:
    """The curve of cycle time over margin; build it with :func:`tradeoff`.

    Attributes
    ----------
    problem : Problem
        The line.
    measure : {"slack", "float"}
        What was asked for.
    upto : Decimal
        Percent beyond the shortest cycle to which the curve goes.
    shortest : Result
        The answer without regard to slack.
    points : tuple of Point
        In rising order; none where there is no schedule, or none was found before a stop.
    complete : bool
        Whether `points` are all there are up to the limit.
    """

    problem: Problem
    measure: Measure
    upto: Decimal
    shortest: Result
    points: tuple[Point, ...]
    complete: bool

    @property
    def least_cycle(self) -> Fraction:
        """The shortest cycle time found; with time up that may be one of the points."""
        assert self.shortest.schedule is not None
        first = self.shortest.schedule.time(self.shortest.schedule.cycle)
        return min([first, *(point.cycle_time for point in self.points)])


def tradeoff(
    problem: Problem,
    degree: int = 1,
    upto: Number = 10,
    points: int = 8,
    measure: Measure = "float",
    start: Result | Schedule | None = None,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
    on_point: Callable[[Point], None] | None = None,
) -> Tradeoff:
    """How the least cycle time rises with the margin asked for, and what it does for the loads.

    The first point has the most margin at the least cycle time; each further one the
    least cycle time with more margin than the one before, and the most margin at that. All
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
        What is asked for: see :class:`~hoistopt.analysis.robust.search.Aim`. Of the other
        each schedule has as much as its order of moves allows besides.
    start : Result or Schedule, optional
        The least cycle, where it is known; otherwise it is searched for.
    effort : Effort, optional
        Its time limit is for each search; points found under it may not be proven.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.
    on_point : callable, optional
        Hears every point as it is found.

    Raises
    ------
    InputError
        When a figure makes no sense, or the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> curve = hoistopt.tradeoff(problem, points=2)
    >>> curve.points[0].cycle_time
    Fraction(234, 1)
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    percent = checked_percent(upto, "upto")
    check_points(points)
    if measure not in MARGINS:
        raise InputError(f"one of {', '.join(MARGINS)}", field="measure", value=measure)
    if measure == "slack" and all(s.max is None for r in problem.recipes for s in r.stages):
        raise InputError(
            "a stage with a maximum; without one no start is ever too late",
            field="measure",
            value=measure,
            way_out='Ask for "float".',
        )
    clock = Clock(replace(effort, time_limit=None))  # the limit is for each search of it
    shortest = least_of(problem, degree, start, effort)
    if shortest.schedule is None or clock.stopped:
        return Tradeoff(problem, measure, percent, shortest, (), complete=False)
    curve = _Curve(problem, shortest.degree, measure, clock, effort.time_limit)
    found: list[Point] = []

    def keep(point: Point) -> None:
        found.append(point)
        clock.tell(
            "the least cycle time with more slack",
            done=len(found),
            total=points,
            cycle_time=readable(point.cycle_time),
            lower_bound=shortest.lower_bound,
        )
        if on_point is not None:
            on_point(point)

    complete = curve.walk(shortest, percent, points, keep)
    return Tradeoff(problem, measure, percent, shortest, tuple(found), complete)


@dataclass(frozen=True)
class _Most:
    """The largest margin within a cycle time, in ticks, and the shortest schedule with it."""

    margin: int
    proven: bool
    schedule: Schedule
    seen: Replay


class _Curve:
    def __init__(
        self,
        problem: Problem,
        degree: int,
        measure: Measure,
        clock: Clock,
        each: float | None,
    ) -> None:
        self.problem = problem
        self.instance: Instance = build_instance(problem, degree, margin=False, several=True)
        self.asked = asked_margins(problem, self.instance)
        # What is enough for several hoists to keep apart is not always needed.
        self.exact = self.instance.several is None or self.instance.several.exact
        self.measure = measure
        self.clock = clock
        self.each = each

    def walk(
        self, shortest: Result, percent: Decimal, most: int, keep: Callable[[Point], None]
    ) -> bool:
        """Find the points one after the other, until stopped; tell whether those are all."""
        assert shortest.schedule is not None
        known, proven = shortest.schedule, shortest.status == "optimal"
        last = longer(known.cycle, percent)
        end = self._most(last, known)
        if end is None:
            return False
        points = 0
        complete = proven and end.proven
        while True:
            found = self._most(known.cycle, known)
            if found is None:
                return False
            # With time up the schedule may be shorter still; the curve says what is known.
            time = found.schedule.time(found.schedule.cycle)
            margin = found.margin / self.instance.ticks_per_unit
            sure = proven and found.proven
            forgives = margin_figures(self.problem, found.seen, self.clock)
            keep(Point(margin, time, sure, found.schedule, self._tightest(found), forgives))
            points += 1
            if self.clock.stopped:
                return False
            left = end.margin - found.margin
            if left <= 0 or points == most:
                return complete and left <= 0
            step = -(-left // (most - points))
            complete = complete and step == 1
            shorter = self._shortest(found.margin + step, found.schedule.cycle, last)
            if shorter is None:
                return False
            known, proven = shorter

    def _most(self, cycle: int, known: Schedule) -> _Most | None:
        """The most slack within a cycle time, and the shortest cycle with it; None: stopped."""
        found = settle_from(
            self.problem,
            self.instance,
            known,
            cycle,
            (self.measure, "cycle"),
            self.clock,
            each=self.each,
            margins=self.asked,
        )
        if len(found.attained) < 2:
            return None
        assert found.schedule is not None
        # The margin asked for is kept; of the other kind there is as much as the order allows.
        # Of several hoists starts stay as they are, for the travels by which they give way.
        if self.instance.several is not None:
            schedule = found.schedule
        elif self.measure == "float":
            schedule = spread_margin(self.problem, self.instance, found.schedule, self.clock)
        else:
            rooms = found.margins.rooms
            schedule = spread_float(self.problem, self.instance, found.schedule, rooms)
        seen = accepted(self.problem, schedule, made_here=True)
        proven = found.attained[0].proven and self.exact
        return _Most(found.attained[0].value, proven, schedule, seen)

    def _tightest(self, found: _Most) -> Fraction | None:
        """How late any start may be, as the alarm limits say."""
        limits = slack_limits(self.problem, found.schedule, found.seen)
        late = limits.least_alone if self.measure == "slack" else limits.least_for_good
        return None if late is None else limits.time(late)

    def _shortest(self, margin: int, above: int, last: int) -> tuple[Schedule, bool] | None:
        """A shortest schedule with so much slack, and whether proven; None: not in time."""
        margins = MARGINS[self.measure](self.instance, margin, self.asked)
        asked = replace(tightened(self.instance, margins), longest=last)
        asked = replace(asked, shortest=max(asked.shortest, above))
        found = least_cycle(asked, self.clock.part(self.each))
        proven = found.status == "optimal" and self.exact
        return None if found.schedule is None else (found.schedule, proven)
