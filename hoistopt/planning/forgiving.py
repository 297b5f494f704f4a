"""What a result forgives, and the shortest cycle that can be run, beside the least one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from ..base.clock import Clock
from ..base.effort import Effort
from ..base.errors import InputError
from ..checker import accepted
from ..instance import Instance, build_instance
from ..margin.figures import margin_figures
from ..margin.most import most_margin
from ..margin.runnable import find_runnable, usual_seconds
from ..problem import Problem
from .result import Result
from .runnable_degrees import runnable_elsewhere

MARGIN_SHARE = 0.25
"""Share of the time in which other orders of the least cycle time are looked at."""


def checked_seconds(runnable: bool | float) -> float | None:
    """Seconds asked for the search for a schedule that can be run; None for the usual ones."""
    if isinstance(runnable, bool):
        return None
    if not isinstance(runnable, int | float) or not 0 < runnable < math.inf:
        raise InputError("True, False or seconds above 0", field="runnable", value=runnable)
    return float(runnable)


def with_runnable(
    result: Result, effort: Effort | None = None, others: Sequence[Result] = ()
) -> Result:
    """The same result with what its schedule forgives, and the shortest that can be run.

    Once the effort is stopped no other schedule is looked for.

    Parameters
    ----------
    result : Result
        Of :func:`.cycle.solve`, with its problem and a schedule.
    effort : Effort, optional
        Of this search alone. Its time limit counts up to the usual one, some seconds; where other
        degrees may do better they have as much together.
    others : sequence of Result
        As of :func:`forgiving`.

    Raises
    ------
    InputError
        When the scatter that the problem states does not fit the line.
    """
    problem, effort = result.problem, effort or Effort()
    if problem is None or result.schedule is None:
        raise ValueError("a result without its problem or without a schedule")
    limit = effort.time_limit
    usual = usual_seconds(len(result.schedule.steps))
    clock = Clock(replace(effort, time_limit=usual if limit is None else min(limit, usual)))
    if effort.stop is not None and effort.stop.is_set():
        seen = accepted(problem, result.schedule, result.replay, made_here=True)
        return replace(result, margin=margin_figures(problem, seen, clock))
    instance = build_instance(
        problem, result.loads_per_cycle // len(problem.load_set), several=True
    )
    return forgiving(problem, instance, result, clock, others)


def forgiving(
    problem: Problem,
    instance: Instance,
    result: Result,
    clock: Clock,
    others: Sequence[Result] = (),
) -> Result:
    """The same with more margin, where another order has more, and a schedule that can be run.

    Of several hoists the schedule stays as it is, and only the second is looked for.

    Parameters
    ----------
    others : sequence of Result
        Of other degrees, at which a schedule that can be run may take less time per load; by
        default those among which the degree was chosen.
    """
    if result.choice is not None:
        others = result.choice.results
    assert result.schedule is not None
    if instance.several is None:
        clock.tell("more margin", cycle_time=result.cycle_time, lower_bound=result.lower_bound)
        share = clock.share(MARGIN_SHARE)
        schedule, seen = most_margin(problem, instance, result.schedule, share, result.replay)
    else:
        seen = accepted(problem, result.schedule, result.replay, made_here=True)
        schedule = seen.schedule
    clock.tell("a cycle that can be run", cycle_time=result.cycle_time)
    figures = margin_figures(problem, seen, clock)
    own = replace(
        result,
        schedule=schedule,
        cycle_time=schedule.cycle_time,
        replay=seen,
        margin=figures,
        runnable=find_runnable(problem, schedule, seen, clock, figures, degree=instance.degree),
    )
    return runnable_elsewhere(problem, own, others, clock)
