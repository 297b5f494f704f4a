"""What the motions of a programme of several hoists wait for, as arcs between events.

As in :mod:`..waits`: a loaded move has two events, lifting and leaving; an empty travel has one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from ....checker.programme.course import Course
from ....checker.programme.ways_once import ways_of
from ....graph.arc import Arc, Rule
from ....graph.from_programme import maxima_of_loads, waits_of_loads
from ..motions import Motion
from ..ordered import Ordered
from ..waits import Event, Pair


@dataclass(frozen=True)
class OnceWait:
    """One event comes no sooner than `length` after another; after the beginning where None.

    `pair` are the motions of two hoists that it keeps apart, where it does.
    """

    tail: Event | None
    head: Event | None
    length: int
    rule: Rule
    pair: Ordered | None = None


class OnceWaits:
    """All that the motions of a programme wait for.

    Parameters
    ----------
    course : Course
        Of a programme that breaks no rule but, perhaps, windows.
    motions : sequence of sequence of Motion
        Of the course; all of them, or those up to some.
    ordered : sequence of Ordered
        Which motions go before which others.
    eased : mapping, optional
        By two motions: how many of the safest ways of keeping them apart are not taken. By
        default the safest one that the times allow is.
    """

    def __init__(
        self,
        course: Course,
        motions: Sequence[Sequence[Motion]],
        ordered: Sequence[Ordered],
        eased: Mapping[Pair, int] | None = None,
    ) -> None:
        self.course, self.motions, self.ordered, self.eased = course, motions, ordered, eased
        self.place = {
            motion.step: (hoist, number)
            for hoist, made in enumerate(motions)
            for number, motion in enumerate(made)
            if motion.step is not None
        }

    def motion(self, event: Event) -> Motion:
        """The motion of an event."""
        return self.motions[event[0]][event[1]]

    def planned(self, event: Event) -> int:
        """When an event is planned, in grid time."""
        motion = self.motion(event)
        return motion.leaves if event[2] == "leave" else motion.since

    def first(self, hoist: int, number: int) -> Event:
        """The event with which a motion begins."""
        motion = self.motions[hoist][number]
        return hoist, number, "leave" if motion.step is None else "lift"

    def events(self, hoist: int, number: int) -> tuple[Event, ...]:
        """The events of a motion, in order of time."""
        leave: Event = hoist, number, "leave"
        if self.motions[hoist][number].step is None:
            return (leave,)
        return (hoist, number, "lift"), leave

    def run(self, number: int) -> Event:
        """The lifting of a run of the course."""
        return *self.place[self.course.runs[number].number], "lift"

    def known(self, number: int) -> Event | None:
        """The lifting of a run of the course; None where its motion is not among those given."""
        return self.run(number) if self.course.runs[number].number in self.place else None

    @cached_property
    def _begun(self) -> list[int]:
        """When each hoist is free at first."""
        ways = ways_of(self.course)
        return [0 if w is None or w.under_way is None else w.under_way.free for w in ways]

    def always(self) -> Iterator[OnceWait]:
        """Waits for the hoist itself, for the other hoists, for dwells and ends of the line."""
        yield from self._own()
        for pair in self.ordered:
            yield OnceWait(
                (*pair.first, "leave"), (*pair.second, "leave"), self._apart(pair), "station", pair
            )
        for arc in waits_of_loads(self.course):
            if arc.head < len(self.course.runs) and self._looked_at(arc):
                yield self._of_loads(arc)

    def maxima(self) -> Iterator[OnceWait]:
        """A load is lifted before its maximum is over."""
        for arc in maxima_of_loads(self.course):
            if self._looked_at(arc):
                yield self._between_lifts(arc)

    def _looked_at(self, arc: Arc) -> bool:
        """Whether both ends are motions looked at, or the beginning."""
        runs = self.course.runs
        return all(n == len(runs) or runs[n].number in self.place for n in (arc.tail, arc.head))

    def _own(self) -> Iterator[OnceWait]:
        for hoist, made in enumerate(self.motions):
            for number, motion in enumerate(made):
                leave: Event = hoist, number, "leave"
                if not number:
                    yield OnceWait(None, self.first(hoist, 0), self._begun[hoist], "hoist")
                if motion.step is not None:
                    lift: Event = hoist, number, "lift"
                    yield OnceWait(lift, leave, motion.leaves - motion.since, "hoist")
                if number + 1 < len(made):
                    ends = motion.ends if made[number + 1].step is None else motion.ready
                    head = self.first(hoist, number + 1)
                    yield OnceWait(leave, head, ends - motion.leaves, "hoist")

    def _apart(self, pair: Ordered) -> int:
        """The least time from the one leaving to the other."""
        if self.eased is not None:
            return pair.choices[self.eased.get((pair.first, pair.second), 0)].length
        one, two = (self.motions[hoist][number] for hoist, number in (pair.first, pair.second))
        since = two.leaves - one.leaves
        return next((choice.length for choice in pair.choices if choice.length <= since), since)

    def _between_lifts(self, arc: Arc) -> OnceWait:
        runs = len(self.course.runs)
        tail, head = (None if n == runs else self.run(n) for n in (arc.tail, arc.head))
        return OnceWait(tail, head, arc.length, arc.rule)

    def _of_loads(self, arc: Arc) -> OnceWait:
        """One that counts from the setting down counts from the leaving that brings it."""
        wait = self._between_lifts(arc)
        if wait.tail is None:
            return wait
        at_end = arc.rule in ("minimum", "return") or (
            arc.rule == "station"
            and any(part.label == self.course.runs[arc.tail].target for part in arc.parts)
        )
        if not at_end:
            return wait
        motion = self.motion(wait.tail)
        length = arc.length - (motion.leaves - motion.since)
        return OnceWait((*wait.tail[:2], "leave"), wait.head, length, arc.rule)
