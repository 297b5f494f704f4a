"""Which carrier leaves a station by which step, first in, first out, around the cycle.

Arrivals and departures repeat every cycle, as many of one as of the other. In order of
time, departure number J takes arrival number J - k for one whole number k: the more
carriers stand there to begin with, the larger k, and the longer every dwell.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, field

# A carrier set down on another, or lifted before it is there, is worse than a dwell too
# short or too long by the same time: so much worse when a table leaves the choice open.
CLASH_WEIGHT = 10


@dataclass(frozen=True, slots=True)
class Arrival:
    """A step setting a carrier down at grid time `end` of its own cycle, maybe beyond it."""

    step: int
    end: int
    key: Hashable = None


@dataclass(frozen=True, slots=True)
class Departure:
    """A step lifting a carrier at grid time `time`; `boundaries` where the table tells."""

    step: int
    time: int
    key: Hashable = None
    least: int = 0
    most: int | None = None
    boundaries: int | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """A step lifts what step `before` set down `boundaries` cycles earlier."""

    before: int
    boundaries: int
    dwell: int


@dataclass(frozen=True, slots=True)
class Linked:
    """Links by departing step, and how far they are from what the rules allow.

    `clash` is time with more carriers than places, or carriers lifted before they are
    there; `off` the time by which dwells miss their windows.
    """

    links: dict[int, Link] = field(default_factory=dict)
    clash: int = 0
    off: int = 0

    @property
    def cost(self) -> int:
        """One figure to compare by."""
        return CLASH_WEIGHT * self.clash + self.off


def missed(dwell: int, least: int, most: int | None) -> int:
    """By how much a dwell lies outside its window."""
    if dwell < least:
        return least - dwell
    return dwell - most if most is not None and dwell > most else 0


Agree = Callable[[Arrival, Departure, int], bool]


class Queue:
    """One station, or several that count as one, with its arrivals and departures."""

    def __init__(
        self, arrivals: Sequence[Arrival], departures: Sequence[Departure], cycle: int
    ) -> None:
        self.cycle = cycle
        self.arrivals = sorted(arrivals, key=lambda a: (a.end % cycle, a.step))
        self.departures = sorted(departures, key=lambda d: (d.time % cycle, d.step))
        self.size = len(self.departures)
        self._levels = levels(self.arrivals, self.departures, cycle)

    def link(self, number: int, k: int) -> Link:
        """Departure `number` under shift `k`."""
        departure = self.departures[number]
        index = number + self.size * (departure.time // self.cycle) - k
        cycles, position = divmod(index, self.size)
        arrival = self.arrivals[position]
        boundaries = arrival.end // self.cycle - cycles
        dwell = departure.time - arrival.end + boundaries * self.cycle
        return Link(arrival.step, boundaries, dwell)

    def links(self, k: int) -> dict[int, Link] | None:
        """All links under shift `k`; None if a step would lift what a later one brings."""
        found = {}
        for number, departure in enumerate(self.departures):
            link = self.link(number, k)
            if (link.boundaries, departure.step) <= (0, link.before):
                return None
            found[departure.step] = link
        return found

    def clash(self, k: int, capacity: int | None) -> int:
        """Carriers beyond `capacity`, and below none, times how long."""
        total = 0
        for level, lasts in self._levels.items():
            if level + k < 0:
                total -= (level + k) * lasts
            elif capacity is not None and level + k > capacity:
                total += (level + k - capacity) * lasts
        return total

    def off(self, k: int) -> int:
        """Time by which the dwells miss their windows under shift `k`."""
        return sum(
            missed(self.link(number, k).dwell, departure.least, departure.most)
            for number, departure in enumerate(self.departures)
        )

    def shifts(self, capacity: int) -> Iterator[int]:
        """The shifts worth a look, smallest first."""
        low, high = min(self._levels), max(self._levels)
        if high - low > capacity:  # too many at once whatever the shift
            yield from range(-low - 2, -low + 3)
        else:
            yield from range(-low - 1, capacity - high + 2)

    def best(self, capacity: int, agree: Agree | None = None) -> Linked | None:
        """The cheapest shift all of whose links `agree`, the smallest among equals."""
        best: Linked | None = None
        for k in self.shifts(capacity):
            links = self.links(k)
            if links is None or (agree and not self._all_agree(links, agree)):
                continue
            found = Linked(links, self.clash(k, capacity), self.off(k))
            if best is None or found.cost < best.cost:
                best = found
                if not best.cost:
                    break
        return best

    def soonest(self) -> Linked:
        """The smallest shift that meets every least dwell, however many places it takes."""
        low = -min(self._levels)
        lacking = max(departure.least for departure in self.departures)
        high = low + self.size * (lacking // self.cycle + 2)
        while low < high:
            middle = (low + high) // 2
            if self._meets_least(middle):
                high = middle
            else:
                low = middle + 1
        return Linked(self.links(low) or {}, 0, 0)

    def stated(self, agree: Agree) -> Linked | None:
        """The shift at which all boundaries are as the table tells, if it tells them."""
        told = [d.boundaries for d in self.departures]
        known = [b for b in told if b is not None]
        if len(known) < len(told):
            return None
        low = -min(self._levels)
        # One more carrier to begin with is one more boundary among all the links.
        at_low = sum(self.link(number, low).boundaries for number in range(self.size))
        k = low + sum(known) - at_low
        links = self.links(k)
        return Linked(links) if links is not None and self._all_agree(links, agree) else None

    def _meets_least(self, k: int) -> bool:
        links = self.links(k)
        return links is not None and all(
            links[departure.step].dwell >= departure.least for departure in self.departures
        )

    def _all_agree(self, links: dict[int, Link], agree: Agree) -> bool:
        by_step = {arrival.step: arrival for arrival in self.arrivals}
        return all(
            agree(by_step[links[d.step].before], d, links[d.step].boundaries)
            for d in self.departures
        )


def levels(
    arrivals: Sequence[Arrival], departures: Sequence[Departure], cycle: int
) -> dict[int, int]:
    """How long each count of carriers lasts within a cycle, counting from 0 at its start."""
    changes = [(a.end % cycle, 1) for a in arrivals] + [(d.time % cycle, -1) for d in departures]
    lasting: dict[int, int] = {}
    count, since = 0, 0
    for time, change in sorted(changes):
        if time > since:
            lasting[count] = lasting.get(count, 0) + time - since
            since = time
        count += change
    if cycle > since:
        lasting[count] = lasting.get(count, 0) + cycle - since
    return lasting


def overfull(stays: Sequence[tuple[int, int]], cycle: int, capacity: int) -> int:
    """Carriers beyond `capacity` times how long, for stays (end, dwell) in every cycle."""
    whole = sum(dwell // cycle for _, dwell in stays)
    changes = []
    for end, dwell in stays:
        since, until = end % cycle, (end + dwell) % cycle
        whole += since > until
        changes += [(since, 1), (until, -1)]
    total, count, before = 0, whole, 0
    for time, change in [*sorted(changes), (cycle, 0)]:
        total += max(0, count - capacity) * (time - before)
        count, before = count + change, time
    return total


def sweep(
    arrivals: Sequence[Arrival], departures: Sequence[Departure], cycle: int
) -> dict[int, Link]:
    """Links where arrivals and departures differ in number: take what came last.

    The second of two cycles counts, when the first has left what it leaves.
    """
    events: list[tuple[int, int, int, Arrival | Departure]] = []
    for repeat in (0, 1):
        events += [(a.end + repeat * cycle, 0, repeat, a) for a in arrivals]
        events += [(d.time + repeat * cycle, 1, repeat, d) for d in departures]
    events.sort(key=lambda event: event[:2])
    standing: list[tuple[int, Arrival]] = []
    links: dict[int, Link] = {}
    for _, _, repeat, event in events:
        if isinstance(event, Arrival):
            standing.append((repeat, event))
        elif standing:
            since, arrival = standing.pop()
            boundaries = repeat - since
            ordered = (boundaries, event.step) > (0, arrival.step)
            if repeat and ordered:
                dwell = event.time - arrival.end + boundaries * cycle
                links[event.step] = Link(arrival.step, boundaries, dwell)
    return links
