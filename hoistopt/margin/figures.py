"""The few figures by which one compares what schedules forgive."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..base.clock import Clock
from ..base.numbers.shares import Share
from ..checker import Replay
from ..graph.from_replay import timed_plan
from ..graph.lateness import for_good
from ..graph.timed_plan import TimedPlan
from ..graph.wording import reason
from ..problem import Problem, Scattering
from .jitter.run import jitter
from .scattering import scatter_of

RUNS, CYCLES, WARM_UP = 100, 100, 10
"""What is simulated for the figures: runs, cycles counted in each, cycles before them."""

MANY_RUNS = 1000
"""Runs where those had no more loads out of window than are tolerated, at the pace planned: a load
lost in a thousand often shows in none of a hundred runs, and what is chosen because of that would
be promised too much."""

MOST_MOVES = 1_500_000
"""Most moves in all runs together; of cycles of many moves there are fewer runs."""

NONE = Fraction(1, 10_000)
"""Share of loads out of window that counts as none: with enough runs some load is late on nearly
every line, and a longer cycle for one load in many years helps nobody."""

PACE, PACE_OF_SEVERAL = 1e-3, 1e-4
"""By what share the mean achieved cycle may be longer than planned where the pace is kept: of one
hoist, and of several. Of several a drift of 0.08 % was seen that goes on for ever; where the pace
is kept the simulation shows up to 0.003 %."""


@dataclass(frozen=True)
class Tightest:
    """The start that may be late by least.

    Attributes
    ----------
    time : Fraction
        How late, in the problem's unit; rounded down to a tick of the schedule.
    step : int
        Number of the step, from 1.
    source, target : str
        From where to where it carries.
    station, label : str
        The tank whose maximum is exceeded first, or where the load waits for the late
        hoist, and the name of the stage there; of a step that lifts at an end of the line
        that end.
    held_by : str
        What stands against more, in words.
    """

    time: Fraction
    step: int
    source: str
    target: str
    station: str
    label: str
    held_by: str


@dataclass(frozen=True)
class MarginFigures:
    """What a schedule forgives; times in the problem's unit.

    Attributes
    ----------
    cycle_time : Fraction
        Planned cycle time.
    loads_per_cycle : int
    slack : Tightest or None
        The start that may be late by least, once; None: no stage has a maximum.
    late : Tightest
        The start that may be late by least in every cycle: the least float.
    out_of_window : Share
        Loads that stood longer than a maximum, of those simulated.
    mean_cycle : float
        Mean achieved cycle time under the scatter.
    scatter : Scattering
        The scatter they were simulated with: the problem's, or the assumed one.
    assumed : bool
        Whether the problem states none.
    hoists : int
        How many share the track.
    """

    cycle_time: Fraction
    loads_per_cycle: int
    slack: Tightest | None
    late: Tightest
    out_of_window: Share
    mean_cycle: float
    scatter: Scattering
    assumed: bool
    hoists: int = 1

    @property
    def met(self) -> bool:
        """Whether no larger share of loads is out of window than is tolerated."""
        return within_tolerance(self.out_of_window, self.scatter)

    @property
    def time_per_load(self) -> Fraction:
        """Planned mean time per load."""
        return self.cycle_time / self.loads_per_cycle

    @property
    def good_in_time(self) -> float:
        """Loads that keep every maximum, for each unit of time."""
        return self.loads_per_cycle * (1 - self.out_of_window.share) / self.mean_cycle

    @property
    def keeps_pace(self) -> bool:
        """Whether the line runs as quickly as planned under the scatter, to within a
        thousandth, and of several hoists a ten-thousandth. Else the hoists' work takes longer than
        the cycle on average, and the planned cycle time is never seen."""
        return self.mean_cycle <= float(self.cycle_time) * (1 + pace_of(self.hoists))


def within_tolerance(share: Share, scatter: Scattering) -> bool:
    """Whether the loads out of window are at most the share tolerated, exactly.

    Where none is tolerated that is :data:`NONE`, as no number of runs can show that there is none.
    """
    return share.out <= max(NONE, Fraction(scatter.tolerated)) * share.loads


def margin_figures(problem: Problem, seen: Replay, clock: Clock | None = None) -> MarginFigures:
    """The figures of a schedule that the checker accepted.

    Parameters
    ----------
    problem : Problem
    seen : Replay
        The checker's, of that schedule on that line.
    clock : Clock, optional
        Brings the seed of the simulation.

    Raises
    ------
    InputError
        When the scatter does not fit the line.
    """
    plan = timed_plan(seen)
    found = _simulated(problem, seen, plan, clock, RUNS)
    if found.met and found.keeps_pace:
        found = _simulated(problem, seen, plan, clock, MANY_RUNS)
    return found


def _simulated(
    problem: Problem, seen: Replay, plan: TimedPlan, clock: Clock | None, runs: int
) -> MarginFigures:
    """The figures, by so many runs or as many as there may be."""
    scatter, assumed = scatter_of(problem)
    seed = 0 if clock is None else clock.seed
    runs = min(runs, MOST_MOVES // ((CYCLES + WARM_UP) * len(plan)))
    ran = jitter(
        problem, seen.schedule, scatter.scatters, runs, CYCLES, WARM_UP, seed=seed, seen=seen
    )
    return MarginFigures(
        cycle_time=seen.schedule.time(seen.schedule.cycle),
        loads_per_cycle=sum(stage == 0 for stage in plan.stages),
        slack=tightest_slack(plan),
        late=tightest_float(plan),
        out_of_window=ran.any_stage,
        mean_cycle=ran.cycle_time,
        scatter=scatter,
        assumed=assumed,
        hoists=len(problem.hoists),
    )


def pace_of(hoists: int) -> float:
    """By what share so many hoists may be slower than planned on average."""
    return PACE if hoists == 1 else PACE_OF_SEVERAL


def tightest_slack(plan: TimedPlan) -> Tightest | None:
    """The start that may be late by least, once.

    A start that is late makes others late by no more than that, so the first maximum to be
    exceeded is never sooner than by the least room below any; and the step that ends that
    dwell exceeds it by itself.
    """
    dwells = [dwell for dwell in plan.dwells if dwell.room is not None]
    if not dwells:
        return None
    dwell = min(dwells, key=lambda dwell: (dwell.room, dwell.departure))
    assert dwell.room is not None
    step = plan.steps[dwell.departure]
    return Tightest(
        _time(plan, dwell.room),
        dwell.departure + 1,
        step.source,
        step.target,
        dwell.station,
        dwell.label,
        reason(plan, dwell),
    )


def tightest_float(plan: TimedPlan) -> Tightest:
    """The start that may be late by least in every cycle, all others on time."""
    found = [(for_good(plan, number), number) for number in range(len(plan))]
    (late, held), number = min(found, key=lambda entry: (entry[0][0], entry[1]))
    step = plan.steps[number]
    label = next((d.label for d in plan.dwells if d.departure == number), step.source)
    return Tightest(
        _time(plan, late), number + 1, step.source, step.target, step.source, label,
        reason(plan, held),
    )  # fmt: skip


def _time(plan: TimedPlan, grid: int) -> Fraction:
    return plan.schedule.time(plan.ticks(grid))
