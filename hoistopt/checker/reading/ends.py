"""How carriers turn round at the ends of the line: which unloaded one becomes which load.

Empty carriers are alike, so the smallest number of them that meets every least stay is
what the line needs; first in, first out achieves it.
"""

from __future__ import annotations

from .loads import Reading
from .queueing import Arrival, Departure, Link, Queue, sweep

OUTSIDE = ""


def taken_at(reading: Reading, number: int) -> str | None:
    """Where the empty carrier that a step lifts for a new load was set down.

    Returns
    -------
    str or None
        The load station, where carriers stand there from set down to lifted;
        :data:`OUTSIDE` where they come back by a way of their own; None where the step
        does not begin a load's way.
    """
    leg = reading.legs[number]
    if leg is None or leg.leaves:
        return None
    return _turning(reading, reading.table.steps[number].source)


def given_at(reading: Reading, number: int) -> str | None:
    """The same for the carrier that a step sets down for good, ready for a new load."""
    leg, routes = reading.legs[number], reading.table.routes
    if leg is None or leg.reaches != (0 if routes.by_hoist else routes.last(leg.recipe)):
        return None
    return _turning(reading, reading.table.steps[number].target)


def _turning(reading: Reading, station: str) -> str:
    table = reading.table
    kind = table.problem.station_by_name[station].kind
    return station if table.routes.by_hoist or kind == "load-unload" else OUTSIDE


def turnrounds(reading: Reading) -> dict[int, Link]:
    """For each step that begins a load's way, the step that set its carrier down before.

    Steps are missing where not as many carriers come back as leave.
    """
    coming: dict[str, list[int]] = {}
    going: dict[str, list[int]] = {}
    for number in range(len(reading.legs)):
        for name, group in (
            (taken_at(reading, number), going),
            (given_at(reading, number), coming),
        ):
            if name is not None:
                group.setdefault(name, []).append(number)
    links: dict[int, Link] = {}
    for name, beginning in going.items():
        ending = coming.get(name, [])
        links |= (_outside if name == OUTSIDE else _at_station)(reading, ending, beginning)
    return links


def _at_station(reading: Reading, ending: list[int], beginning: list[int]) -> dict[int, Link]:
    """Carriers stand at the station from set down to lifted."""
    table = reading.table
    station = table.problem.station_by_name[table.steps[beginning[0]].source]
    least = table.clock.exact(station.min_occupation)
    arrivals = [Arrival(number, reading.end(number)) for number in ending]
    departures = [Departure(n, table.starts[n], least=least) for n in beginning]
    if len(arrivals) != len(departures):
        return sweep(arrivals, departures, table.cycle)
    queue = Queue(arrivals, departures, table.cycle)
    if station.capacity == "unlimited":
        return queue.soonest().links
    best = queue.best(station.capacity)
    return {} if best is None else best.links


def _outside(reading: Reading, ending: list[int], beginning: list[int]) -> dict[int, Link]:
    """Carriers are ready again a fixed time after they were set down."""
    table = reading.table
    if len(ending) != len(beginning):
        return {}
    back = table.clock.exact(table.problem.carriers.return_time)

    def occupied(name: str) -> int:
        return table.clock.exact(table.problem.station_by_name[name].min_occupation)

    arrivals = [Arrival(n, reading.end(n) + occupied(table.steps[n].target) + back) for n in ending]
    departures = [
        Departure(n, table.starts[n] - occupied(table.steps[n].source)) for n in beginning
    ]
    return Queue(arrivals, departures, table.cycle).soonest().links
