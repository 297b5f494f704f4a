"""Every way in which hoists may be late, by trying all: positions that tables with releases allow.

From the meaning of a table alone. A hoist is at rest, or on its way; whenever a motion may leave,
or arrive, it may do so now or any time later. So all states are those reached by any order of
leaving and arriving that the releases allow; on its way a hoist may be anywhere from where it
began to where it may go.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from hoistopt.exports.several import HoistMotion, Release, SeveralTable
from hoistopt.problem import Problem

State = tuple[tuple[int, bool], ...]
"""By hoist: motions that have arrived, and whether the next one is under way."""


@dataclass(frozen=True)
class Seen:
    """What can happen: how many states, and what is wrong with the first bad ones."""

    states: int
    too_close: str
    stuck: str


class Interleavings:
    """All states of the hoists of a table over some cycles."""

    def __init__(self, problem: Problem, table: SeveralTable, cycles: int = 2) -> None:
        assert problem.track is not None
        self.clearance = Fraction(problem.track.clearance)
        at = {n: Fraction(problem.station_by_name[name].position or 0)
              for n, name in table.stations}  # fmt: skip
        self.at = at | dict(table.waiting)
        self.hoists = table.hoists
        self.place = {hoist.number: index for index, hoist in enumerate(table.hoists)}
        self.cycles = cycles

    def motion(self, hoist: int, number: int) -> HoistMotion:
        """Counted from 0 through the list, then the cycles."""
        once, motions = self.hoists[hoist].once, self.hoists[hoist].motions
        if number < len(once):
            return once[number]
        return motions[(number - len(once)) % len(motions)]

    def cycle(self, hoist: int, number: int) -> int:
        """The cycle of a motion; one of a list has none, and 0 is told."""
        once, motions = self.hoists[hoist].once, self.hoists[hoist].motions
        return 0 if number < len(once) else (number - len(once)) // len(motions)

    def end(self, hoist: int) -> int:
        """How many motions are looked at."""
        table = self.hoists[hoist]
        return len(table.once) + self.cycles * len(table.motions)

    def needed(self, release: Release, cycle: int) -> int:
        """How many motions of the other hoist must be over by a release."""
        other = self.hoists[self.place[release.hoist]]
        if release.motion <= len(other.once):
            return release.motion
        return (cycle - release.cycles) * len(other.motions) + release.motion

    def _met(self, state: State, release: Release, cycle: int) -> bool:
        other = self.place[release.hoist]
        arrived, under_way = state[other]
        return arrived + (under_way and release.left is not None) >= self.needed(release, cycle)

    def _waits(self, state: State, hoist: int, stages: tuple[str, ...]) -> list[Release]:
        """What the next motion of a hoist still waits for."""
        number = state[hoist][0]
        motion, cycle = self.motion(hoist, number), self.cycle(hoist, number)
        return [
            release
            for release in motion.releases
            if release.before in stages and not self._met(state, release, cycle)
        ]

    def _span(self, state: State, hoist: int) -> tuple[Fraction, Fraction]:
        """Where a hoist may be."""
        number, under_way = state[hoist]
        if number >= self.end(hoist) and not under_way:
            last = self.at[self.motion(hoist, number - 1).place]
            return last, last
        motion = self.motion(hoist, number)
        here = self.at[motion.start]
        if not under_way:
            return here, here
        ends = self.at[motion.place]
        for release in self._waits(state, hoist, ("pass",)):
            assert release.stop is not None
            stop = self.at[release.stop]
            ends = min(ends, stop) if ends > here else max(ends, stop)
        return min(here, ends), max(here, ends)

    def _follows(self, state: State, hoist: int, other: int) -> bool:
        """Whether another hoist is on its way, and one has left, or gone on, to follow it.

        Then it is by time that the two keep their distance.
        """
        ahead, on_its_way = state[other]
        number, under_way = state[hoist]
        return on_its_way and any(
            release.left is not None
            and self.place[release.hoist] == other
            and self.needed(release, self.cycle(hoist, made)) == ahead + 1
            for made in range(number + under_way)
            for release in self.motion(hoist, made).releases
        )

    def _too_close(self, state: State) -> str:
        spans = [self._span(state, hoist) for hoist in range(len(state))]
        for left in range(len(state)):
            for right in range(left + 1, len(state)):
                apart = self.hoists[right].number - self.hoists[left].number
                near = spans[right][0] - spans[left][1] < apart * self.clearance
                if near and not (
                    self._follows(state, left, right) or self._follows(state, right, left)
                ):
                    return f"{state}: {spans}"
        return ""

    def all(self, first: State | None = None) -> Seen:
        """What can happen from a state on; None: from the beginnings of all hoists."""
        first = first or tuple((0, False) for _ in self.hoists)
        self.known = known = {first}
        todo = [first]
        too_close = stuck = ""
        while todo:
            state = todo.pop()
            too_close = too_close or self._too_close(state)
            following = []
            for hoist, (number, under_way) in enumerate(state):
                if number >= self.end(hoist):
                    continue
                stages = ("pass",) if under_way else ("lift", "leave")
                if not self._waits(state, hoist, stages):
                    after = (number + 1, False) if under_way else (number, True)
                    following.append((*state[:hoist], after, *state[hoist + 1 :]))
            some = any if self.hoists[0].motions else all
            ended = some(number >= self.end(hoist) for hoist, (number, _) in enumerate(state))
            if not following and not ended:
                stuck = stuck or f"{state}"
            for one in following:
                if one not in known:
                    known.add(one)
                    todo.append(one)
        return Seen(len(known), too_close, stuck)
