"""By how many per cent all times of the hoist must fall before the cycle gets shorter."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ...base.clock import Clock, OutOfTime
from ...base.errors import HoistoptError
from ...checker import accepted
from ...conflict.soft import held_to
from ...instance import Instance, build_instance
from ...instance.limits import Limit
from ...planning.found import shortener
from ...problem import Problem
from ...schedule import Schedule
from ...solver import least_cycle, lowest_cycle
from .thresholds import Reached
from .today import Order, Today, order_of


def fewest_per_cent(
    today: Today,
    limit: Limit,
    proved: int,
    reached: Reached | None,
    clock: Clock,
    *,
    prove: bool,
) -> tuple[int, Reached | None]:
    """The fewest whole per cents that make the cycle shorter: a proved bound, and the fewest found.

    Every per cent is a line of its own, for speeds, lifts and tables change together and
    each of its times is rounded to ticks. A quicker hoist may even do harm, as a load then
    stands longer in the next tank; so each is asked, from the bound upwards.

    Parameters
    ----------
    today : Today
    limit : Limit
        Of kind "hoist".
    proved : int
        Fewer per cents gain nothing; known from before.
    reached : Reached or None
        The fewest known to gain.
    clock : Clock
    prove : bool
        Whether to search; otherwise only the orders of moves at hand get the new times.

    Returns
    -------
    proved : int
        One more than `limit` allows where no per cent gains.
    reached : Reached or None
    """
    most = int(limit.far or 0)
    upper = most + 1 if reached is None else reached.ticks
    orders = [today.order]
    if reached is not None:
        other = _order_of(today, limit, reached, clock)
        orders += [] if other is None else [other]
    for line in _lines(today, limit, range(proved, upper), clock):
        schedule = next(filter(None, (line.retimed(today, order, clock) for order in orders)), None)
        if schedule is not None:
            reached = Reached(limit, line.percent, schedule)
            break
    if not prove:
        return proved, reached
    upper = most + 1 if reached is None else reached.ticks
    for line in _lines(today, limit, range(proved, upper), clock):
        if line.problem is None or line.instance is None:  # no whole tick fits a window
            proved = line.percent + 1
            continue
        held = held_to(line.instance, today.cycle - 1)
        if lowest_cycle(held) < today.cycle:
            found = least_cycle(held, clock, shorten=shortener(line.problem))
            if found.schedule is not None:
                accepted(line.problem, found.schedule, made_here=True)
                return proved, Reached(limit, line.percent, found.schedule)
            if found.status != "infeasible":
                break
        proved = line.percent + 1
    return proved, reached


@dataclass(frozen=True)
class _Line:
    """The line with the hoist quicker by so many per cent; None where there is none."""

    percent: int
    problem: Problem | None = None
    instance: Instance | None = None

    def retimed(self, today: Today, order: Order, clock: Clock) -> Schedule | None:
        """An order with the times of this line, if its cycle is shorter than today's."""
        if self.problem is None or self.instance is None:
            return None
        return today.retimed(self.problem, self.instance, order, clock=clock)


KEPT = 2_000_000
"""Pairs of moves of all lines kept; each takes some bytes."""


def _lines(today: Today, limit: Limit, percents: range, clock: Clock) -> Iterator[_Line]:
    """One line after another, until the clock is over."""
    for percent in percents:
        try:
            yield _line(today, limit, percent, clock)
        except OutOfTime:
            return


def _line(today: Today, limit: Limit, percent: int, clock: Clock) -> _Line:
    """A line; as each per cent is asked several times, made once where there is room to keep it."""
    clock.check()
    kept: dict[tuple[Limit, int], _Line] = today.quicker
    if (found := kept.get((limit, percent))) is None:
        found = _made(today, limit, percent, clock)
        if (len(kept) + 1) * len(today.instance.moves) ** 2 <= KEPT:
            kept[limit, percent] = found
    return found


def _made(today: Today, limit: Limit, percent: int, clock: Clock) -> _Line:
    try:
        problem = limit.changed(
            today.problem, limit.stepped(percent, today.instance.ticks_per_unit)
        )
        instance = build_instance(problem, today.instance.degree, clock, several=True)
        return _Line(percent, problem, instance)
    except OutOfTime:
        raise
    except HoistoptError:
        return _Line(percent)


def _order_of(today: Today, limit: Limit, found: Reached, clock: Clock) -> Order | None:
    """The order of moves of what is known to gain."""
    try:
        line = _line(today, limit, found.ticks, clock)
    except OutOfTime:
        return None
    if line.problem is None or line.instance is None:
        return None
    return order_of(line.problem, line.instance, found.schedule)
