"""What a solve gives back, and what it tells of the degrees it looked at."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

from ..base.notebook import ShownInNotebook
from ..schedule import Schedule
from .idle import IdleTanks, idle_tanks

if TYPE_CHECKING:
    from ..checker import Replay
    from ..margin.figures import MarginFigures
    from ..margin.runnable import Runnable
    from ..problem import Problem

Status = Literal["optimal", "feasible", "infeasible", "unknown"]
Proof = Literal["any degree", "degrees compared", "open"]
Ended = Literal["proved", "time limit", "stopped", "no progress"]


@dataclass(frozen=True, repr=False)
class Result(ShownInNotebook):
    """The answer to one solve; times in the problem's unit.

    Attributes
    ----------
    status : str
        "optimal": `cycle_time` is proven least. "feasible": a schedule, stopped before
        the proof. "infeasible": proven that there is none. "unknown": stopped before
        either.
    cycle_time, lower_bound : int, float or None
        Cycle time of the schedule, and the proven bound below every schedule.
    degree : int
        Sets of loads per cycle.
    loads_per_cycle : int
        Loads entering per cycle.
    schedule : Schedule or None
        The move sequence; the checker has accepted it.
    replay : Replay or None
        What the checker saw when it replayed the schedule.
    runtime : float
        Seconds spent in the search.
    reason : str or None
        Why there is no schedule.
    problem : Problem or None
        What was solved.
    margin : MarginFigures or None
        What `schedule` forgives; only where a schedule that can be run was asked for.
    runnable : Runnable or None
        The shortest schedule found that can be run, where one was asked for.
    choice : DegreeChoice or None
        How the degree was chosen, where the best one was asked for; `runtime` is then that
        of all degrees.
    stopped : bool
        Whether a stop that was asked for ended the search, and no time limit.
    compiling : float
        Of `runtime`, seconds in which loops of the search were compiled, once on a machine.
    uncompiled : bool
        Whether the search did without some of its loops, as they were not compiled yet and there
        was no time for that.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> hoistopt.solve(problem)
    <Result: Cycle time 234 at degree 1, proven least.>

    Tanks that the schedule does without are named, and why:

    >>> problem = hoistopt.load_problem("problems/parallel_tanks.toml")
    >>> (group,) = hoistopt.solve(problem, degree=1).idle_tanks
    >>> len(group.idle), group.tanks, group.by_degree
    (2, ('Nickel 1', 'Nickel 2', 'Nickel 3'), True)
    """

    status: Status
    cycle_time: int | float | None
    lower_bound: int | float | None
    degree: int
    loads_per_cycle: int
    schedule: Schedule | None
    runtime: float
    replay: Replay | None = None
    reason: str | None = None
    problem: Problem | None = None
    margin: MarginFigures | None = None
    runnable: Runnable | None = None
    choice: DegreeChoice | None = None
    stopped: bool = False
    compiling: float = 0.0
    uncompiled: bool = False

    def __repr__(self) -> str:
        return f"<Result: {self.summary()}>"

    @property
    def time_per_load(self) -> float | None:
        """Mean time per load, cycle time over loads per cycle."""
        return None if self.cycle_time is None else self.cycle_time / self.loads_per_cycle

    @property
    def gap(self) -> float | None:
        """How far above the bound the cycle time may be, as a share of the cycle time."""
        if self.cycle_time is None or self.lower_bound is None:
            return None
        return (self.cycle_time - self.lower_bound) / self.cycle_time

    @property
    def idle_tanks(self) -> tuple[IdleTanks, ...]:
        """Groups of parallel tanks of which `schedule` leaves some idle, and why.

        Empty where every tank of every group is in use, and where there is no schedule.
        """
        if self.problem is None or self.schedule is None:
            return ()
        return idle_tanks(self.problem, self.schedule)

    def summary(self) -> str:
        """One sentence for people."""
        if self.schedule is None:
            return {
                "infeasible": f"No schedule of degree {self.degree} exists. {self.reason or ''}",
                "unknown": f"Stopped before a schedule of degree {self.degree} was found.",
            }[self.status].strip()
        proof = (
            "proven least"
            if self.status == "optimal"
            else f"not proven least: the bound is {self.lower_bound}, a gap of {self.gap:.1%}"
        )
        return f"Cycle time {self.cycle_time} at degree {self.degree}, {proof}."


def exact_time_per_load(result: Result) -> Fraction:
    """The mean time per load of a result with a schedule, in the problem's unit."""
    assert result.schedule is not None
    return result.schedule.time(result.schedule.cycle) / result.loads_per_cycle


@dataclass(frozen=True)
class LeftOut:
    """A degree that was not searched.

    Attributes
    ----------
    degree : int
    reason : str
        Why, in a few words.
    """

    degree: int
    reason: str


@dataclass(frozen=True)
class DegreeChoice:
    """How the degree of a result was chosen; times in the problem's unit.

    Attributes
    ----------
    results : tuple of Result
        One for each degree looked at, the lowest first. Their `runtime` is the time spent
        on that degree. A degree that is a multiple of another has at least its cycle, run
        several times over.
    least_per_load : int or float
        No cycle of any degree takes less time per load; 0 where no such bound was worked out.
    proved : str
        "any degree": no cycle of any degree has a shorter mean time per load. "degrees
        compared": none of the degrees in `results` has one. "open": one might.
    least_of_compared : int or float
        No cycle of the degrees in `results` takes less time per load. In JSON the same figure
        is `least_per_load_compared`; in that of `without` it is `at_least`, in its CSV
        `time_per_load_at_least`.
    ended : str
        What ended the search: "proved", "time limit", "stopped", or "no progress" within
        `patience`.
    patience : float or None
        Seconds without progress, once there is a schedule, after which the search ends by
        itself; None where a time limit was given.
    left_out : tuple of LeftOut
        Degrees that the line gives reason to try, which were not searched: those too large,
        and those beyond the ten that are tried at most. The lowest first.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/roomy_dryer.toml")
    >>> choice = hoistopt.solve(problem, degree="best").choice
    >>> choice.proved, choice.least_per_load
    ('any degree', 155.3)
    """

    results: tuple[Result, ...]
    least_per_load: int | float
    proved: Proof
    least_of_compared: int | float
    ended: Ended
    patience: float | None = None
    left_out: tuple[LeftOut, ...] = ()
