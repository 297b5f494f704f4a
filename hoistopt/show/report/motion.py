"""How the hoist moves within the times the checker gives: for the player to draw.

No time is made here. A move's lifting, dripping, travel and lowering are the checker's;
this only says how travel divides into speeding up, settling and the rest, from the same
speeds and accelerations. Uniform acceleration, any textbook of mechanics.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ...checker import ProgrammeRun
from ...checker.record import HoistRun
from ...problem import Motion, Problem

# Of a move whose time comes from a table only the total and the drip are known.
DRAWN_SHARE = Fraction(1, 4)


@dataclass(frozen=True)
class Travel:
    """One way along the track; times in the problem's unit.

    `ramp` is the time spent speeding up, and again braking; `settling` is the pause at
    its end. ``time - settling`` is spent moving.
    """

    time: Fraction
    ramp: Fraction = Fraction(0)
    settling: Fraction = Fraction(0)


@dataclass(frozen=True)
class Drawn:
    """The parts of a loaded move as they are drawn; `known` where the checker gives them."""

    lift: Fraction
    drip: Fraction
    travel: Travel
    lower: Fraction
    known: bool


def drawn_move(problem: Problem, run: HoistRun | ProgrammeRun) -> Drawn:
    """How to draw a loaded move."""
    if run.lift is None or run.travel is None or run.lower is None:
        moving = run.end - run.start - run.drip
        vertical = moving * DRAWN_SHARE
        return Drawn(vertical, run.drip, Travel(moving - 2 * vertical), vertical, False)
    hoist = getattr(run, "hoist", None)
    motion = next((one.loaded for one in problem.hoists if one.name == hoist), None)
    if len(problem.hoists) == 1:
        motion = problem.hoist.loaded
    travel = _travel(problem, run.source, run.target, run.travel, motion)
    return Drawn(run.lift, run.drip, travel, run.lower, True)


def drawn_empty(problem: Problem, run: HoistRun) -> Travel:
    """How to draw the empty travel before a loaded move.

    Of several hoists the checker tells the whole way (:func:`hoistopt.show.report.ways.ways`).
    """
    if len(problem.hoists) > 1:
        return Travel(run.empty)
    return drawn_way(problem, run.came_from, run.source, run.empty)


def drawn_way(problem: Problem, source: str | None, target: str, time: Fraction) -> Travel:
    """How to draw empty travel from one station, if any, to another."""
    if source is None or (source, target) in problem.empty_times:
        return Travel(time)
    return _travel(problem, source, target, time, problem.hoist.empty)


def _travel(
    problem: Problem, source: str, target: str, time: Fraction, motion: Motion | None
) -> Travel:
    left, reached = problem.station_by_name[source], problem.station_by_name[target]
    if motion is None or left.position is None or reached.position is None:
        return Travel(time)
    distance = abs(Fraction(reached.position) - Fraction(left.position))
    if not distance or not time:
        return Travel(time)
    settling = Fraction(motion.settling if reached.settling is None else reached.settling)
    if motion.acceleration is None:
        return Travel(time, settling=settling)
    speed, rate = Fraction(motion.speed), Fraction(motion.acceleration)
    reaches_top_speed = distance * rate >= speed * speed
    ramp = speed / rate if reaches_top_speed else (time - settling) / 2
    return Travel(time, ramp, settling)
