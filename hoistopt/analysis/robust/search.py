"""Of all schedules nearly as short as the shortest, the one that forgives most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...base.clock import Clock
from ...base.effort import Effort, Progress, effort_of
from ...base.errors import InputError
from ...base.numbers.exact import exact_number
from ...checker import Replay, accepted
from ...graph.spread_margin import spread_float
from ...instance import Instance, asked_margins, build_instance
from ...margin.curve import share_curve
from ...margin.slack import SlackLimits, slack_limits
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule, readable
from ...solver.lexicographic import NAMES, Attained
from .start import least_of, settle_from

USUAL = ("float", "slack")
WINDOW = "window"
OF_SEVERAL = ("slack", "float", "nominal", "loads", "cycle", WINDOW)
"""Aims that lines with several hoists can have: how those travel empty to give way is only
worked out when the times of the moves stand."""
USUAL_SECONDS = 20.0
"""What the search for fewer loads out of window may take where there is no time limit."""
MOST_PERCENT = 1000
MOST_POINTS = 100
"""Of a curve."""
Number = int | float | Decimal


@dataclass(frozen=True)
class Aim:
    """One objective in its turn; `value` in the problem's unit, a number or share of loads.

    Attributes
    ----------
    name : str
        "slack": the margin kept below every maximum dwell, so that one start as late as
        that, once, does no harm. "float": by how much every start may be later in every
        cycle, one at a time. In both, a window narrower than that keeps all it has to
        give, and the tightest start of the schedule may be late by no more than that:
        :class:`SlackLimits` tells. "travel": empty travel in a cycle.
        "nominal": total by which dwells miss the nominal ones. "loads": most loads in
        process at once. "cycle": the cycle time. "window": the share of loads that stand
        too long while the hoist's times scatter as the problem says, or as is assumed; the
        only aim where it is one, sought by runs of schedules and never proven.
    value : Fraction
    proven : bool
        Whether no schedule is better, given the aims before.
    """

    name: str
    value: Fraction
    proven: bool


@dataclass(frozen=True)
class Robust:
    """The answer; times in the problem's unit.

    Attributes
    ----------
    status : str
        "optimal": every aim proven. "feasible": not all of them. "infeasible",
        "unknown": no schedule, see `shortest`.
    shortest : Result
        The least cycle time, and the schedule that would be run without further aims.
    within : Decimal
        Percent by which the cycle may be longer than that.
    aims : tuple of Aim
        In the order of importance; the cycle time comes last unless asked for before.
        Those are missing that a stop left no time for.
    schedule : Schedule or None
        The checker has accepted it.
    limits : SlackLimits or None
        What every move of it may be late.
    replay : Replay or None
    """

    status: Literal["optimal", "feasible", "infeasible", "unknown"]
    shortest: Result
    within: Decimal
    aims: tuple[Aim, ...] = ()
    schedule: Schedule | None = None
    limits: SlackLimits | None = None
    replay: Replay | None = None

    @property
    def cycle_time(self) -> int | float | None:
        """Its cycle time."""
        return None if self.schedule is None else self.schedule.cycle_time


def robust(
    problem: Problem,
    degree: int = 1,
    within: Number = 5,
    aims: Sequence[str] = USUAL,
    start: Result | Schedule | None = None,
    *,
    effort: Effort | None = None,
    time_limit: float | None = None,
    workers: int | None = None,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Robust:
    """Find the schedule that is best by several aims, one after the other.

    Parameters
    ----------
    problem : Problem
        The line.
    degree : int
        Sets of loads per cycle.
    within : number
        Percent by which the cycle may be longer than the shortest.
    aims : sequence of str
        What is asked for, the most important first; see :class:`Aim`. Of several hoists
        all but travel.
    start : Result or Schedule, optional
        The least cycle, where it is known; otherwise it is searched for. The degree is then
        that of the schedule.
    effort : Effort, optional
        Its time limit is for the shortest cycle, and again for each aim. With time up an aim
        keeps the best found, and no less than `start` or the shortest cycle has of it, given
        the aims before (of several hoists, margins may come to less). Progress names the aim
        that is sought and the value found so far.
    time_limit, workers, seed, on_progress
        Single parts of an effort, instead of it.

    Raises
    ------
    InputError
        When a figure or the name of an aim makes no sense, or the problem cannot be
        planned.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> found = hoistopt.robust(problem, within=10, aims=["slack"])
    >>> found.status
    'optimal'
    """
    effort = effort_of(
        effort, time_limit=time_limit, workers=workers, seed=seed, on_progress=on_progress
    )
    clock = Clock(replace(effort, time_limit=None))  # the limit is for each search of it
    percent = checked_percent(within, "within")
    wanted = _checked_aims(problem, aims)
    shortest = least_of(problem, degree, start, effort)
    if shortest.schedule is None:
        status: Literal["infeasible", "unknown"] = (
            "infeasible" if shortest.status == "infeasible" else "unknown"
        )
        return Robust(status, shortest, percent)
    if clock.stopped:
        return _answer(problem, shortest, percent, shortest.schedule, (), proven=False)
    if wanted == (WINDOW,):
        return _in_window(problem, shortest, percent, effort)
    instance = build_instance(problem, shortest.degree, margin=False, several=True)
    asked = asked_margins(problem, instance)
    found = settle_from(
        problem,
        instance,
        shortest.schedule,
        longer(shortest.schedule.cycle, percent),
        wanted,
        clock,
        each=effort.time_limit,
        tell=_teller(instance, shortest, clock, len(wanted)),
        margins=asked,
    )
    schedule = found.schedule
    assert schedule is not None
    # Sharing out the float moves starts, which only dwells near the nominal forbid.
    if "float" in wanted and "nominal" not in wanted and instance.several is None:
        schedule = spread_float(problem, instance, schedule, found.margins.rooms, asked.floats)
    exact = instance.several is None or instance.several.exact
    proven = exact and shortest.status == "optimal" and all(aim.proven for aim in found.attained)
    complete = len(found.attained) == len(wanted)
    aims_met = tuple(_aim(instance, attained) for attained in found.attained)
    return _answer(problem, shortest, percent, schedule, aims_met, proven=proven and complete)


def _in_window(problem: Problem, shortest: Result, percent: Decimal, effort: Effort) -> Robust:
    """Of the schedules tried the one that loses the fewest loads, and of such the shortest."""
    assert shortest.schedule is not None and shortest.replay is not None
    seconds = USUAL_SECONDS if effort.time_limit is None else effort.time_limit
    clock = Clock(effort).part(seconds)
    clock.tell(WINDOW, total=1, cycle_time=shortest.cycle_time)
    best = share_curve(
        problem,
        shortest.schedule,
        shortest.replay,
        longer(shortest.schedule.cycle, percent),
        2,
        clock,
        degree=shortest.degree,
    )[-1]
    share = best.margin.out_of_window
    aims = (
        Aim(WINDOW, Fraction(share.out, share.loads), proven=False),
        Aim("cycle", best.schedule.time(best.schedule.cycle), proven=False),
    )
    return _answer(problem, shortest, percent, best.schedule, aims, proven=False)


def _teller(
    instance: Instance, shortest: Result, clock: Clock, total: int
) -> Callable[[str, int | None], None]:
    """What passes on each aim as it is taken up, and its values as they improve."""
    taken_up: list[str] = []

    def tell(name: str, value: int | None) -> None:
        if name not in taken_up:
            taken_up.append(name)
        words = name
        if value is not None:
            scale = Fraction(1) if name == "loads" else 1 / instance.ticks_per_unit
            words = f"{name} {readable(value * scale)}"
        clock.tell(
            words,
            done=len(taken_up) - 1,
            total=total,
            cycle_time=shortest.cycle_time,
            lower_bound=shortest.lower_bound,
        )

    return tell


def _answer(
    problem: Problem,
    shortest: Result,
    percent: Decimal,
    schedule: Schedule,
    aims: tuple[Aim, ...],
    *,
    proven: bool,
) -> Robust:
    seen = accepted(problem, schedule, shortest.replay, made_here=True)
    return Robust(
        status="optimal" if proven else "feasible",
        shortest=shortest,
        within=percent,
        aims=aims,
        schedule=schedule,
        limits=slack_limits(problem, schedule, seen),
        replay=seen,
    )


def _aim(instance: Instance, attained: Attained) -> Aim:
    scale = Fraction(1) if attained.name == "loads" else 1 / instance.ticks_per_unit
    # What is enough for several hoists to keep apart is not always needed: no proof of the most.
    exact = instance.several is None or instance.several.exact
    return Aim(attained.name, attained.value * scale, attained.proven and exact)


def check_points(points: object) -> None:
    """Refuse a number of points that makes no curve.

    Raises
    ------
    InputError
        When it is no whole number from 2 to :data:`MOST_POINTS`.
    """
    if isinstance(points, bool) or not isinstance(points, int) or not 2 <= points <= MOST_POINTS:
        raise InputError(f"a whole number from 2 to {MOST_POINTS}", field="points", value=points)


def longer(cycle: int, percent: Decimal) -> int:
    """A cycle time lengthened by so many percent, in whole ticks, rounded down."""
    return int(cycle * (100 + Fraction(percent)) / 100)


def checked_percent(value: object, field: str) -> Decimal:
    """A percentage from 0 to :data:`MOST_PERCENT`, exactly as given."""
    expected = f"a percentage from 0 to {MOST_PERCENT}"
    try:
        percent = exact_number(value)
    except ValueError:
        raise InputError(expected, field=field, value=value) from None
    if not 0 <= percent <= MOST_PERCENT:
        raise InputError(expected, field=field, value=value)
    return percent


def _checked_aims(problem: Problem, aims: Sequence[str]) -> tuple[str, ...]:
    known = f"any of {', '.join(NAMES)}, each once, or {WINDOW} alone"
    wrong = [name for name in aims if name not in OF_SEVERAL]
    if len(problem.hoists) > 1 and wrong and not isinstance(aims, str):
        raise InputError(
            f"any of {', '.join(OF_SEVERAL)}, for a line with several hoists",
            field="aims",
            value=wrong[0],
            way_out="How several hoists travel empty, to give way as well, is worked out for the "
            "times of their moves, so no times can be chosen by it.",
        )
    if list(aims) == [WINDOW] and not isinstance(aims, str):
        return (WINDOW,)
    if isinstance(aims, str) or not aims:
        raise InputError(known, field="aims", value=aims or "nothing")
    for number, name in enumerate(aims):
        if name not in NAMES or name in aims[:number]:
            raise InputError(known, field="aims", value=name)
    stages = [stage for recipe in problem.recipes for stage in recipe.stages]
    if "nominal" in aims and all(stage.nominal is None for stage in stages):
        raise InputError(
            "a nominal dwell for at least one stage, as dwells near it are an aim",
            field="recipe, stage, nominal",
            way_out="Add nominal to the stages that have one, or leave the aim out.",
        )
    if "slack" in aims and all(stage.max is None for stage in stages):
        # However late a start, no maximum is exceeded: nothing to seek.
        aims = [name for name in aims if name != "slack"]
    return (*aims, *(() if "cycle" in aims else ("cycle",)))
