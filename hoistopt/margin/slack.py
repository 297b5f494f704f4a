"""How late each move may start: once, and in every cycle."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ..checker import Replay, accepted
from ..graph.from_replay import timed_plan
from ..graph.lateness import Break, for_good, lasting, spread
from ..graph.timed_plan import TimedPlan
from ..graph.wording import reason
from ..problem import Problem
from ..schedule import Schedule


@dataclass(frozen=True)
class Exceeded:
    """The maximum that is exceeded first: `cycles` counts the cycles until then."""

    station: str
    label: str
    recipe: str
    stage: int
    load: int
    cycles: int


@dataclass(frozen=True)
class MoveSlack:
    """How late one move of the cycle may start.

    Lateness is in whole ticks of the schedule, the largest that does no harm; a tick
    more does.

    Attributes
    ----------
    step : int
        Number of the step, from 1.
    start : int
        Planned start, in ticks.
    source, target, recipe : str
    load, stage : int
        What is moved: number of the load in the cycle, stage it leaves.
    free : int
        Once that late, no other start is late.
    alone : int or None
        Once that late, no maximum is exceeded, then or later; None: however late, none
        is. The moves after it keep their order, wait for minimum dwell and start when
        due.
    breaks : Exceeded or None
        The maximum exceeded first when it is later than `alone`.
    slips : int
        Once that late, everything a cycle or more after it is on time.
    lasts : int or None
        Once that late, the line gets back to plan some time; None: it always does.
    for_good : int
        The planned start may be that much later, all other starts as planned, and the
        schedule keeps every rule.
    held_by : str
        What stands against more than `for_good`.
    hoist : str or None
        Which hoist makes the move, where there are several.
    """

    step: int
    start: int
    source: str
    target: str
    recipe: str
    load: int
    stage: int
    free: int
    alone: int | None
    breaks: Exceeded | None
    slips: int
    lasts: int | None
    for_good: int
    held_by: str
    hoist: str | None = None


@dataclass(frozen=True)
class SlackLimits:
    """How late the moves of a schedule may start; build it with :func:`slack_limits`.

    Attributes
    ----------
    problem, schedule : Problem, Schedule
        The line and its moves.
    moves : tuple of MoveSlack
        In order of the steps; latenesses in ticks of the schedule.
    """

    problem: Problem
    schedule: Schedule
    moves: tuple[MoveSlack, ...]

    def time(self, ticks: int) -> Fraction:
        """A number of ticks in the problem's unit."""
        return self.schedule.time(ticks)

    @property
    def least_alone(self) -> int | None:
        """The least lateness, in ticks, that any move alone may have; None: no limit."""
        return min((move.alone for move in self.moves if move.alone is not None), default=None)

    @property
    def least_for_good(self) -> int:
        """The least lateness, in ticks, that any move may have in every cycle."""
        return min(move.for_good for move in self.moves)


def slack_limits(problem: Problem, schedule: Schedule, seen: Replay | None = None) -> SlackLimits:
    """How late every move may start, exactly.

    Once: this one occurrence is late; all other starts come when due, which is not
    before their planned time, in the planned order, once the hoist is there, the
    carrier has stood its minimum and, at the ends of the line, a carrier or a place is
    ready. The line is taken to have run on plan before. In every cycle: the
    schedule with this one start later.

    Moves take their exact times; the limits are rounded down to ticks of the schedule.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        Moves that break no rule.
    seen : Replay, optional
        A replay of the schedule on the line, if there is one already.

    Raises
    ------
    Refused
        When the schedule breaks a rule.
    InputError
        When its data make no sense on this line.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> limits = hoistopt.slack_limits(problem, result.schedule)
    >>> len(limits.moves)
    5
    """
    plan = timed_plan(accepted(problem, schedule, seen))
    return SlackLimits(
        problem, schedule, tuple(_move_slack(plan, number) for number in range(len(plan)))
    )


def _move_slack(plan: TimedPlan, number: int) -> MoveSlack:
    step, found = plan.steps[number], spread(plan, number)
    later, held_by = for_good(plan, number)
    lasts = lasting(plan, number)
    return MoveSlack(
        step=number + 1,
        start=step.start,
        source=step.source,
        target=step.target,
        recipe=plan.recipes[number],
        load=plan.loads[number],
        stage=plan.stages[number],
        free=plan.ticks(found.free),
        alone=None if found.breaks is None else plan.ticks(found.breaks.above),
        breaks=None if found.breaks is None else _exceeded(found.breaks),
        slips=plan.ticks(found.slips),
        lasts=None if lasts is None else plan.ticks(lasts),
        for_good=plan.ticks(later),
        held_by=reason(plan, held_by),
        hoist=step.hoist,
    )


def _exceeded(found: Break) -> Exceeded:
    dwell = found.dwell
    return Exceeded(dwell.station, dwell.label, dwell.recipe, dwell.stage, dwell.load, found.cycles)
