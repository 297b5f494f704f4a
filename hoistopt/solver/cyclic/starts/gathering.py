"""A start in which loads gather at a stage: they come one right after another, and leave likewise.

Where a stage holds several loads for long, in a group of tanks or in a station of several places,
the hoist need not serve both ends of the line by turns. It brings load after load there, each close
behind the one before, until the stage is full or the first of them has to leave; then it takes
load after load away. The line before that stage and the line after it are solved as lines of
their own, with one set of loads a cycle, which takes milliseconds; the cycle of the whole is as
many repetitions of the one, and then as many of the other. Such cycles are far from copies of
shorter ones, and from what these lead to by changes of some moves. They waste time where one half
gives way to the other; moves taken out and put back close that up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from ....base.clock import Clock
from ....instance import Instance, Stay
from ....schedule import Schedule
from ...model.decode import decode_starts, starts_counted_on
from .copies import fewer_sets
from .groups import Group, groups_of, merged, retimed, unrolled
from .sections import sections
from .smaller_line import Search

SECONDS, PLACES = 0.5, 3
"""Most for the cycle of a part of the line; and stages at which a line is cut, at the most."""

REACHES = ((0, 1.0), (2, 0.5), (4, 0.4))
"""Moves so near in the order may change places when a cycle is given times; and the most for that,
of the time that is left."""

HARDLY_LOOSE = 0.12
"""As :data:`LOOSE`; with more, the last of :data:`REACHES` is in vain."""

LOOSE = 0.2
"""By what part of its maximum a load may stay too long at the stage, in what is given times."""


def gathered(instance: Instance, clock: Clock, search: Search) -> Schedule | None:
    """Return a cycle in which loads gather at a stage.

    Parameters
    ----------
    search : callable
        How the parts of the line are searched.

    Returns
    -------
    Schedule or None
        None where the line has no stage for it, or no such cycle could be given times.
    """
    groups, sets = groups_of(instance), instance.degree
    for at_once in (True, False):
        for half in _all_halves(instance, groups, clock, search, careful=not at_once):
            numbers = half.at_once(sets) if at_once else half.in_parts(sets)
            if numbers is None:
                continue
            whole = half.schedule(numbers)
            if groups:
                whole = unrolled(instance, groups, whole, 1)
            reaches = REACHES if half.too_long(max(numbers)) <= HARDLY_LOOSE else REACHES[:-1]
            for reach, share in reaches:
                if clock.over:
                    return None
                timed = retimed(instance, whole, clock.share(share), (reach,), hasty=reach > 0)
                if timed is not None:
                    return timed
    return None


def gathered_cycle(instance: Instance, clock: Clock, search: Search) -> int | None:
    """Return about how many ticks a cycle takes in which all loads gather at a stage at once.

    To compare degrees by, before any of them is searched. What has to be closed up for maxima at
    the stage makes it longer by as much; what may be closed up besides is not counted.

    Parameters
    ----------
    search : callable
        How the parts of the line are searched.

    Returns
    -------
    int or None
        None where the line has no stage for it, or loads would stay there far too long.
    """
    sets = instance.degree
    halves = _all_halves(instance, groups_of(instance), clock, search, careful=False)
    about = [half.about(sets) for half in halves if half.at_once(sets) is not None]
    return min(about, default=None)


@dataclass(frozen=True)
class _Halves:
    """The cycles of both parts of a line, put together for one set of loads.

    Attributes
    ----------
    line : Instance
        The whole line, its groups of tanks merged.
    starts, takes : array (moves,)
        Of one set: starts in ticks, each part counted from its own first move; and how long moves
        take.
    after : array (moves,)
        Whether a move comes after the stage.
    pitches : int, int
        Ticks from one set to the next before the stage and after it.
    stays : tuple of Stay
        At the stage.
    away : int
        The longest travel of the empty hoist.
    room : int
        Loads that the stage holds.
    """

    line: Instance
    starts: NDArray[np.int64]
    takes: NDArray[np.int64]
    after: NDArray[np.bool_]
    pitches: tuple[int, int]
    stays: tuple[Stay, ...]
    away: int
    room: int

    @classmethod
    def of(cls, line: Instance, place: int, clock: Clock, search: Search) -> Self | None:
        """Solve both parts of a line; None where it has no such parts, or one no schedule."""
        one = fewer_sets(line, 1)
        cut = sections(one, place)
        room = line.places[place].capacity
        if cut is None or room is None:
            return None
        before, after, stays = cut
        starts = np.zeros(len(one.moves), np.int64)
        pitches = []
        for part in (before, after):
            cycle = search(part.line, clock.part(SECONDS)).schedule
            if cycle is None:
                return None
            counted = np.array(starts_counted_on(part.line, cycle))
            starts[list(part.moves)] = counted - counted.min()
            pitches.append(cycle.cycle)
        later = np.zeros(len(one.moves), np.bool_)
        later[list(after.moves)] = True
        takes = np.array([max(r.duration for r in move.routes) for move in one.moves])
        away = max(map(max, line.empty))
        return cls(line, starts, takes, later, (pitches[0], pitches[1]), stays, away, room)

    @property
    def most(self) -> int:
        """Sets of loads that may gather: none of them stays too long, as far as is counted here."""
        sets = self.room // len(self.stays)
        while sets > 1 and self.too_long(sets) > 0:
            sets -= 1
        return sets

    def at_once(self, sets: int) -> list[int] | None:
        """Return how many sets gather at a time: all, if none would stay far too long."""
        holds = sets <= self.room // len(self.stays)
        return [sets] if holds and self.too_long(sets) <= LOOSE else None

    def in_parts(self, sets: int) -> list[int] | None:
        """Return how many sets gather at a time: as many as may, then others one by one."""
        most = min(self.most, sets)
        return [most] * (sets // most) + [1] * (sets % most) if most > 1 else None

    def cycle_of(self, sets: int) -> int:
        """Ticks for so many sets, if they gathered at once."""
        leave = self._leave(sets)
        end = (self.starts + self.takes)[self.after].max()
        return int(leave + (sets - 1) * self.pitches[1] + end + self.away)

    def about(self, sets: int) -> int:
        """Ticks as of :func:`gathered_cycle`."""
        return round(self.cycle_of(sets) * (1 + self.too_long(sets)))

    def _leave(self, sets: int) -> int:
        """When the first move after the stage starts: all loads are there, and may leave."""
        come, go = self.pitches
        in_time = (self.starts + self.takes)[~self.after].max() + (sets - 1) * come + self.away
        for stay in self.stays:
            there = self.starts[stay.arrival] + self.takes[stay.arrival] + stay.least
            soonest = there - self.starts[stay.departure]
            in_time = max(in_time, soonest, soonest + (sets - 1) * (come - go))
        return int(in_time)

    def too_long(self, sets: int) -> float:
        """By what part of its maximum some load stays too long at the stage; 0 if none."""
        leave, (come, go) = self._leave(sets), self.pitches
        worst = 0.0
        for stay in self.stays:
            if stay.most is None:
                continue
            there = self.starts[stay.arrival] + self.takes[stay.arrival]
            first = leave + self.starts[stay.departure] - there
            longest = max(first, first + (sets - 1) * (go - come))
            worst = max(worst, (longest - stay.most) / max(1, stay.most))
        return float(worst)

    def schedule(self, numbers: list[int]) -> Schedule:
        """Return the cycle in which so many sets at a time gather, and then so many, and so on."""
        now, rows = 0, []
        for sets in numbers:
            number = np.arange(sets)[:, None]
            pitch = np.where(self.after, self.pitches[1], self.pitches[0])
            begin = np.where(self.after, self._leave(sets), 0)
            rows.append(now + begin + number * pitch + self.starts)
            now += self.cycle_of(sets)
        starts = np.concatenate(rows).ravel().tolist()
        return decode_starts(self.line, starts, now)


def _all_halves(
    instance: Instance,
    groups: Sequence[Group],
    clock: Clock,
    search: Search,
    *,
    careful: bool,
) -> list[_Halves]:
    """Cut a line at the longest stages where loads may gather; the shortest cycle first.

    Parameters
    ----------
    careful : bool
        How tanks are merged, as of :func:`.groups.merged`.
    """
    line = merged(instance, groups, careful=careful) if groups else instance
    least = {
        place: max(stay.least for stay in stays)
        for place, stays in line.stays_at.items()
        if (line.places[place].capacity or 1) > 1
    }
    longest = sorted(least, key=lambda place: (-least[place], place))[:PLACES]
    cut = [_Halves.of(line, place, clock, search) for place in longest]
    halves = [half for half in cut if half is not None]
    return sorted(halves, key=lambda half: half.cycle_of(line.degree))
