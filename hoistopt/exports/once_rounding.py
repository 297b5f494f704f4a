"""A programme in whole units of a controller, checked again on those very numbers."""

from __future__ import annotations

from fractions import Fraction

from ..base.errors import InputError
from ..checker import (
    ProgrammeRefused,
    ProgrammeReplay,
    accepted,
    accepted_programme,
    replay_programme,
)
from ..graph.algorithms.longest_path import longest_paths
from ..graph.arc import Arc, EventGraph
from ..graph.from_programme import programme_graph, timed_programme
from ..problem import Problem
from ..schedule import Programme, Schedule, Step
from .joining import Joined, Place, joined
from .readback.proof import schedule_of
from .strict import strict_problem
from .table import SequencerTable
from .units import TimeUnit


class WholeProgramme:
    """A programme in whole units of a controller, one tick being one unit; checked again.

    Attributes
    ----------
    seen, strict : ProgrammeReplay
        On the line, and on the line with windows in whole units; with cycles after it.
    places : tuple of Place or None
        By run: the step of the cycle it is.
    once : int
        Steps of the list.
    joins : int
        When the cycle begins.
    cycle : Replay or None
        Of the cycle, on the line with windows in whole units.
    """

    def __init__(
        self,
        problem: Problem,
        given: ProgrammeReplay,
        unit: TimeUnit,
        begins: Joined | None = None,
        cycle: SequencerTable | None = None,
    ) -> None:
        self.problem, self.unit = problem, unit
        self.per = unit.per_unit_of(problem)
        lined = strict_problem(problem, unit)
        exact = given if begins is None else begins.seen
        places = (None,) * len(exact.runs) if begins is None else begins.places
        self.once = sum(place is None for place in places)
        joins = Fraction(0) if begins is None else begins.joins
        wanted = [run.start * self.per for run in exact.runs[: self.once]]
        schedule = None if cycle is None else schedule_of(problem, cycle)
        for starts, at in self._timings(lined, exact, places, wanted, joins * self.per, cycle):
            made = self._programme(exact, starts)
            try:
                self.seen, self.places = self._replayed(problem, made, given, schedule, at)
                self.strict, _ = self._replayed(lined, made, given, schedule, at)
                self.cycle = None if schedule is None else accepted(lined, schedule)
            except ProgrammeRefused:
                continue
            self.joins = at
            return
        raise InputError(
            f"a time unit fine enough: in whole {unit.label} no timing of these moves keeps "
            "every window and leaves the hoist its time",
            field="time unit",
            value=unit.key,
            way_out="Choose a finer unit, or plan again with tick in the problem file set to it.",
        )

    def _timings(
        self,
        lined: Problem,
        exact: ProgrammeReplay,
        places: tuple[Place | None, ...],
        wanted: list[Fraction],
        joins: Fraction,
        cycle: SequencerTable | None,
    ) -> list[tuple[list[int], int]]:
        """Starts, and the beginning of the cycle, worth a replay: as they are, else moved."""
        found = []
        if all(time.denominator == 1 for time in (joins, *wanted)):
            found.append(([int(start) for start in wanted], int(joins)))
        narrow = replay_programme(lined, exact.programme, exact.state, exact.lost)
        graph = programme_graph(timed_programme(narrow))
        origin, at = self.once, self.once + 1

        def node(number: int) -> tuple[int, int]:
            """Where a move stands among the unknowns, and how long after that it starts."""
            if number == graph.anchor:
                return origin, 0
            place = places[number]
            if place is None:
                return number, 0
            assert cycle is not None
            return at, place.cycle * cycle.cycle + cycle.steps[place.step].start

        scale = self.per / graph.per_unit
        arcs = []
        for arc in graph.arcs:
            (tail, before), (head, after) = node(arc.tail), node(arc.head)
            if tail != head:
                length = -((-arc.length * scale) // 1) + before - after
                arcs.append(Arc(tail, head, length, 0, arc.rule))
        weights = EventGraph(self.once + 2, origin, tuple(arcs)).weights(Fraction(0))
        for rounded in (round, lambda time: time // 1):
            labels = [rounded(start) for start in wanted]
            starts, _ = longest_paths(weights, [*labels, 0, rounded(joins)])
            if starts is not None and not starts[origin]:
                found.append((starts[: self.once], starts[at]))
        return found

    def _programme(self, exact: ProgrammeReplay, starts: list[int]) -> Programme:
        steps = (
            Step(start, run.source, run.target, run.recipe, run.load, run.stage)
            for start, run in zip(starts, exact.runs, strict=False)
        )
        return Programme(self.per, tuple(steps))

    def _replayed(
        self,
        line: Problem,
        made: Programme,
        given: ProgrammeReplay,
        then: Schedule | None,
        joins: int,
    ) -> tuple[ProgrammeReplay, tuple[Place | None, ...]]:
        seen = accepted_programme(line, made, given.state, lost=given.lost)
        if then is None:
            return seen, (None,) * len(made)
        begins = joined(seen, accepted(line, then), joins / self.per)
        return begins.seen, begins.places
