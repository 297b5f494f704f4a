"""How late an event makes others late, and what then exceeds its maximum or comes too soon.

The buffer of an event is the lateness of the late start that is followed up to which it does
not make the event late: the least total slack on a path from the one to the other.
:mod:`.lateness` follows a late start through cycles with it; :class:`LateOnce` follows one
through what is made once.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from heapq import heappop, heappush
from typing import Protocol, TypeVar

from .arc import Arc
from .from_programme import OnceDwell

Buffer = int | None
"""Total slack on the path from the late start to another; None: it does not get there."""


class Standing(Protocol):
    """A load that stands between two events; see `Dwell` and `OnceDwell`."""

    @property
    def departure(self) -> int:
        """The event that lifts it."""

    @property
    def room(self) -> int | None:
        """By how much the dwell may grow; None without a maximum."""


Stands = TypeVar("Stands", bound=Standing)


def least_of(buffers: Iterable[Buffer]) -> Buffer:
    """The least of some buffers or limits; None where all are."""
    return min((buffer for buffer in buffers if buffer is not None), default=None)


def dwell_exceeded_above(room: int | None, lifted: Buffer, brought: Buffer) -> int | None:
    """The lateness above which a dwell exceeds its maximum; None: no lateness does that.

    Parameters
    ----------
    room : int or None
        By how much the dwell may grow, in grid steps; None without a maximum.
    lifted, brought : int or None
        Buffers of the event that lifts the load and of the one that brings it.
    """
    if room is None or lifted is None:
        return None
    # Late by d, the load is lifted d - lifted late and was brought d - brought late.
    if brought is not None and brought - lifted <= room:
        return None
    return lifted + room


def limits_for_good(
    events: Container[int],
    slacks: Iterable[tuple[int, Arc]],
    dwells: Iterable[Stands],
) -> list[tuple[int, Arc | Stands]]:
    """What comes too soon, or stands too long, when some events are planned later for good.

    Parameters
    ----------
    events : container of int
        Those planned later, all by the same; what waits for one of them and is another of them
        is not hurt.
    slacks : iterable of (int, Arc)
        The slack of each arc out of them, as planned, in grid steps.
    dwells : iterable
        Of the loads that stand.

    Returns
    -------
    list of (int, Arc or dwell)
        How much later each of them allows, in grid steps.
    """
    limits: list[tuple[int, Arc | Stands]] = [
        (slack, arc) for slack, arc in slacks if arc.head not in events
    ]
    limits += [
        (dwell.room, dwell)
        for dwell in dwells
        if dwell.departure in events and dwell.room is not None
    ]
    return limits


class LateOnce:
    """How late events of something that is made once lead to others.

    Parameters
    ----------
    starts : sequence of int
        When each event is planned, in grid steps.
    waits : sequence of Arc
        What events wait for, none with a height.
    dwells : sequence of OnceDwell
        Their moves are events here.
    left_out : sequence of Arc
        What must be kept besides when an event is planned later, but nothing waits for.
    """

    def __init__(
        self,
        starts: Sequence[int],
        waits: Sequence[Arc],
        dwells: Sequence[OnceDwell],
        left_out: Sequence[Arc] = (),
    ) -> None:
        self.starts = starts
        self.after: list[list[tuple[int, Arc]]] = [[] for _ in starts]
        self.beside: list[list[tuple[int, Arc]]] = [[] for _ in starts]
        self.leaving: list[list[OnceDwell]] = [[] for _ in starts]
        for arcs, known in ((waits, self.after), (left_out, self.beside)):
            for arc in arcs:
                known[arc.tail].append((max(0, arc.slack(starts, 0)), arc))
        for dwell in dwells:
            self.leaving[dwell.departure].append(dwell)

    def buffers(self, event: int) -> dict[int, int]:
        """The buffer of every event that a late one makes late, its own 0 among them.

        Shortest paths by slack: E. W. Dijkstra (1959), A note on two problems in connexion
        with graphs, Numerische Mathematik 1, 269-271.
        """
        found: dict[int, int] = {}
        heap = [(0, event)]
        while heap:
            least, at = heappop(heap)
            if at in found:
                continue
            found[at] = least
            for slack, arc in self.after[at]:
                if arc.head not in found:
                    heappush(heap, (least + slack, arc.head))
        return found

    def exceeded(self, buffers: dict[int, int]) -> Iterator[tuple[int, OnceDwell]]:
        """The dwells that may exceed their maxima, each with the lateness above which it does.

        Parameters
        ----------
        buffers : dict
            Of :meth:`buffers`.
        """
        for event, lifted in buffers.items():
            for dwell in self.leaving[event]:
                brought = None if dwell.arrival is None else buffers.get(dwell.arrival)
                above = dwell_exceeded_above(dwell.room, lifted, brought)
                if above is not None:
                    yield above, dwell

    def later(self, events: Sequence[int]) -> int | None:
        """How much later events may be planned together, all others as they are.

        In grid steps; None: however late.
        """
        slacks = (one for event in events for one in (*self.after[event], *self.beside[event]))
        dwells = (dwell for event in events for dwell in self.leaving[event])
        limits = limits_for_good(events, slacks, dwells)
        return least_of(limit for limit, _ in limits)
