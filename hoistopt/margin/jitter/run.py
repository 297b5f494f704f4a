"""A schedule under scattered times of the hoist: loads out of window, achieved cycle time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from ...base.clock import Clock, OutOfTime
from ...base.effort import Effort, effort_of
from ...base.errors import InputError, StoppedError
from ...base.expected import whole_number
from ...checker import Replay, accepted
from ...graph.from_replay import timed_plan
from ...graph.timed_plan import TimedPlan
from ...problem import Problem
from ...problem.scatter import Scatter, scatter_list
from ...schedule import Schedule
from ..scattering import Source, scatter_of
from .answer import Jitter
from .judging import judged
from .replaying import draw_changes, follow

MOST_MOVES = 5_000_000
MOST_CYCLES = 1_000_000


def jitter(
    problem: Problem,
    schedule: Schedule,
    scatters: Sequence[Scatter | str] | None = None,
    runs: int = 100,
    cycles: int = 100,
    warm_up: int = 10,
    seed: int = 0,
    seen: Replay | None = None,
    *,
    effort: Effort | None = None,
) -> Jitter:
    """Run a schedule many times with times of the hoist that scatter.

    The sequencer keeps the order of the moves, waits for minimum dwell and starts a
    move when due: not before its planned time, the hoist there, the carrier ready, and
    at the ends of the line a carrier or a place ready. So loads never stand too short;
    some stand too long.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        Moves that break no rule.
    scatters : sequence of Scatter or str, optional
        What scatters, such as ``"move times triangular 0.97 1 1.15"``; draws are
        independent of one another. An empty one: everything runs on plan. Without it what the
        problem's `scatter` says, or else the scatter assumed for every line, as
        :attr:`Jitter.source` tells.
    runs, cycles, warm_up : int
        Runs, each of which begins on plan; cycles counted in each, after cycles that
        are not.
    seed : int
        Same seed, same answer, with the same version of numpy.
    seen : Replay, optional
        A replay of the schedule on the line, if there is one already.
    effort : Effort, optional
        Brings the seed, instead of it, and what ends the runs: they then have fewer
        cycles, all the same number.

    Raises
    ------
    Refused
        When the schedule breaks a rule.
    InputError
        When a figure makes no sense.
    StoppedError
        When a stop or the time limit came before enough cycles were run to tell anything.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> late = ["move times triangular 0.97 1 1.15"]
    >>> scattered = hoistopt.jitter(problem, result.schedule, late, runs=9, cycles=11)
    >>> scattered.cycle_times.size  # a cycle time is from one first step to the next
    90
    """
    _check_sizes(runs, cycles, warm_up, seed)
    clock = Clock(effort_of(effort, seed=seed))
    seed = clock.seed
    source: Source = "given"
    if scatters is None:
        scattering, assumed = scatter_of(problem)
        scatters, source = scattering.scatters, "assumed" if assumed else "stated"
    stated = scatter_list(scatters)
    plan = timed_plan(accepted(problem, schedule, seen))
    if (moves := (warm_up + cycles) * runs * len(plan)) > MOST_MOVES:
        raise InputError(
            f"at most {MOST_MOVES} moves in all",
            field="runs times cycles",
            value=f"{moves} moves",
            way_out="Ask for fewer runs or cycles.",
        )
    try:
        changes = draw_changes(plan, stated, warm_up + cycles, runs, seed, clock)
    except OutOfTime:
        raise StoppedError(_TOO_EARLY) from None
    late = follow(plan, *changes, clock)
    complete = len(late.starts) == warm_up + cycles
    if not complete and len(late.starts) < warm_up + 2 + _longest_way(plan):
        raise StoppedError(_TOO_EARLY)
    return replace(judged(plan, stated, late, warm_up, seed, complete=complete), source=source)


_TOO_EARLY = "stopped before enough cycles were run to tell anything"


def _longest_way(plan: TimedPlan) -> int:
    """Cycles that a load may take for its whole way, and one more."""
    cycles: dict[int, int] = {}
    for dwell in plan.dwells:
        cycles[dwell.load] = cycles.get(dwell.load, 0) + dwell.height
    return 1 + max(cycles.values(), default=0)


def _check_sizes(runs: int, cycles: int, warm_up: int, seed: int) -> None:
    for field, value, least, most in (
        ("runs", runs, 1, MOST_CYCLES),
        ("cycles", cycles, 2, MOST_CYCLES),
        ("warm_up", warm_up, 0, MOST_CYCLES),
        ("seed", seed, 0, 2**31 - 1),
    ):
        whole_number(value, least, most, field=field)
