"""Other orders of moves for a line with time to spare: the searches that look for them."""

from __future__ import annotations

from ..base.clock import Clock
from ..instance import Instance
from ..schedule import Schedule
from ..solver import least_cycle
from ..solver.cyclic.brief import look_briefly
from ..solver.lexicographic import limited

SECONDS_OF_SEVERAL = 2.5
"""Seconds for each unit of work, on a line of several hoists."""

MANY, SECONDS_OF_MANY = 40, 3.0
"""With more moves of one hoist, a schedule of the line is made shorter by the whole search, for so
many seconds at the least: it takes moves out and puts them back, which finds more there than
CP-SAT in a short time."""

SECONDS_A_UNIT = 4.0
"""Of that search for each unit of work."""

FIRST_SHARE, FIRST_OF_MANY, FIRST_OF_SEVERAL = 0.5, 0.3, 0.8
"""Share of the time for a first schedule; with many moves, which are soon made better; and of
several hoists, whose searches take longer to come to anything."""


def first_order(line: Instance, longest: int, clock: Clock) -> Schedule | None:
    """A first schedule of a line with time to spare, by the search that knows most ways to one."""
    share = FIRST_OF_MANY if len(line.moves) > MANY else FIRST_SHARE
    if line.several is not None:
        share = FIRST_OF_SEVERAL
    return least_cycle(limited(line, longest), clock.share(share)).schedule


def takes_known(line: Instance) -> bool:
    """Whether :func:`another_order` can begin from a schedule that keeps the rules of the line."""
    return line.several is None and len(line.moves) > MANY


def another_order(
    line: Instance,
    longest: int,
    clock: Clock,
    work: float,
    *,
    near: Schedule,
    least: int,
    known: Schedule | None = None,
) -> tuple[Schedule | None, bool]:
    """The shortest cycle that so much work finds, and whether there is none shorter.

    Parameters
    ----------
    line : Instance
        With time to spare.
    longest : int
        Nothing longer is of interest; ticks.
    clock : Clock
    work : float
        In CP-SAT's own measure, about a second.
    near : Schedule
        One of the same moves to begin near; it need not keep the rules of the instance.
    least : int
        Ticks of the least cycle without time to spare. Half of the work is for cycles nearer to
        it than to the longest of interest, where much is ruled out at once: a first cycle that
        is long is made shorter slowly.
    known : Schedule, optional
        One that keeps them, of a line for which :func:`takes_known` holds.
    """
    if line.several is not None:
        # How hoists give way is no matter of one model alone: the whole search, for as long.
        answer = least_cycle(limited(line, longest), clock.part(SECONDS_OF_SEVERAL * work))
        return answer.schedule, answer.status in ("optimal", "infeasible")
    if known is not None:
        seconds = max(SECONDS_OF_MANY, SECONDS_A_UNIT * work)
        answer = least_cycle(line, clock.part(seconds), known=known, again=True)
        return answer.schedule, answer.status == "optimal"
    found, closed = look_briefly(line, (least + longest) // 2, clock, work / 2, near)
    if found is None:
        return look_briefly(line, longest, clock, work / 2, near)
    return found, closed
