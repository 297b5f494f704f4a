"""Where each of several hoists is at any time, built from the table alone.

Uniform acceleration, as in any textbook of mechanics: speed rises to the top speed and falls
to rest again, or turns half way where top speed is never reached. Without an acceleration
top speed counts at once. Times are grid times, positions exact fractions in the unit of
length; a square root that has no end is cut off far behind the last figure that matters.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from ...problem import Motion, Problem
from ...schedule import Step, Travel
from ..grid.clock import Clock
from ..grid.motion import Parts
from ..grid.table import Table


class OnTable(Protocol):
    """Steps on a line, and when each starts, in grid time, and by which hoist: a cycle's, or
    a programme's."""

    problem: Problem
    clock: Clock
    steps: tuple[Step, ...]
    hoists: list[int]
    starts: list[int]


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of a way: ``position + speed * t + bend * t**2``, t from `since`, in grid time."""

    since: int
    until: int
    position: Fraction
    speed: Fraction = Fraction(0)
    bend: Fraction = Fraction(0)

    def at(self, time: int | Fraction) -> Fraction:
        """The position at a time."""
        passed = Fraction(time) - self.since
        return self.position + self.speed * passed + self.bend * passed * passed


@dataclass(frozen=True, slots=True)
class Doing:
    """What a hoist does, in order of time: a step, or an empty travel.

    `number` is that of the step, or of the travel where `step` is False. `since` and `until`
    are grid times, `until` when the hoist is at rest at `there`, `ready` when it may lift.
    `between` are the ways with the least and with the greatest positions that the hoist may have,
    where a table has the time of the whole move only; `pieces` is then one way between them, to
    be drawn.
    """

    number: int
    step: bool
    since: int
    until: int
    ready: int
    here: Fraction
    there: Fraction
    pieces: tuple[Piece, ...]
    between: tuple[tuple[Piece, ...], tuple[Piece, ...]] | None = None

    @property
    def low(self) -> tuple[Piece, ...]:
        """The way with the least positions that the hoist may have."""
        return self.pieces if self.between is None else self.between[0]

    @property
    def high(self) -> tuple[Piece, ...]:
        """The way with the greatest positions that the hoist may have."""
        return self.pieces if self.between is None else self.between[1]


def all_doings(table: Table, parts: Sequence[Parts | None]) -> list[list[Doing]]:
    """What every hoist does in one cycle, in track order; see :func:`doings`."""
    return [doings(table, parts, hoist) for hoist in range(len(table.timetables))]


def doings(table: Table, parts: Sequence[Parts | None], hoist: int) -> list[Doing]:
    """What a hoist does in one cycle, each from where it stands, in order of time.

    Empty travels that the table does not state are put in: at once to where the next step
    begins. They may lead from the last step of a cycle to the first of the next.
    """
    steps = [
        step_doing(table, number, parts[number])
        for number, by in enumerate(table.hoists)
        if by == hoist and parts[number] is not None
    ]
    name = table.problem.hoists[hoist].name
    stated = [
        (table.clock.exact_ticks(travel.start), number, travel)
        for number, travel in enumerate(table.schedule.travels)
        if travel.hoist == name
    ]
    steps.sort(key=lambda doing: doing.since)
    if not steps:
        return []
    found: list[Doing] = []
    motion = table.problem.hoists[hoist].empty
    assert motion is not None
    for place, doing in enumerate(steps):
        found.append(doing)
        after = steps[(place + 1) % len(steps)]
        turned = 0 if place + 1 < len(steps) else table.cycle
        here, time = doing.there, doing.until
        between = [
            (start + shift, number, travel)
            for start, number, travel in stated
            for shift in (0, table.cycle)
            if doing.since <= start + shift < after.since + turned
        ]
        for start, number, travel in sorted(between, key=lambda one: one[0]):
            found.append(travel_doing(table.clock, motion, number, start, here, travel))
            here = found[-1].there
        if not between and here != after.here:
            straight = Travel(Fraction(0), "", after.here)
            found.append(travel_doing(table.clock, motion, -1, time, here, straight))
    return found


def empty_and_idle(
    table: Table, parts: Sequence[Parts | None], hoist: int
) -> dict[int, tuple[int, int]]:
    """Before each step of a hoist: how long it travelled empty since its last one, and rested.

    Settling counts as travelling, where the step follows the travel.
    """
    does = doings(table, parts, hoist)
    found: dict[int, tuple[int, int]] = {}
    for place, doing in enumerate(does):
        if not doing.step:
            continue
        back, travelled = place - 1, 0
        while not does[back].step:
            before = does[back]
            travelled += (before.ready if back == place - 1 else before.until) - before.since
            back -= 1
        last = does[back]
        turned = table.cycle if last.since >= doing.since else 0
        gap = doing.since + turned - last.until
        found[doing.number] = travelled, gap - travelled
    return found


def step_doing(table: OnTable, number: int, parts: Parts | None) -> Doing:
    """A loaded move: what its hoist does, by the number of the step."""
    assert parts is not None
    step, at = table.steps[number], table.problem.station_by_name
    here, there = at[step.source].position, at[step.target].position
    motion = table.problem.hoists[table.hoists[number]].loaded
    assert here is not None and there is not None and motion is not None
    since = table.starts[number]
    if parts.lift is None:
        return _measured(table.clock, motion, number, since, parts, Fraction(here), Fraction(there))
    leaves = since + parts.lift + parts.drip
    ways = list(trip(table.clock, motion, leaves, Fraction(here), Fraction(there)))
    until = since + parts.total
    arrives = ways[-1].until if ways else leaves
    pieces = (
        Piece(since, leaves, Fraction(here)),
        *ways,
        Piece(arrives, until, Fraction(there)),
    )
    return Doing(number, True, since, until, until, Fraction(here), Fraction(there), pieces)


def _measured(
    clock: Clock,
    motion: Motion,
    number: int,
    since: int,
    parts: Parts,
    here: Fraction,
    there: Fraction,
) -> Doing:
    """A loaded move of which a table has the time: when in it the hoist travels is not known.

    It goes one way and is never faster than its top speed, so it is between two ways: one that
    leaves as soon as the load has dripped, and one that arrives in the end.
    """
    leaves, until = since + parts.drip, since + parts.total
    if here == there:
        rest = (Piece(since, until, here),)
        return Doing(number, True, since, until, until, here, there, rest)
    speed = Fraction(motion.speed) / clock.per_unit * (1 if there > here else -1)
    takes = clock.exact(abs(there - here) / Fraction(motion.speed))
    soon = (
        Piece(since, leaves, here),
        Piece(leaves, leaves + takes, here, speed),
        Piece(leaves + takes, until, there),
    )
    late = (Piece(since, until - takes, here), Piece(until - takes, until, here, speed))
    drawn = (
        Piece(since, leaves, here),
        Piece(leaves, until, here, (there - here) / (until - leaves)),
    )
    between = (late, soon) if there > here else (soon, late)
    return Doing(number, True, since, until, until, here, there, drawn, between)


def travel_doing(
    clock: Clock, motion: Motion, number: int, start: int, here: Fraction, travel: Travel
) -> Doing:
    """An empty travel; the swing has to die down before anything is lifted."""
    ways = tuple(trip(clock, motion, start, here, travel.to))
    until = ways[-1].until if ways else start
    ready = until + (clock.exact(motion.settling) if ways else 0)
    return Doing(number, False, start, until, ready, here, travel.to, ways)


def trip(
    clock: Clock, motion: Motion, start: int, here: Fraction, there: Fraction
) -> Iterator[Piece]:
    """An empty or loaded trip from rest to rest; none where there is no way to go."""
    way = abs(there - here)
    if not way:
        return
    sign = 1 if there > here else -1
    speed = Fraction(motion.speed) / clock.per_unit
    if motion.acceleration is None:
        yield Piece(start, start + clock.exact(way / Fraction(motion.speed)), here, sign * speed)
        return
    bend = Fraction(motion.acceleration) / clock.per_unit**2 / 2
    gaining = speed / (2 * bend)
    if way < speed * gaining:
        # The root taken on the grid, as for the time of the whole trip.
        half = clock.root(way / Fraction(motion.acceleration))
        yield Piece(start, start + half, here, Fraction(0), sign * bend)
        top, middle = 2 * bend * half, here + sign * bend * half * half
        yield Piece(start + half, start + 2 * half, middle, sign * top, -sign * bend)
        return
    up = clock.exact(Fraction(motion.speed) / Fraction(motion.acceleration))
    even = clock.exact(way / Fraction(motion.speed)) - up
    risen = sign * bend * up * up
    yield Piece(start, start + up, here, Fraction(0), sign * bend)
    yield Piece(start + up, start + up + even, here + risen, sign * speed)
    yield Piece(start + up + even, start + even + 2 * up, there - risen, sign * speed, -sign * bend)
