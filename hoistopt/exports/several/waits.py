"""What the motions of several hoists wait for, as arcs between their leaving and lifting.

A loaded move has two events, lifting and leaving; an empty travel has one, leaving. From a late
leaving on the rest of the motion is late alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from ...checker.plan import Plan
from ...graph.arc import Arc, EventGraph, Rule, limit_arcs
from ...graph.plan_ends import end_arcs
from ...graph.timed_plan import Dwell, TimedPlan
from ...schedule import Schedule
from .motions import Motion
from .ordered import Ordered, Pair

Part = Literal["lift", "leave"]
Event = tuple[int, int, Part]
"""Hoist and number of a motion, and which part of it begins."""


@dataclass(frozen=True)
class Wait:
    """One event comes no sooner than `length` after another, `height` cycles before."""

    tail: Event
    head: Event
    length: int
    height: int
    rule: Rule


class Waits:
    """All that the motions of a plan wait for.

    Parameters
    ----------
    plan : Plan
        One that breaks no rule but, perhaps, windows.
    motions : sequence of sequence of Motion
        Of the plan; see :func:`.motions.in_order`.
    ordered : sequence of Ordered
        Which motions go before which others; see :func:`.ordered.in_order_of`.
    eased : mapping, optional
        By two motions: how many of the safest ways of keeping them apart are not taken. By
        default the safest one that the times of the plan allow is.
    """

    def __init__(
        self,
        plan: Plan,
        motions: Sequence[Sequence[Motion]],
        ordered: Sequence[Ordered],
        eased: Mapping[Pair, int] | None = None,
    ) -> None:
        self.plan, self.motions, self.ordered, self.eased = plan, motions, ordered, eased
        self.cycle = plan.table.cycle
        self.place = {
            motion.step: (hoist, number)
            for hoist, made in enumerate(motions)
            for number, motion in enumerate(made)
            if motion.step is not None
        }

    def planned(self, event: Event) -> int:
        """When an event is planned, in grid time."""
        motion = self.motions[event[0]][event[1]]
        return motion.leaves if event[2] == "leave" else motion.since

    def first(self, hoist: int, number: int) -> Event:
        """The event with which a motion begins."""
        motion = self.motions[hoist][number]
        return hoist, number, "leave" if motion.step is None else "lift"

    def _turned(self, step: int) -> int:
        """How many cycles later than its motion a step is counted."""
        hoist, number = self.place[step]
        return (self.plan.table.starts[step] - self.motions[hoist][number].since) // self.cycle

    def height(self, before: int, after: int, height: int) -> int:
        """Cycles between the motions of two steps that are `height` cycles apart."""
        return height + self._turned(after) - self._turned(before)

    def always(self) -> Iterator[Wait]:
        """Waits for the hoist itself, for the other hoists, for dwells and ends of the line."""
        yield from self._own()
        yield from self._others()
        yield from self._minima()
        yield from self._ends()

    def _own(self) -> Iterator[Wait]:
        for hoist, made in enumerate(self.motions):
            for number, motion in enumerate(made):
                following = (number + 1) % len(made)
                leave: Event = hoist, number, "leave"
                ends = motion.ends if made[following].step is None else motion.ready
                turned = int(following <= number)
                head = self.first(hoist, following)
                yield Wait(leave, head, ends - motion.leaves, turned, "hoist")
                if motion.step is not None:
                    lift: Event = hoist, number, "lift"
                    yield Wait(lift, leave, motion.leaves - motion.since, 0, "hoist")

    def _others(self) -> Iterator[Wait]:
        for pair in self.ordered:
            tail: Event = (*pair.first, "leave")
            head: Event = (*pair.second, "leave")
            yield Wait(tail, head, self._apart(pair), pair.cycles, "station")

    def _apart(self, pair: Ordered) -> int:
        """The least time from the one leaving to the other."""
        if self.eased is not None:
            return pair.choices[self.eased.get((pair.first, pair.second), 0)].length
        one, two = (self.motions[hoist][number] for hoist, number in (pair.first, pair.second))
        since = two.leaves + pair.cycles * self.cycle - one.leaves
        return next((c.length for c in pair.choices if c.length <= since), since)

    def _stands(self) -> Iterator[tuple[int, int, int]]:
        """Steps that bring and lift a load within the line, and the cycles between."""
        for number, leg in enumerate(self.plan.legs):
            link = self.plan.links.get(number)
            if leg is not None and link is not None and leg.leaves:
                yield link.before, number, self.height(link.before, number, link.boundaries)

    def _brings(self, step: int) -> int:
        """Time from leaving until the load is set down."""
        hoist, number = self.place[step]
        motion = self.motions[hoist][number]
        return motion.ends - motion.leaves

    def _minima(self) -> Iterator[Wait]:
        for before, after, height in self._stands():
            least, _ = self._window(after)
            tail: Event = (*self.place[before], "leave")
            yield Wait(
                tail, (*self.place[after], "lift"), self._brings(before) + least, height, "minimum"
            )

    def maxima(self) -> Iterator[Wait]:
        """A load is lifted before its maximum is over."""
        for before, after, height in self._stands():
            _, most = self._window(after)
            if most is not None:
                length = -self._brings(before) - most
                tail: Event = (*self.place[after], "lift")
                yield Wait(tail, (*self.place[before], "leave"), length, -height, "maximum")

    def _window(self, step: int) -> tuple[int, int | None]:
        table, leg = self.plan.table, self.plan.legs[step]
        assert leg is not None
        window = table.routes.window(leg.recipe, leg.leaves, table.steps[step].source)
        return window.least, window.most

    def _ends(self) -> Iterator[Wait]:
        for arc in end_arcs(self.plan, spare=False):
            tail: Event = (*self.place[arc.tail], "lift")
            length, height = arc.length, self.height(arc.tail, arc.head, arc.height)
            if arc.from_end:
                tail = (*self.place[arc.tail], "leave")
                length -= self.planned(tail) - self.planned((*self.place[arc.tail], "lift"))
            yield Wait(tail, (*self.place[arc.head], "lift"), length, height, arc.rule)

    # -- as graphs ----------------------------------------------------------------

    def starts_graph(
        self,
    ) -> tuple[EventGraph, list[tuple[int, int]], dict[tuple[int, int, int], Ordered]]:
        """Arcs between the starts of motions, maxima and limits of the cycle time included.

        Returns
        -------
        EventGraph
            In grid time.
        list of (int, int)
            Hoist and number of the motion of each node.
        dict
            By tail, head and height of an arc: the motions of different hoists it is about.
        """
        nodes = [(h, n) for h, made in enumerate(self.motions) for n in range(len(made))]
        index = {motion: node for node, motion in enumerate(nodes)}

        def shift(event: Event) -> int:
            return self.planned(event) - self.planned(self.first(event[0], event[1]))

        arcs = [
            Arc(
                index[wait.tail[:2]],
                index[wait.head[:2]],
                wait.length + shift(wait.tail) - shift(wait.head),
                wait.height,
                wait.rule,
            )
            for wait in (*self.always(), *self.maxima())
            if wait.tail[:2] != wait.head[:2] or wait.height
        ]
        routes = self.plan.table
        cycle = routes.problem.cycle
        loads = sum(self.plan.begins(number) for number in range(len(self.plan.legs)))
        exact = routes.clock.exact
        longest = None if cycle.max is None else loads * exact(cycle.max)
        arcs += limit_arcs(0, loads * exact(cycle.min), longest)
        pairs = {
            (index[pair.first], index[pair.second], pair.cycles): pair for pair in self.ordered
        }
        graph = EventGraph(len(nodes), 0, tuple(arcs), Fraction(routes.clock.per_unit))
        return graph, nodes, pairs

    def timed(self, schedule: Schedule) -> tuple[TimedPlan, dict[Event, int]]:
        """All events in order of time, what they wait for, and the dwells between them.

        Returns
        -------
        TimedPlan
            Its steps are events here.
        dict
            The number of every event in it.
        """
        events: list[Event] = []
        for hoist, made in enumerate(self.motions):
            for number, motion in enumerate(made):
                events.append((hoist, number, "leave"))
                if motion.step is not None:
                    events.append((hoist, number, "lift"))
        events.sort(key=lambda event: self.planned(event) % self.cycle)
        index = {event: number for number, event in enumerate(events)}

        def turns(event: Event) -> int:
            return self.planned(event) // self.cycle

        waits = tuple(
            Arc(
                index[w.tail],
                index[w.head],
                w.length,
                w.height + turns(w.head) - turns(w.tail),
                w.rule,
            )
            for w in self.always()
        )
        table = self.plan.table
        timed = TimedPlan(
            problem=table.problem,
            schedule=schedule,
            cycle=self.cycle,
            tick=table.clock.ticks(1),
            tolerance=table.clock.tolerance,
            per_unit=table.clock.per_unit,
            starts=tuple(self.planned(event) % self.cycle for event in events),
            parts=(),
            empties=(),
            waits=waits,
            left_out=(),
            dwells=tuple(self._dwells(index, turns_of={e: turns(e) for e in events})),
            recipes=(),
            loads=(),
            stages=(),
        )
        return timed, index

    def _dwells(self, index: dict[Event, int], turns_of: dict[Event, int]) -> Iterator[Dwell]:
        table = self.plan.table
        for before, after, height in self._stands():
            leg = self.plan.legs[after]
            assert leg is not None
            least, most = self._window(after)
            tail: Event = (*self.place[before], "leave")
            head: Event = (*self.place[after], "lift")
            planned = self.planned(head) - self.planned(tail) + height * self.cycle
            yield Dwell(
                arrival=index[tail],
                departure=index[head],
                height=height + turns_of[head] - turns_of[tail],
                recipe=leg.recipe,
                stage=leg.leaves,
                label="",
                station=table.steps[after].source,
                load=self.plan.loads[after],
                planned=planned - self._brings(before),
                least=least,
                most=most,
            )
