"""How late a motion of a programme of several hoists may be, with waits for others followed.

As :mod:`hoistopt.margin.once` has it for one hoist, with two events for each loaded motion; see
:mod:`hoistopt.graph.buffers`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from ....graph.arc import Arc
from ....graph.buffers import LateOnce, least_of
from ....graph.from_programme import OnceDwell, dwells_of_loads
from ..limits import Limits
from ..waits import Event
from .waits import OnceWaits

Buffers = dict[Event, int]
"""The lateness up to which another event is not late."""


class Lateness:
    """How late events of a programme lead to others."""

    def __init__(self, waits: OnceWaits) -> None:
        self.waits = waits
        self.events: list[Event] = []
        for hoist, made in enumerate(waits.motions):
            for number in range(len(made)):
                self.events += waits.events(hoist, number)
        self.numbers = numbers = {event: n for n, event in enumerate(self.events)}
        arcs = [
            Arc(numbers[wait.tail], numbers[wait.head], wait.length, 0, wait.rule)
            for wait in waits.always()
            if wait.tail is not None and wait.head is not None
        ]
        starts = [waits.planned(event) for event in self.events]
        self.once = LateOnce(starts, arcs, list(self._dwells()))

    def _dwells(self) -> Iterator[OnceDwell]:
        """Between the events that bring and lift loads: a load comes late as its way is begun."""
        for dwell in dwells_of_loads(self.waits.course):
            lifted = self.waits.known(dwell.departure)
            brought = None if dwell.arrival is None else self.waits.known(dwell.arrival)
            if lifted is not None:
                arrival = None if brought is None else self.numbers[(*brought[:2], "leave")]
                yield replace(dwell, arrival=arrival, departure=self.numbers[lifted])

    def followed(self, event: Event) -> tuple[Buffers, int | None, int | None]:
        """What a late event leads to.

        Returns
        -------
        dict
            Up to which lateness of it each other that it can make late is not.
        int or None
            The lateness above which some maximum is exceeded; None: however late, none is.
        int or None
            The same of loads set down by what leaves when the event is planned or later.
        """
        found = self.once.buffers(self.numbers[event])
        exceeded = list(self.once.exceeded(found))
        starts, planned = self.once.starts, self.waits.planned(event)
        return (
            {self.events[number]: buffer for number, buffer in found.items()},
            least_of(above for above, _ in exceeded),
            least_of(
                above
                for above, dwell in exceeded
                if dwell.arrival is not None and starts[dwell.arrival] >= planned
            ),
        )

    def later(self, hoist: int, number: int) -> int | None:
        """How much later a motion may be planned, all others as they are; None: however late."""
        return self.once.later([self.numbers[e] for e in self.waits.events(hoist, number)])


def limits_once(
    waits: OnceWaits,
    motions: Iterable[tuple[int, int]],
    end: int,
    beyond: Callable[[Buffers], int | None] | None = None,
) -> dict[tuple[int, int], Limits]:
    """The limits of motions of a list, by hoist and number, in grid time after their starts.

    Parameters
    ----------
    waits : OnceWaits
        Of the list and of some cycles after it, where there is one.
    motions : iterable of (int, int)
        Those of the list.
    end : int
        When all of the list is over: where lateness makes nothing late that is the limit told.
    beyond : callable, optional
        Of what a motion makes late: the lateness above which a maximum is exceeded in the cycles
        after those looked at.
    """
    lateness, found = Lateness(waits), {}
    for hoist, number in motions:
        event = waits.first(hoist, number)
        start = waits.planned(event)
        later = lateness.later(hoist, number)
        buffers, alone, lasting = lateness.followed(event)
        above = None if beyond is None else beyond(buffers)
        alone, lasting = least_of((alone, above)), least_of((lasting, above))
        rest = max(0, end - start)
        found[hoist, number] = Limits(
            latest=rest if later is None else later,
            alarm=alone,
            clock=rest if alone is None else alone - alone // 4,
            lasting=lasting,
        )
    return found
