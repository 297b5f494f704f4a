"""Where a talk with the process engineer pays: what each limit costs in cycle time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...base.clock import Clock, OutOfTime
from ...base.effort import Effort, Progress, effort_of
from ...base.errors import InfeasibleError, InputError
from ...checker import accepted
from ...instance import Instance, build_instance
from ...problem import Problem
from ...schedule import readable
from ...solver import Found, least_cycle
from ...solver.bounds import lower_bound
from .answer import How, Lever, Levers
from .pulls import Amount, Pull, pulls


def find_levers(
    problem: Problem,
    degree: int = 1,
    by: Amount | Decimal | int | str = "10%",
    hoist_by: Decimal | int | float | str = 10,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Levers:
    """Rank the limits of a line by what giving way would gain, each re-optimised.

    Every minimum in turn falls by an amount, every maximum rises by it; so for the least
    occupation at the ends of the line, the drips and the way back of carriers; one
    carrier more; a quicker hoist. Whatever order of moves is best then is counted, not
    the order of today.

    Changes that only ever allow more are first tried all together, then in halves: what
    does not help in company does not help alone. Of the rest each has a search of its
    own. A quicker hoist can do harm, as loads then stand longer, and is always searched.

    Parameters
    ----------
    problem, degree
        As for :func:`hoistopt.solve`.
    by : number or str
        How far limits give way: a time in the problem's unit, or "10%" of each.
    hoist_by : number
        By how many per cent the hoist's times get shorter; 0 leaves that out.
    effort : Effort, optional
        Its time limit is for the whole; what is not proved by then says so.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When an amount makes no sense, or the problem cannot be planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> found = hoistopt.find_levers(problem, by="10%")
    >>> best = found.levers[0]
    >>> best.pull.words, best.gain_least
    ('minimum of Dryer from 180 to 162', Fraction(189, 10))
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    ways = pulls(problem, by, hoist_by)
    clock = Clock(effort)
    clock.tell("the line as it is", total=len(ways))
    try:
        instance = build_instance(problem, degree, clock)
    except InfeasibleError as error:
        return Levers("infeasible", degree, problem.unit, reason=str(error))
    except OutOfTime:
        return Levers("unknown", degree, problem.unit, runtime=clock.elapsed)
    found = least_cycle(instance, clock.share(1 / 3))
    if found.schedule is None:
        status: Literal["infeasible", "unknown"] = (
            "infeasible" if found.status == "infeasible" else "unknown"
        )
        return Levers(status, degree, problem.unit, runtime=clock.elapsed)
    search = _Search(problem, instance, found, degree, clock)
    search.run(ways)
    return Levers(
        found.status,
        degree,
        problem.unit,
        search.in_unit(found.schedule.cycle),
        search.in_unit(max(found.bound, lower_bound(instance))),
        tuple(sorted(search.levers, key=_rank)),
        clock.elapsed,
    )


def _rank(lever: Lever) -> tuple[bool, Fraction, Fraction]:
    least, most = lever.gain_least, lever.gain_most
    return least is None, -(least or Fraction(0)), -(most or Fraction(0))


class _Search:
    """Tries the pulls, together where that can settle them."""

    def __init__(
        self,
        problem: Problem,
        instance: Instance,
        found: Found,
        degree: int,
        clock: Clock,
    ) -> None:
        assert found.schedule is not None
        self._problem = problem
        self._instance = instance
        self._today = found.schedule.cycle
        self._degree = degree
        self._clock = clock
        self._count = 0
        self.levers: list[Lever] = []

    def in_unit(self, ticks: int) -> Fraction:
        """Ticks in the problem's unit."""
        return Fraction(ticks) / self._instance.ticks_per_unit

    def run(self, ways: Sequence[Pull]) -> None:
        """Settle all of them."""
        self._count = len(ways)
        # Of one kind first: all maxima together often turn out not to matter.
        for kinds in (("max",), ("min",), ("occupation", "carriers", "return")):
            group = [way for way in ways if way.kind in kinds]
            if group:
                self._together(group)
        for way in ways:
            if not way.only_helps:
                self._alone(way)

    def _together(self, group: Sequence[Pull]) -> None:
        """Settle changes that only ever allow more."""
        if len(group) == 1 or self._clock.over:
            for way in group:
                self._alone(way)
            return
        self._tell(f"{len(group)} changes together")
        changed = self._problem
        for way in group:
            changed = way.apply(changed)
        try:
            instance = build_instance(changed, self._degree, self._clock)
        except OutOfTime:
            for way in group:
                self._open(way)
            return
        if self._floor(instance) >= self._today:
            self._no_gain(group, "bound")
            return
        below = replace(instance, longest=self._below(instance))
        found = self._shortest(below, len(group))
        if found.status == "infeasible":
            self._no_gain(group, "group")
            return
        half = len(group) // 2
        self._together(group[:half])
        self._together(group[half:])

    def _alone(self, way: Pull) -> None:
        self._tell(way.words)
        changed = way.apply(self._problem)
        try:
            instance = build_instance(changed, self._degree, self._clock)
        except OutOfTime:
            self._open(way)
            return
        except (InfeasibleError, InputError):  # a window no longer holds a whole tick
            self.levers.append(Lever(way, None, self.in_unit(0), None, None, "none"))
            return
        floor = self._floor(instance)
        if way.only_helps:
            if floor >= self._today:
                self._no_gain([way], "bound")
                return
            instance = replace(instance, longest=self._below(instance))
        found = self._shortest(instance, 1)
        if found.status == "infeasible":
            if way.only_helps:
                self._no_gain([way], "search")
            else:
                self.levers.append(Lever(way, None, self.in_unit(floor), None, None, "none"))
            return
        bound = max(floor, found.bound)
        if found.schedule is None:
            self._open(way, bound)
            return
        accepted(changed, found.schedule, made_here=True)
        gain = self.in_unit(self._today - found.schedule.cycle)
        proved = found.status == "optimal"
        self.levers.append(
            Lever(
                way,
                self.in_unit(found.schedule.cycle),
                self.in_unit(bound),
                gain,
                gain if proved else self.in_unit(self._today - bound),
                "search" if proved else "stopped",
            )
        )

    def _open(self, way: Pull, bound: int = 0) -> None:
        """Leave open what a change does, with the bound on the cycle time that is known."""
        least = Fraction(0) if way.only_helps else None
        most = self.in_unit(self._today - bound)
        self.levers.append(Lever(way, None, self.in_unit(bound), least, most, "stopped"))

    def _shortest(self, instance: Instance, settles: int) -> Found:
        if self._clock.over:
            return Found("unknown", 0, None, 0.0)
        return least_cycle(instance, self._clock.part(self._seconds(settles)))

    def _below(self, instance: Instance) -> int:
        """A tick less than today, or the line's own limit."""
        below = self._today - 1
        return below if instance.longest is None else min(below, instance.longest)

    def _floor(self, instance: Instance) -> int:
        return max(lower_bound(instance), instance.shortest)

    def _no_gain(self, group: Sequence[Pull], how: How) -> None:
        today = self.in_unit(self._today)
        for way in group:
            self.levers.append(Lever(way, today, today, Fraction(0), Fraction(0), how))

    def _seconds(self, settles: int) -> float | None:
        """A fair share of the time that is left for a search that may settle so many."""
        left = self._clock.left
        if left is None:
            return None
        pending = max(1, self._count - len(self.levers))
        return max(0.2, left * min(1.0, 2 * settles / pending) / 2)

    def _tell(self, words: str) -> None:
        self._clock.tell(
            words,
            done=len(self.levers),
            total=self._count,
            cycle_time=readable(self.in_unit(self._today)),
        )
