"""Which carrier leaves one station by which step, all recipes and stages together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from dataclasses import replace

from ..queueing import Arrival, Departure, Link, Linked, Queue, missed, overfull, sweep


def link_station(
    arrivals: Sequence[Arrival],
    departures: Sequence[Departure],
    cycle: int,
    capacity: int | None,
    in_order: bool,
) -> Linked:
    """Link the departures of one station to its arrivals.

    Keys are (leg stage, load) pairs: a departure takes only an arrival whose key is
    equal. Where carriers leave in order of arrival, all keys queue together unless they
    cannot, or fare much worse for it; else each key queues by itself, and whoever replays
    the plan sees carriers overtake or meet.

    Parameters
    ----------
    arrivals, departures : sequences
        Of one cycle.
    cycle : int
        Cycle time in grid time.
    capacity : int or None
        Carriers held at once; None for any number.
    in_order : bool
        Whether the first to come is the first to leave.
    """
    arrivals, departures = _known_loads(arrivals, departures)
    balanced = Counter(a.key for a in arrivals) == Counter(d.key for d in departures)
    together: Linked | None = None
    if balanced and arrivals and capacity is not None and in_order:
        together = Queue(arrivals, departures, cycle).best(capacity, _agree)
        if together is not None and not together.cost:
            return together
    coming: dict[Hashable, list[Arrival]] = {}
    for arrival in arrivals:
        coming.setdefault(arrival.key, []).append(arrival)
    leaving: dict[Hashable, list[Departure]] = {}
    for departure in departures:
        leaving.setdefault(departure.key, []).append(departure)
    links: dict[int, Link] = {}
    for key, group in leaving.items():
        links |= _link_key(coming.get(key, []), group, cycle, capacity)
    apart = measured(links, arrivals, departures, cycle, capacity)
    if in_order:
        apart = replace(apart, off=apart.off + _overtaken(links, departures, cycle))
    return together if together is not None and together.cost <= apart.cost else apart


def _overtaken(links: dict[int, Link], departures: Sequence[Departure], cycle: int) -> int:
    """By how much carriers leave later, in every cycle, than others that came after them."""
    leaving = sorted((d.time, d.time - links[d.step].dwell) for d in departures if d.step in links)
    if not leaving:
        return 0
    # The latest to come of all that left before: in earlier cycles, then in this one.
    latest = max(came for _, came in leaving) - cycle
    total = 0
    for _, came in leaving:
        total += max(0, latest - came)
        latest = max(latest, came)
    return total


def _link_key(
    arrivals: list[Arrival], departures: list[Departure], cycle: int, capacity: int | None
) -> dict[int, Link]:
    if len(arrivals) != len(departures):
        return sweep(arrivals, departures, cycle)
    queue = Queue(arrivals, departures, cycle)
    if capacity is None:
        return (queue.stated(_agree) or queue.soonest()).links
    found = queue.best(capacity, _agree) or queue.best(capacity)
    return {} if found is None else found.links


def measured(
    links: dict[int, Link],
    arrivals: Sequence[Arrival],
    departures: Sequence[Departure],
    cycle: int,
    capacity: int | None,
) -> Linked:
    """How far given links are from what the rules allow."""
    ends = {arrival.step: arrival.end for arrival in arrivals}
    leaving = {departure.step: departure for departure in departures}
    stays = [(ends[link.before], link.dwell) for link in links.values()]
    early = sum(max(0, -link.dwell) for link in links.values())
    off = sum(
        missed(link.dwell, leaving[step].least, leaving[step].most) for step, link in links.items()
    )
    crowded = 0 if capacity is None else overfull(stays, cycle, capacity)
    return Linked(links, early + crowded, off)


def _agree(arrival: Arrival, departure: Departure, boundaries: int) -> bool:
    stated = departure.boundaries
    return arrival.key == departure.key and (stated is None or stated == boundaries)


def _known_loads(
    arrivals: Sequence[Arrival], departures: Sequence[Departure]
) -> tuple[list[Arrival], list[Departure]]:
    """Drop the load from the key of a stage where the table gives it only in part."""
    events: list[Arrival | Departure] = [*arrivals, *departures]
    partly = {
        event.key[0] for event in events if isinstance(event.key, tuple) and event.key[1] is None
    }

    def plain(key: object) -> object:
        if isinstance(key, tuple) and key[0] in partly:
            return (key[0], None)
        return key

    return (
        [replace(a, key=plain(a.key)) for a in arrivals],
        [replace(d, key=plain(d.key)) for d in departures],
    )
