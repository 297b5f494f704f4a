"""The search for the shortest schedule that can be run.

A schedule can be run when few enough of its loads stand too long while the hoist's times scatter.
Simulation is the judge (:mod:`.jitter`): many runs in which the sequencer starts each step when
due. What it judges comes from orders of moves: that of the least cycle, and those the solver finds
for the line with so much time to spare. Each has the shortest cycle that leaves time to spare after
every move and room below every maximum, as a load may be set down early. How much is measured in
shares: 0 is what moves take longer on average, 1 the longest they ever took, which keeps every
start on time. Rooms grow where runs show that they were too small, and the cycle time is found
anew: a few longest paths each time. What is told of the schedule chosen comes from draws that it
was not chosen by.

Of several hoists an order has its travels and turns on the track as well. Its arcs are those from
the checker's replay, as the times of its ways are exact; every set of times is replayed before it
is run. Other orders come from the search on the line with time to spare, by seconds.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..base.clock import Clock
from ..instance import Instance, asked_margins
from ..instance.margins import padded, width
from ..problem import Problem, Scattering
from ..schedule import Schedule
from .figures import within_tolerance
from .order import Order, Overrun, Run
from .other_orders import another_order, first_order, takes_known
from .several_order import SeveralOrder
from .spare import Times, whole

SHARES = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0)
"""Shares of the overruns for which an order leaves time, tried in turn."""

ROOMS = (0.15, 0.3, 0.5, 0.75, 1.0)
"""Rooms that are tried where other draws than those of the search are less kind, as shares of
the longest overrun of all."""

MENDINGS = 4
"""How often rooms grow after runs that show them too small."""

ASKED = (
    (1 / 16, 1.0),
    (-0.1, 0.0),
    (1 / 16, 0.5),
    (-0.1, 0.5),
    (1 / 16, 1.5),
    (1 / 4, 0.5),
    (1.0, 0.0),
)
"""What other orders are looked for with: the share of the overruns of every move, and the
room below every maximum as a share of the longest overrun of all."""

WORK = (0.2, 1.0, 4.0, 12.0)
"""CP-SAT's work on each, in its own measure, in the first round and those after it. Some find a
good order at once, and some nothing for long: none waits long for the others."""

OTHER = "an order of moves found with time to spare for each"

FEW = 0.01
"""Share of loads out of window up to which a schedule is worth telling of, if none is tolerated."""

FAR = 3
"""How many times the least cycle a schedule that can be run may last."""


@dataclass(frozen=True)
class Candidate:
    """An order with times, how its runs came out, and the share it leaves time for.

    It keeps `pads` after its moves and `rooms` below its maxima, in ticks.
    """

    order: Order | SeveralOrder
    times: Times
    run: Run
    share: float
    how: str
    pads: tuple[float, ...]
    rooms: tuple[float, ...]

    @property
    def good(self) -> float:
        """Share of a cycle's loads that keep their windows, for each tick of the cycle."""
        return (1 - self.run.share.share) / self.times.cycle


class RunnableSearch:
    """Orders tried so far, and the best of them.

    Attributes
    ----------
    passed : list of Candidate
        Those that met the tolerance, each shorter than the one before.
    nearest : Candidate or None
        Of those that did not the one with the smallest share of loads out of window.
    fullest : Candidate or None
        Of all that keep the pace, with few loads out of window, the one with the most good loads
        for its time.
    orders : list of (Order or SeveralOrder, str)
        All that were tried, and how each was found.
    """

    def __init__(
        self, problem: Problem, instance: Instance, scatter: Scattering, clock: Clock
    ) -> None:
        # The instance is that without the margin asked for, which is kept here.
        self.problem, self.instance = problem, instance
        self.scatter, self.clock = scatter, clock
        self.kept = asked_margins(problem, instance)
        self.passed: list[Candidate] = []
        self.nearest: Candidate | None = None
        self.fullest: Candidate | None = None
        self.orders: list[tuple[Order | SeveralOrder, str]] = []
        self._seen: set[tuple[object, ...]] = set()

    @property
    def best(self) -> Candidate | None:
        """The shortest that met the tolerance."""
        return self.passed[-1] if self.passed else None

    def go(self, least: Schedule) -> None:
        """Try the order of the least cycle, then others, until the clock is over."""
        first = self.consider(least, "the order of moves of the least cycle")
        if self.best is None:
            # Nothing to run yet: the search that knows most ways to a first schedule.
            line = padded(self.instance, *self._whole(*self._asked(first, *ASKED[0])))
            found = first_order(line, FAR * least.cycle, self.clock)
            if found is not None:
                self.consider(found, OTHER)
        self._rounds(least, first)

    def _rounds(self, least: Schedule, first: Order | SeveralOrder) -> None:
        """Look for other orders with time to spare, longer every time."""
        refuted: set[int] = set()
        for work in WORK:
            for number, (share, room) in enumerate(ASKED):
                if self.clock.over:
                    return
                if number in refuted:
                    continue
                spare = self._whole(*self._asked(first, share, room))
                near, known, longest = least, None, FAR * least.cycle
                if self.best is not None:
                    near = self.best.order.schedule(self.best.times)
                    longest = self.best.times.cycle - 1
                    if takes_known(self.instance):
                        known = self._with(self.best.order, *spare)
                line = padded(self.instance, *spare)
                found, closed = another_order(
                    line, longest, self.clock, work, near=near, least=least.cycle, known=known
                )
                if closed:
                    refuted.add(number)
                if found is not None:
                    self.consider(found, OTHER)

    def consider(self, schedule: Schedule, how: str) -> Order | SeveralOrder:
        """Find the shortest times of an order that can be run; keep them if they are best."""
        kind = Order if self.instance.several is None else SeveralOrder
        order = kind(
            self.problem, self.instance, schedule, self.scatter, self.clock, self.kept.floats
        )
        key = order.key
        if key not in self._seen:
            self._seen.add(key)
            self.orders.append((order, how))
            for share in SHARES:
                if self.clock.over and self.nearest is not None:
                    break
                if not self._worth(order, share) or self._keep(self._mended(order, share, how)):
                    break
        return order

    def more(self, candidate: Candidate) -> Iterator[Candidate]:
        """Yield a candidate with more and more to spare: first below its maxima, then for moves."""
        share = candidate.share
        for room in ROOMS:
            found = self._again(candidate, share, room)
            if found is not None:
                yield found
        while share < 1:
            share = min(1.0, share + 1 / 16)
            found = self._again(candidate, share, ROOMS[0])
            if found is not None:
                yield found

    def _again(self, candidate: Candidate, share: float, room: float) -> Candidate | None:
        return self._mended(candidate.order, share, candidate.how, any_length=True, room=room)

    def costs(self, shares: Sequence[float]) -> Iterator[Candidate]:
        """Every order with each share of the overruns, those below 0 as well: what the time to
        spare costs, and what it buys."""
        for order, how in self.orders:
            for share in shares:
                if self.clock.over:
                    return
                found = self._mended(order, share, how, any_length=True)
                if found is None:
                    break
                yield found

    def _keep(self, candidate: Candidate | None) -> bool:
        if candidate is None:
            return False
        few = candidate.run.keeps_pace and candidate.run.share.share <= FEW
        if few and (self.fullest is None or candidate.good > self.fullest.good):
            self.fullest = candidate
        if self._can_be_run(candidate.run):
            if self.best is None or candidate.times.cycle < self.best.times.cycle:
                self.passed.append(candidate)
            return True
        rank = (candidate.run.share.share, candidate.times.cycle)
        known = self.nearest
        if known is None or rank < (known.run.share.share, known.times.cycle):
            self.nearest = candidate
        return False

    def _can_be_run(self, run: Run) -> bool:
        return within_tolerance(run.share, self.scatter) and run.keeps_pace

    def _worth(self, order: Order | SeveralOrder, share: float) -> bool:
        """Whether the order can be shorter than the best with so much time to spare."""
        pads, rooms = self._asked(order, share)
        times = order.shortest(pads, rooms)
        return times is not None and (self.best is None or times.cycle < self.best.times.cycle)

    def _mended(
        self,
        order: Order | SeveralOrder,
        share: float,
        how: str,
        *,
        any_length: bool = False,
        room: float = 0.0,
    ) -> Candidate | None:
        """Times that leave a share of the overruns, rooms grown until the runs are well."""
        pads, rooms = self._asked(order, share, room)
        found: Candidate | None = None
        for _ in range(MENDINGS):
            times = order.shortest(pads, rooms)
            if times is None:
                break
            if self.best is not None and not any_length and times.cycle >= self.best.times.cycle:
                break
            run = order.run(times)
            if run is None:
                break
            if found is None or run.share.share < found.run.share.share:
                found = Candidate(order, times, run, share, how, tuple(pads), tuple(rooms))
            if self._can_be_run(run) or self.clock.over:
                break
            grown = [max(room, run.longer.get(stay, 0.0)) for stay, room in enumerate(rooms)]
            if grown == rooms:
                break
            rooms = grown
        return found

    def _asked(
        self, order: Order | SeveralOrder, share: float, room: float = 0.0
    ) -> tuple[list[float], list[float]]:
        """Pads and rooms for the scatter, and never less than the margin asked for."""
        pads, rooms = for_scatter(self.instance, order.overruns, share, room)
        floats = self.kept.floats
        kept = [max(self.kept.rooms[s.index], floats[s.departure]) for s in self.instance.stays]
        return list(map(max, pads, floats)), list(map(max, rooms, kept))

    @staticmethod
    def _with(
        order: Order | SeveralOrder, pads: Sequence[int], rooms: Sequence[int]
    ) -> Schedule | None:
        """The schedule of an order with so much to spare, if there is one."""
        times = order.shortest(pads, rooms)
        return None if times is None else order.schedule(times)

    def _whole(self, pads: Sequence[float], rooms: Sequence[float]) -> tuple[list[int], list[int]]:
        """So much to spare in whole ticks, as far as windows are wide enough.

        Pads go to the nearest tick, as some are rounded up and others down; rooms up.
        """
        nearest = [max(kept, round(pad)) for pad, kept in zip(pads, self.kept.floats, strict=True)]
        whole_rooms = [whole(room) for room in rooms]
        for stay in self.instance.stays:
            if stay.most is None:
                continue
            wide, move = max(0, width(self.instance, stay)), stay.arrival
            nearest[move] = max(self.kept.floats[move], min(nearest[move], wide))
            kept = max(self.kept.rooms[stay.index], self.kept.floats[stay.departure])
            whole_rooms[stay.index] = max(kept, min(whole_rooms[stay.index], wide - nearest[move]))
        return nearest, whole_rooms


def for_scatter(
    instance: Instance, overruns: Sequence[Overrun], share: float, room: float
) -> tuple[list[float], list[float]]:
    """Ticks to spare after every move and below every maximum, as far as windows are wide enough.

    Parameters
    ----------
    share : float
        0: every move may last as long as it does on average; 1: as long as it ever did;
        below 0: less than on average, at least as planned.
    room : float
        Share of the longest overrun to keep below every maximum, beyond what the move in
        may end early.
    """
    pads = [max(0.0, o.mean + share * (o.most - o.mean)) for o in overruns]
    longest = max(overrun.most for overrun in overruns)
    rooms = [0.0] * len(instance.stays)
    for stay in instance.stays:
        if stay.most is None:
            continue
        wide = max(0, width(instance, stay))
        wanted = overruns[stay.arrival].early + room * longest
        rooms[stay.index] = min(wanted, wide)
    return pads, rooms
