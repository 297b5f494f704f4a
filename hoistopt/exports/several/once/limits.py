"""How late a motion of a programme of several hoists may be, with waits for others followed.

As :mod:`hoistopt.margin.once` has it for one hoist: a late event makes others late along the paths
of what they wait for, less the slack of each path.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from heapq import heappop, heappush

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
        self.after: dict[Event, list[tuple[Event, int]]] = {}
        for wait in waits.always():
            if wait.tail is not None and wait.head is not None:
                slack = waits.planned(wait.head) - waits.planned(wait.tail) - wait.length
                self.after.setdefault(wait.tail, []).append((wait.head, max(0, slack)))
        self.dwells: list[tuple[Event | None, Event, OnceDwell]] = []
        for dwell in dwells_of_loads(waits.course):
            lifted = waits.known(dwell.departure)
            brought = None if dwell.arrival is None else waits.known(dwell.arrival)
            arrives: Event | None = None if brought is None else (*brought[:2], "leave")
            if lifted is not None:
                self.dwells.append((arrives, lifted, dwell))

    def buffers(self, event: Event) -> Buffers:
        """Up to which lateness of an event each other that it can make late is not."""
        found: Buffers = {}
        heap: list[tuple[int, Event]] = [(0, event)]
        while heap:
            least, at = heappop(heap)
            if at in found:
                continue
            found[at] = least
            for head, slack in self.after.get(at, ()):
                if head not in found:
                    heappush(heap, (least + slack, head))
        return found

    def exceeded_above(self, found: Buffers, *, since: int | None = None) -> int | None:
        """The lateness above which some maximum is exceeded; None: however late, none is.

        Parameters
        ----------
        found : dict
            Of :meth:`buffers`.
        since : int, optional
            Count only loads set down by what leaves then or later, in grid time.
        """
        limits = []
        for arrives, lifted, dwell in self.dwells:
            if dwell.room is None or lifted not in found:
                continue
            if since is not None and (arrives is None or self.waits.planned(arrives) < since):
                continue
            brought = None if arrives is None else found.get(arrives)
            if brought is None or brought - found[lifted] > dwell.room:
                limits.append(found[lifted] + dwell.room)
        return min(limits, default=None)

    def later(self, hoist: int, number: int) -> int | None:
        """How much later a motion may be planned, all others as they are; None: however late."""
        own = (hoist, number)
        slacks = [
            slack
            for part in ("lift", "leave")
            for head, slack in self.after.get((hoist, number, part), ())
            if head[:2] != own
        ]
        slacks += [
            dwell.room
            for _, lifted, dwell in self.dwells
            if lifted[:2] == own and dwell.room is not None
        ]
        return min(slacks, default=None)


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
        buffers, later = lateness.buffers(event), lateness.later(hoist, number)
        above = None if beyond is None else beyond(buffers)
        alone = _least(lateness.exceeded_above(buffers), above)
        rest = max(0, end - start)
        found[hoist, number] = Limits(
            latest=rest if later is None else later,
            alarm=alone,
            clock=rest if alone is None else alone - alone // 4,
            lasting=_least(lateness.exceeded_above(buffers, since=start), above),
        )
    return found


def _least(one: int | None, other: int | None) -> int | None:
    return other if one is None else one if other is None else min(one, other)
