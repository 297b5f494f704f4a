"""Passes over the diagram: from one end of the track to the other, layer by layer."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from .bounds.aligned import AlignedBounds, no_bounds
from .bounds.completion import CompletionBounds, completion_bounds
from .bounds.travel import NEVER, travel_bounds
from .expand.kernel import expand
from .expand.successors import Cut, NextCut, Successors, no_cut
from .layers.distinct import distinct_rows
from .layers.merging import reduce_states
from .layers.states import Layer, StateArrays, StateTable, crossings_of
from .line import Line
from .threads import Threads
from .times.span import MOST_SLOPE, Ints, Span
from .transitions.batch import Batch, batches
from .transitions.crossings import Pattern, Transition
from .transitions.finder import TransitionFinder

_AT_ONCE = 1 << 15
"""Pairs of a state and a transition that a thread works on at a time."""

_TERMINALS = 20
"""So many of the cheapest terminals are kept at a time."""


@dataclass
class Pass:
    """What a pass came to.

    Attributes
    ----------
    layers : list of Layer
        By cut, from the left.
    complete : bool
        Whether it reached its end, or a layer without states.
    exact : bool
        Whether no states were merged.
    terminals : list of (int, int, Transition)
        Last steps of paths through the diagram: number of the table in the last layer, of the
        state in it, and the transition at the last station.
    examined, kept : int
        Pairs of a state and a transition that were examined, and states that were kept.
    overflow : bool
        Whether it gave up, as packed times cannot hold what would be needed.
    """

    layers: list[Layer] = field(default_factory=list)
    complete: bool = False
    exact: bool = True
    terminals: list[tuple[int, int, Transition]] = field(default_factory=list)
    examined: int = 0
    kept: int = 0
    overflow: bool = False

    @property
    def refuted(self) -> bool:
        """Whether the pass proves that no cycle time of its span has a schedule."""
        return self.complete and not self.terminals


@dataclass(frozen=True)
class _Job:
    """Some states of a table, to be expanded by the transitions of a batch.

    `successors` tells how these cross the next cut; None at the last station.
    """

    table: int
    states: StateArrays
    begin: int
    end: int
    batch: Batch
    successors: Successors | None
    cut: NextCut
    bounds: AlignedBounds
    floor: int

    def done(self, span: Span) -> tuple[int, Ints, Ints, Ints, Ints]:
        """Do it; what is returned is that of :func:`~.expand.kernel.expand`."""
        return expand(
            self.states, self.begin, self.end, self.batch.arcs, self.cut, self.bounds,
            self.floor, span.low, span.high,
        )  # fmt: skip


class Track:
    """A line, for passes from its left end; transitions are found once for all of them.

    Parameters
    ----------
    line : Line
        For backward passes, the mirrored line.
    threads : int
        Threads that most of the work is done in. The outcome is the same however many.

    Attributes
    ----------
    known : int
        Transitions found so far, by all passes; they stay in memory.
    """

    def __init__(self, line: Line, threads: int = 1) -> None:
        self.line, self.known = line, 0
        self._threads = Threads(threads)
        self._cuts = [Cut(line, cut) for cut in range(len(line.lengths))]
        stations = range(len(line.stations))
        self._finders = [TransitionFinder(line, number) for number in stations]
        self._transitions: list[dict[Pattern, list[Transition]]] = [{} for _ in stations]
        self._batches: list[dict[Pattern, list[Batch]]] = [{} for _ in stations]
        self._passing: list[dict[Pattern, dict[bytes, int]]] = [{} for _ in stations]
        self._successors: list[dict[tuple[Pattern, int], Successors]] = [{} for _ in stations]
        self._rest = travel_bounds(line)

    def transitions(self, number: int, pattern: Pattern) -> list[Transition]:
        """Return all transitions of a station from states with a pattern."""
        known = self._transitions[number]
        if pattern not in known:
            finder = self._finders[number]
            known[pattern] = finder.after(pattern) if number else finder.first()
            self.known += len(known[pattern])
        return known[pattern]

    def completion_bounds(self, found: Pass, span: Span) -> CompletionBounds:
        """Return what a pass for a span says to one in the other direction."""
        return completion_bounds(self.line, found.layers, [cut.over for cut in self._cuts], span)

    def run(
        self,
        span: Span,
        width: int,
        bounds: CompletionBounds | None = None,
        stop: Callable[[Pass], bool] = lambda found: False,
    ) -> Pass:
        """Run a pass: all ways to serve station after station at a cycle time of a span.

        Parameters
        ----------
        span : Span
        width : int
            States of one key that a layer keeps at most; more are merged.
        bounds : CompletionBounds, optional
            From a pass in the other direction for the same cycle times, or more.
        stop : callable
            Asked now and then whether to give up; the pass is then not complete.
        """
        found = Pass()
        layer = [StateTable.root()]
        for number in range(len(self._finders)):
            parts: dict[Pattern, list[StateTable]] = {}
            jobs = self._jobs(found, number, layer, span, bounds)
            for job, (examined, row, case, cost, separation) in self._threads.each(
                lambda job: job.done(span), jobs
            ):
                found.examined += examined
                if job.successors is None:
                    self._end(found, job, layer[job.table].pattern, row, case, cost)
                else:
                    for states in _states(job, job.successors, row, case, cost, separation):
                        parts.setdefault(states.pattern, []).append(states)
                if stop(found):
                    return found
            if found.overflow:
                return found
            if number == len(self._cuts):
                break
            layer = []
            tables = [parts[pattern] for pattern in sorted(parts)]
            for _, (states, exact) in self._threads.each(
                lambda parts: reduce_states(parts, span, width), tables
            ):
                layer.append(states)
                found.exact &= exact
            found.layers.append(layer)
            found.kept += sum(map(len, layer))
            if not layer:
                break
        found.complete = True
        return found

    def close(self) -> None:
        """End its threads."""
        self._threads.close()

    # -- one station ------------------------------------------------------------

    def _batches_of(self, number: int, pattern: Pattern) -> list[Batch]:
        """Return the transitions of a station; at the last one nothing may cross to the right."""
        known = self._batches[number]
        if pattern not in known:
            last = number == len(self._cuts)
            transitions = self.transitions(number, pattern)
            known[pattern] = [
                batch
                for batch in batches(transitions, len(pattern))
                if (batch.move.shape[1] == 0) == last
            ]
        return known[pattern]

    def _jobs(
        self,
        found: Pass,
        number: int,
        layer: Layer,
        span: Span,
        bounds: CompletionBounds | None,
    ) -> Iterator[_Job]:
        """Yield what is to be done at a station: all states by the transitions of all batches."""
        bound = bounds[number] if bounds is not None and number < len(self._cuts) else None
        for table, states in enumerate(layer):
            least, passing = int(states.cost.min()), None
            for part, batch in enumerate(self._batches_of(number, states.pattern)):
                arcs, crossings = batch.arcs, batch.move.shape[1]
                floor = 0
                if crossings and bounds is None:
                    floor = self._rest[number].get(crossings // 2, NEVER)
                if least + batch.least + floor > span.high:
                    continue
                if max(arcs.variables, crossings) > MOST_SLOPE:
                    found.overflow = True
                    return
                successors, cut, aligned = None, no_cut(len(arcs.cost)), no_bounds(0)
                if passing is None:
                    if crossings:
                        passing = self._passing_of(number, states)
                    else:
                        passing = np.zeros(len(states), np.int64)
                    arrays = states.arrays(passing)
                if crossings:
                    successors = self._successors_of(number, states.pattern, part)
                    cut, aligned = successors.bounded(bound, floor, span)
                many = max(1, _AT_ONCE // len(arcs.cost))
                for begin in range(0, len(states), many):
                    yield _Job(
                        table, arrays, begin, min(begin + many, len(states)), batch, successors,
                        cut, aligned, floor,
                    )  # fmt: skip

    def _end(
        self, found: Pass, job: _Job, pattern: Pattern, row: Ints, case: Ints, cost: Ints
    ) -> None:
        """Put what is possible at the last station among the terminals."""
        transitions = self.transitions(len(self._cuts), pattern)
        for one in np.argsort(cost, kind="stable")[:_TERMINALS]:
            transition = transitions[job.batch.numbers[case[one]]]
            found.terminals.append((job.table, int(row[one]), transition))

    def _passing_of(self, number: int, states: StateTable) -> Ints:
        """Return which passing moves each state has, their sets numbered as they turn up."""
        different, which = distinct_rows(states.passing)
        known = self._passing[number].setdefault(states.pattern, {})
        places = np.array([known.setdefault(moves.tobytes(), len(known)) for moves in different])
        return places[which]

    def _successors_of(self, number: int, pattern: Pattern, part: int) -> Successors:
        """Return where a batch leads to, worked out anew when there are new passing moves."""
        batch = self._batches_of(number, pattern)[part]
        known = self._passing[number][pattern]
        successors = self._successors[number].get((pattern, part))
        if successors is None or len(successors.pattern_of) < len(known) * len(batch.numbers):
            moves = np.array([np.frombuffer(one, np.int16) for one in known])
            successors = self._cuts[number].successors(batch, crossings_of(pattern, moves))
            self._successors[number][pattern, part] = successors
        return successors


def _states(
    job: _Job, successors: Successors, row: Ints, case: Ints, cost: Ints, separation: Ints
) -> list[StateTable]:
    """Return the new states of a job, at the cut on the right of the station."""
    if not len(row):
        return []
    number = job.batch.numbers[case % len(job.batch.numbers)]
    table = np.full(len(row), job.table)
    parent = np.stack([table, row, number, successors.cut.first[case]], axis=1)
    return successors.states(case, separation, cost, parent)
