"""The rows of the table of one of several hoists: what a cycle and a list have alike."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction

from ...checker.grid.table import Table
from ...checker.hoists.ways import OnTable
from ...checker.programme.course import Table as OnceTable
from ..figures import Figures
from ..units import TimeUnit
from .limits import Limits
from .motion_table import HoistMotion, HoistTable, Release, SeveralTable, Stage
from .motions import Motion
from .ordered import Which
from .releases import Before


class Rows(ABC):
    """The motions of all hoists as rows, one tick being one unit.

    Parameters
    ----------
    table : OnTable
        The line and the steps on it.
    made : sequence of sequence of Motion
        What each hoist does, in the order of its rows.
    releases, limits : mapping
        By hoist and number of a motion.
    unit : TimeUnit
    numbers : mapping
        Of the stations.
    cycle, zero : int
        The cycle time, 0 where nothing is repeated, and the time from which starts count.
    places : iterable of Fraction
        Positions that other rows stop at: they are numbered too.
    """

    def __init__(
        self,
        table: OnTable,
        made: Sequence[Sequence[Motion]],
        releases: Mapping[Which, tuple[Before, ...]],
        limits: Mapping[Which, Limits],
        unit: TimeUnit,
        numbers: Mapping[str, int],
        cycle: int = 0,
        zero: int = 0,
        places: Iterable[Fraction] = (),
    ) -> None:
        self.table, self.made, self.releases, self.limits = table, made, releases, limits
        self.unit, self.numbers, self.cycle, self.zero = unit, numbers, cycle, zero
        self.problem = table.problem
        self.recipes = [recipe.name for recipe in self.problem.recipes]
        at = self.problem.station_by_name
        self.at = {name: Fraction(at[name].position or 0) for name in numbers}
        self.waiting = self._places(places)

    def tables(self, motions_of: Callable[[int], HoistTable], cycle: int) -> SeveralTable:
        """The tables of all hoists that do anything.

        Parameters
        ----------
        motions_of : callable
            Gives the table of a hoist by its number in track order, from 0.
        cycle : int
            Cycle time told in the tables; 0 where nothing is repeated.
        """
        problem = self.problem
        names = [hoist.name or "" for hoist in problem.hoists]
        return SeveralTable(
            line=problem.name,
            unit=self.unit,
            cycle=cycle,
            hoists=tuple(motions_of(hoist) for hoist, made in enumerate(self.made) if made),
            idle=tuple(name for name, made in zip(names, self.made, strict=True) if not made),
            stations=tuple((number, name) for name, number in self.numbers.items()),
            waiting=self.waiting,
            recipes=tuple(self.recipes),
            note=" ".join(problem.note.split()),
            length_unit=problem.length_unit,
        )

    def _places(self, more: Iterable[Fraction]) -> tuple[tuple[int, Fraction], ...]:
        """Places that are no stations, in order of position."""
        stations = {Fraction(s.position) for s in self.problem.stations if s.position is not None}
        ends = {end for made in self.made for m in made for end in (m.here, m.there)}
        stops = {b.stop for waits in self.releases.values() for b in waits if b.stop is not None}
        after = max(self.numbers.values()) + 1
        return tuple(enumerate(sorted((ends | stops | {*more}) - stations), start=after))

    def place(self, position: Fraction) -> int:
        """The number of a place that is stopped at without lifting or setting down."""
        for number, at in self.waiting:
            if at == position:
                return number
        return min(number for name, number in self.numbers.items() if self.at[name] == position)

    def motions(self, hoist: int) -> tuple[HoistMotion, ...]:
        """All rows of a hoist."""
        return tuple(self.row(hoist, number) for number in range(len(self.made[hoist])))

    def row(self, hoist: int, number: int) -> HoistMotion:
        """One row, by its number from 0."""
        if self.made[hoist][number].step is None:
            return self._travel(hoist, number)
        return self._move(hoist, number)

    def up(self, time: int) -> int:
        """Grid time in whole units, rounded up."""
        return self.unit.up(self.table.clock.fraction(time), self.problem)

    def down(self, time: int) -> int:
        """Grid time in whole units, rounded down."""
        return self.unit.down(self.table.clock.fraction(time), self.problem)

    def _common(self, hoist: int, number: int) -> dict:
        motion, limits = self.made[hoist][number], self.limits[hoist, number]
        start = self.down(motion.since - self.zero)
        return {
            "motion": number + 1,
            "planned": start,
            "leaves": start + self.up(motion.leaves - motion.since),
            **self._limited(start, limits),
            "lasts": self.up(motion.ends - motion.since),
            "releases": tuple(
                self._release(motion, before)
                for before in sorted(
                    self.releases.get((hoist, number), ()),
                    # What it waits for on its way: the nearest place first.
                    key=lambda one: abs(
                        (motion.here if one.stop is None else one.stop) - motion.here
                    ),
                )
            ),
        }

    def _limited(self, start: int, limits: Limits) -> dict:
        def later(time: int | None) -> int | None:
            return None if time is None else start + self.down(time)

        return {
            "latest": later(limits.latest),
            "alarm": later(limits.alarm),
            "clock_limit": later(limits.clock),
            "lasting_limit": later(limits.lasting),
        }

    def _release(self, motion: Motion, before: Before) -> Release:
        other = self.made[before.hoist][before.motion]
        stage: Stage = "lift"
        if before.stop is not None:
            stage = "pass"
        elif motion.step is not None:
            event = other.arrives if before.left is None else other.leaves + before.left
            stage = "leave" if event - before.cycles * self.cycle > motion.since else "lift"
        return Release(
            before=stage,
            hoist=before.hoist + 1,
            motion=before.motion + 1,
            cycles=before.cycles,
            left=None if before.left is None else self.up(max(0, before.left)),
            stop=None if before.stop is None else self.place(before.stop),
        )

    def _travel(self, hoist: int, number: int) -> HoistMotion:
        motion = self.made[hoist][number]
        before, after = self._neighbours(hoist, number)
        return HoistMotion(
            step=0,
            start=self.place(motion.here) if before is None else before,
            place=self.place(motion.there) if after is None else after,
            recipe=0,
            load=0,
            stage=0,
            fed_by=None,
            boundaries=0,
            feeds=None,
            wait_source_dwell=False,
            wait_target_empty=False,
            least=0,
            most=None,
            drip=0,
            busy=self.down(motion.ends - motion.since),
            **self._common(hoist, number),
        )

    @abstractmethod
    def _move(self, hoist: int, number: int) -> HoistMotion:
        """The row of a loaded move."""

    def _neighbours(self, hoist: int, number: int) -> tuple[int | None, int | None]:
        """Station that the step before leads to, and that the step after leads from."""
        made, steps = self.made[hoist], self.table.steps
        before = made[number - 1].step if number or self.cycle else None
        last = number + 1 == len(made) and not self.cycle
        after = None if last else made[(number + 1) % len(made)].step
        return (
            None if before is None else self.numbers[steps[before].target],
            None if after is None else self.numbers[steps[after].source],
        )


def figures_of(
    table: Table | OnceTable, made: Sequence[Sequence[Motion]], unit: TimeUnit
) -> list[Figures]:
    """Times of moves and windows of every hoist, for the moves it makes."""
    return [
        Figures(
            table.problem,
            unit,
            table.clock,
            times,
            table.routes,
            [table.steps[motion.step] for motion in motions if motion.step is not None],
        )
        for times, motions in zip(table.timetables, made, strict=True)
    ]
