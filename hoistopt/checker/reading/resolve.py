"""Tell apart moves that several stages or recipes could mean.

A table typed in from a machine may not say which of two visits to a tank a move belongs
to, or which recipe. The carriers' ways tell: what arrived as stage 3 leaves as stage 3.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice, product
from math import prod

from ..grid.route import Leg
from ..grid.table import Table
from ..queueing import Arrival, Departure, Link, Linked, Queue, missed, sweep
from .stationing import link_station, measured

Domain = tuple[Leg, ...]
_MOST_TRIES = 300
_SHIFTS_KEPT = 4


@dataclass
class Settled:
    """One leg per step where there is any; steps whose recipe the table leaves open."""

    legs: list[Leg | None]
    conflicts: int = 0
    cost: int = 0
    off_mix: bool = False
    unclear: set[int] = field(default_factory=set)

    @property
    def rank(self) -> tuple[int, int, bool]:
        """Key to compare by: the smaller, the more likely a reading of the table."""
        return self.conflicts, self.cost, self.off_mix


@dataclass
class Station:
    """The arrivals and departures of one station, their legs perhaps open."""

    name: str
    capacity: int
    in_order: bool
    arrivals: list[Arrival] = field(default_factory=list)
    departures: list[Departure] = field(default_factory=list)


def _stations(table: Table, domains: Sequence[Domain]) -> list[Station]:
    """The stations that moves with several meanings come from or go to."""
    found: dict[str, Station] = {}
    for step, legs in zip(table.steps, domains, strict=True):
        if len(legs) > 1:
            for name in (step.source, step.target):
                station = table.problem.station_by_name[name]
                capacity = station.capacity if isinstance(station.capacity, int) else len(domains)
                found[name] = Station(name, capacity, station.order == "fifo")
    for number, (step, legs) in enumerate(zip(table.steps, domains, strict=True)):
        if step.target in found and any(table.routes.stays_on(leg) for leg in legs):
            soonest = min(table.end(number, leg) for leg in legs)
            found[step.target].arrivals.append(Arrival(number, soonest))
        if step.source in found and any(leg.leaves for leg in legs):
            found[step.source].departures.append(Departure(number, table.starts[number]))
    return list(found.values())


def settle(table: Table, domains: Sequence[Domain]) -> Settled:
    """Choose one leg per step so that ways fit together and dwells their windows best."""
    only = Settled([legs[0] if legs else None for legs in domains])
    if all(len(legs) < 2 for legs in domains):
        return only
    stations = _stations(table, domains)
    choices = [_by_shift(table, station, domains) for station in stations]
    best = min(
        (
            _judge(table, domains, stations, combined)
            for combined in islice(product(*choices), _MOST_TRIES)
        ),
        key=lambda settled: settled.rank,
        default=only,
    )
    if best.unclear or best.rank > (0, 0, False):
        others = list(_by_label(table, stations, domains))
        best = min((*others, best), key=lambda settled: settled.rank)
        equal = [settled for settled in others if settled.rank == best.rank]
        if equal:
            best.unclear = _differ(equal)
    return best


def _differ(equal: Sequence[Settled]) -> set[int]:
    """Steps that begin a load's way, with not the same recipe in all."""
    return {
        number
        for number, legs in enumerate(zip(*(settled.legs for settled in equal), strict=True))
        if any(leg is not None and leg.leaves == 0 for leg in legs)
        and len({leg.recipe for leg in legs if leg is not None}) > 1
    }


def _off_mix(table: Table, legs: Sequence[Leg | None]) -> bool:
    """Whether recipes enter in other proportions than asked for."""
    entering = Counter(leg.recipe for leg in legs if leg is not None and leg.leaves == 0)
    asked = Counter(table.problem.load_set)
    return any(
        entering[name] * asked.total() != count * entering.total() for name, count in asked.items()
    )


def _by_shift(table: Table, station: Station, domains: Sequence[Domain]) -> list[Linked]:
    """The likeliest links at one station, each leg at its best."""
    arrivals, departures = station.arrivals, station.departures
    if not departures or len(arrivals) != len(departures):
        return [Linked(sweep(arrivals, departures, table.cycle))]
    queue = Queue(arrivals, departures, table.cycle)
    found = []
    for k in queue.shifts(station.capacity):
        links = queue.links(k)
        if links is not None:
            off = sum(
                _least_missed(table, step, link, station.name, domains)
                for step, link in links.items()
            )
            found.append(Linked(links, queue.clash(k, station.capacity), off))
    found.sort(key=lambda linked: linked.cost)
    return found[:_SHIFTS_KEPT] or [Linked()]


def _fitting(before: Iterable[Leg], legs: Iterable[Leg]) -> Domain:
    """Those of `legs` that start where one of `before` ends."""
    reached = {(leg.recipe, leg.reaches) for leg in before}
    return tuple(leg for leg in legs if (leg.recipe, leg.leaves) in reached)


def _least_missed(
    table: Table, step: int, link: Link, station: str, domains: Sequence[Domain]
) -> int:
    legs = _fitting(domains[link.before], domains[step])
    windows = [table.routes.window(leg.recipe, leg.leaves, station) for leg in legs]
    off = (missed(link.dwell, window.least, window.most) for window in windows)
    return min(off, default=100 * table.cycle)


def _judge(
    table: Table,
    domains: Sequence[Domain],
    stations: Sequence[Station],
    chosen: Sequence[Linked],
) -> Settled:
    """Give every step along these links a leg, and count what does not fit."""
    settled = Settled([legs[0] if legs else None for legs in domains])
    for way in _ways({step: link for linked in chosen for step, link in linked.links.items()}):
        fitting = _narrowed([domains[step] for step in way])
        if len({leg.recipe for leg in fitting[0]}) > 1:
            settled.unclear.add(way[0])
        before: Leg | None = None
        for step, legs in zip(way, fitting, strict=True):
            follows = legs if before is None else _fitting((before,), legs)
            settled.conflicts += not follows
            before = (follows or domains[step] or (None,))[0]
            settled.legs[step] = before
    for station, linked in zip(stations, chosen, strict=True):
        arrivals, departures = _labelled(table, station, settled.legs)
        ends = {arrival.step: arrival.end for arrival in arrivals}
        sooner = {arrival.step: arrival.end for arrival in station.arrivals}
        links = {
            step: replace(link, dwell=link.dwell + sooner[link.before] - ends[link.before])
            for step, link in linked.links.items()
        }
        seen = measured(links, arrivals, departures, table.cycle, station.capacity)
        settled.cost += seen.cost
    return settled


def _labelled(
    table: Table, station: Station, legs: Sequence[Leg | None]
) -> tuple[list[Arrival], list[Departure]]:
    """The arrivals and departures of a station with the times and windows of their legs."""
    arrivals, departures = [], []
    for arrival in station.arrivals:
        leg = legs[arrival.step]
        assert leg is not None
        key = ((leg.recipe, leg.reaches), None)
        arrivals.append(Arrival(arrival.step, table.end(arrival.step, leg), key))
    for departure in station.departures:
        leg = legs[departure.step]
        assert leg is not None
        window = table.routes.window(leg.recipe, leg.leaves, station.name)
        key = ((leg.recipe, leg.leaves), None)
        departures.append(Departure(departure.step, departure.time, key, window.least, window.most))
    return arrivals, departures


def _ways(links: dict[int, Link]) -> Iterator[list[int]]:
    """Steps that follow one another with one carrier; closed loops cut open."""
    after = {link.before: step for step, link in links.items()}
    heads = [before for before in after if before not in links]
    seen: set[int] = set()
    for head in (*heads, *after):
        way: list[int] = []
        step: int | None = head
        while step is not None and step not in seen:
            seen.add(step)
            way.append(step)
            step = after.get(step)
        if way:
            yield way


def _narrowed(domains: list[Domain]) -> list[Domain]:
    """Keep of each step's legs those that fit to the steps before and after."""
    forward: list[Domain] = []
    for legs in domains:
        forward.append((forward and _fitting(forward[-1], legs)) or legs)
    for number in range(len(forward) - 2, -1, -1):
        ahead = {(leg.recipe, leg.leaves) for leg in forward[number + 1]}
        kept = tuple(leg for leg in forward[number] if (leg.recipe, leg.reaches) in ahead)
        forward[number] = kept or forward[number]
    return forward


def _by_label(
    table: Table, stations: Sequence[Station], domains: Sequence[Domain]
) -> Iterator[Settled]:
    """Try every labelling, where there are few: carriers may overtake one another."""
    if prod(max(1, len(legs)) for legs in domains) > _MOST_TRIES:
        return
    for legs in product(*(legs or (None,) for legs in domains)):
        settled = Settled(list(legs), off_mix=_off_mix(table, legs))
        for station in stations:
            arrivals, departures = _labelled(table, station, legs)
            linked = link_station(
                arrivals, departures, table.cycle, station.capacity, station.in_order
            )
            settled.cost += linked.cost
            settled.conflicts += len(departures) - len(linked.links)
        yield settled
