"""A programme of several hoists in whole units, in which hoists wait until their ways are free.

As :mod:`..rounding` does it for a cycle: motions are moved, as little as their order allows, and
where that would break a window a hoist follows another as the programme has it. The checker
looks at what comes out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from ....base.errors import InputError
from ....checker import (
    ProgrammeRefused,
    ProgrammeReplay,
    accepted_programme,
    replay_programme,
)
from ....graph.algorithms.longest_path import longest_paths
from ....graph.arc import Arc, EventGraph, length_of
from ....problem import Problem
from ....schedule import Programme, Repeats, Step, Travel
from ...units import TimeUnit
from ..motion_table import shown_cycles
from ..ordered import Ordered, Pair, eased
from ..waits import Event
from .motions import motions_once, ordered_once
from .waits import OnceWait, OnceWaits


@dataclass(frozen=True)
class Tied:
    """Motions after the list, those of a cycle, which start at fixed times after it begins.

    Attributes
    ----------
    first : tuple of int
        By hoist: how many motions come before, in the list.
    after : tuple of tuple of int
        By hoist and motion from there on: when it starts after the cycle begins, in units.
    begins : Fraction
        When the cycle begins as planned, in units.
    every, through, cycles : int
        The cycle time in units, the cycles that a load passes at the most, and those told here.
    """

    first: tuple[int, ...]
    after: tuple[tuple[int, ...], ...]
    begins: Fraction
    every: int
    through: int
    cycles: int


@dataclass(frozen=True)
class WholeOnce:
    """A programme in whole units, one tick being one unit.

    Attributes
    ----------
    plain, strict : ProgrammeReplay
        Its accepted replays: on the line, and on the line with windows in whole units.
    joins : int
        When the cycle after it begins; 0 where there is none.
    """

    plain: ProgrammeReplay
    strict: ProgrammeReplay
    joins: int = 0


def whole_once(
    given: ProgrammeReplay, strict: Problem, unit: TimeUnit, tied: Tied | None = None
) -> WholeOnce:
    """The same motions in the same order, in whole units, ways begun when free where possible.

    Nothing starts before it is planned, but where only rounding down to the unit keeps a window.

    Parameters
    ----------
    given : ProgrammeReplay
        Of a programme that the checker accepted.
    strict : Problem
        The line with its windows in whole units.
    unit : TimeUnit
    tied : Tied, optional
        Its motions that are those of a cycle.

    Raises
    ------
    InputError
        When no timing of these motions does that and keeps every window.
    """
    timing, lacking = _Timing(given, strict, unit, tied), []
    for rounded in (ceil, floor):
        found = timing.starts(rounded)
        if isinstance(found, int):
            lacking.append(found)
            continue
        made, joins = timing.programme(*found), found[1]
        try:
            plain = accepted_programme(given.problem, made, given.state, lost=given.lost)
            kept = accepted_programme(strict, made, given.state, lost=given.lost)
            return WholeOnce(plain, kept, joins)
        except ProgrammeRefused:
            continue
    short = f"; they fall short by {min(lacking)} {unit.label}" if lacking else ""
    raise InputError(
        "a programme that leaves time for hoists to wait for one another: no timing of these "
        f"moves in whole {unit.label} keeps every window{short}",
        field="moves",
        way_out="Choose a finer unit, plan again with tick in the problem file set to it, with "
        "wider windows, or with a margin: it leaves hoists time between their moves.",
    )


class _Timing:
    """Unknowns are the starts of the motions of the list and, last, when the cycle begins."""

    def __init__(
        self, given: ProgrammeReplay, strict: Problem, unit: TimeUnit, tied: Tied | None
    ) -> None:
        self.given, self.tied = given, tied
        self.units = unit.per_unit_of(given.problem)
        self.course = replay_programme(strict, given.programme, given.state, given.lost).course
        self.motions = motions_once(self.course)
        if tied is not None:
            self.motions = [
                made[: first + len(after)]
                for made, first, after in zip(self.motions, tied.first, tied.after, strict=True)
            ]
        self.ordered = ordered_once(self.course, self.motions)
        self.scale = self.units / self.course.table.clock.per_unit
        counts = [len(made) for made in self.motions] if tied is None else tied.first
        self.nodes = [(hoist, n) for hoist, count in enumerate(counts) for n in range(count)]
        self.index = {motion: node for node, motion in enumerate(self.nodes)}
        self.origin, self.joins = len(self.nodes), len(self.nodes) + 1
        self.wanted = [
            Fraction(self.motions[hoist][n].since) * self.scale for hoist, n in self.nodes
        ]

    def starts(self, rounded: Callable[[Fraction], int]) -> tuple[list[int], int] | int:
        """Starts, and when the cycle begins; or how much time is lacking, in units."""
        begins = Fraction(0) if self.tied is None else self.tied.begins
        least = [
            Arc(self.origin, node, rounded(time), 0, "hoist")
            for node, time in (*enumerate(self.wanted), (self.joins, begins))
        ]
        count = len(self.nodes) + 2

        def timed(
            skipped: Mapping[Pair, int],
        ) -> tuple[tuple[list[int], int] | int, list[Ordered]]:
            waits = OnceWaits(self.course, self.motions, self.ordered, skipped)
            between = [
                (arc, wait.pair)
                for wait in (*waits.always(), *waits.maxima())
                if (arc := self._arc(waits, wait)) is not None
            ]
            graph = EventGraph(count, self.origin, (*least, *(arc for arc, _ in between)))
            found, circuit = longest_paths(graph.weights(Fraction(0)), [0] * count)
            if found is not None:
                return (found[: self.origin], found[self.joins]), []
            pairs = [between[n - len(least)][1] for n in circuit if n >= len(least)]
            against = [pair for pair in pairs if pair is not None]
            return length_of(graph.arcs[n] for n in circuit), against

        return eased(timed)

    def _arc(self, waits: OnceWaits, wait: OnceWait) -> Arc | None:
        """Between unknowns; None where both ends hang on the same."""
        (tail, before), (head, after) = (self._node(waits, e) for e in (wait.tail, wait.head))
        if tail == head:
            return None
        return Arc(tail, head, ceil(wait.length * self.scale + before - after), 0, wait.rule)

    def _node(self, waits: OnceWaits, event: Event | None) -> tuple[int, Fraction]:
        """The unknown that an event hangs on, and how long after it it is, in units."""
        if event is None:
            return self.origin, Fraction(0)
        hoist, number, _ = event
        later = (waits.planned(event) - waits.motion(event).since) * self.scale
        if (hoist, number) in self.index:
            return self.index[hoist, number], later
        assert self.tied is not None
        return self.joins, later + self.tied.after[hoist][number - self.tied.first[hoist]]

    def programme(self, starts: Sequence[int], joins: int) -> Programme:
        """The programme with its motions at these times, all travels stated."""
        names = [hoist.name or "" for hoist in self.given.problem.hoists]
        runs = {
            run.number: seen for run, seen in zip(self.course.runs, self.given.runs, strict=True)
        }
        steps: list[Step] = []
        travels: list[Travel] = []
        for hoist, made in enumerate(self.motions):
            if made and made[0].step is None:
                # Where it begins; without this its first travel would be taken to lead there.
                travels.append(Travel(Fraction(0), names[hoist], made[0].here))
            for number, motion in enumerate(made):
                start = self._start(hoist, number, starts, joins)
                if motion.step is None:
                    travels.append(Travel(Fraction(start), names[hoist], motion.there))
                    continue
                run = runs[motion.step]
                steps.append(
                    Step(start, run.source, run.target, run.recipe, run.load, run.stage,
                         hoist=names[hoist])
                )  # fmt: skip
        if self.tied is None:
            return Programme(self.units, tuple(steps), travels=tuple(travels))
        return self._going_on(self.tied, steps, travels, starts, joins)

    def _going_on(
        self,
        tied: Tied,
        steps: Sequence[Step],
        travels: Sequence[Travel],
        starts: Sequence[int],
        joins: int,
    ) -> Programme:
        """The programme up to the end of a whole cycle, from which it goes on."""
        made = self.motions
        listed = [
            s for (h, n), s in zip(self.nodes, starts, strict=True) if made[h][n].step is not None
        ]
        planned = [
            after
            for hoist, times in enumerate(tied.after)
            for number, after in enumerate(times[: len(times) // tied.cycles])
            if made[hoist][tied.first[hoist] + number].step is not None
        ]
        since, until = shown_cycles(joins, tied.every, max(listed), planned, tied.through)
        return Programme(
            self.units,
            tuple(step for step in steps if step.start < until),
            Repeats(since, tied.every),
            tuple(travel for travel in travels if travel.start < until),
        )

    def _start(self, hoist: int, number: int, starts: Sequence[int], joins: int) -> int:
        if (hoist, number) in self.index:
            return starts[self.index[hoist, number]]
        assert self.tied is not None
        return joins + self.tied.after[hoist][number - self.tied.first[hoist]]
