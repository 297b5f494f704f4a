"""How carriers turn round at the ends of the line: which unloaded one becomes which load.

Empty carriers are alike, so the smallest number of them that meets every least stay is
what the line needs; first in, first out achieves it.
"""

from __future__ import annotations

from collections.abc import Sequence

from .grid.route import Leg
from .grid.table import Table
from .queueing import Arrival, Departure, Link, Queue, sweep

OUTSIDE = ""
Legs = Sequence[Leg | None]


def turnrounds(table: Table, legs: Legs) -> dict[int, Link]:
    """For each step that begins a load's way, the step that set its carrier down before.

    Steps are missing where not as many carriers come back as leave.
    """
    coming: dict[str, list[int]] = {}
    going: dict[str, list[int]] = {}
    for number, leg in enumerate(legs):
        for name, group in (
            (_taken_at(table, number, leg), going),
            (_given_at(table, number, leg), coming),
        ):
            if name is not None:
                group.setdefault(name, []).append(number)
    links: dict[int, Link] = {}
    for name, beginning in going.items():
        ending = coming.get(name, [])
        links |= (_outside if name == OUTSIDE else _at_station)(table, legs, ending, beginning)
    return links


def _taken_at(table: Table, number: int, leg: Leg | None) -> str | None:
    """Where the empty carrier that a step lifts for a new load was set down.

    Returns
    -------
    str or None
        The load station, where carriers stand there from set down to lifted;
        :data:`OUTSIDE` where they come back by a way of their own; None where the step
        does not begin a load's way.
    """
    if leg is None or leg.leaves:
        return None
    return _turning(table, table.steps[number].source)


def _given_at(table: Table, number: int, leg: Leg | None) -> str | None:
    """Where the carrier that a step sets down for good waits for a new load; None: none does."""
    routes = table.routes
    if leg is None or leg.reaches != (0 if routes.by_hoist else routes.last(leg.recipe)):
        return None
    return _turning(table, table.steps[number].target)


def _turning(table: Table, station: str) -> str:
    kind = table.problem.station_by_name[station].kind
    return station if table.routes.by_hoist or kind == "load-unload" else OUTSIDE


def _at_station(
    table: Table, legs: Legs, ending: list[int], beginning: list[int]
) -> dict[int, Link]:
    """Carriers stand at the station from set down to lifted."""
    station = table.problem.station_by_name[table.steps[beginning[0]].source]
    least = table.clock.exact(station.min_occupation)
    arrivals = [Arrival(n, table.end(n, legs[n])) for n in ending]
    departures = [Departure(n, table.starts[n], least=least) for n in beginning]
    if len(arrivals) != len(departures):
        return sweep(arrivals, departures, table.cycle)
    queue = Queue(arrivals, departures, table.cycle)
    if station.capacity == "unlimited":
        return queue.soonest().links
    best = queue.best(station.capacity)
    return {} if best is None else best.links


def _outside(table: Table, legs: Legs, ending: list[int], beginning: list[int]) -> dict[int, Link]:
    """Carriers are ready again a fixed time after they were set down."""
    if len(ending) != len(beginning):
        return {}
    back = table.clock.exact(table.problem.carriers.return_time)

    def occupied(name: str) -> int:
        return table.clock.exact(table.problem.station_by_name[name].min_occupation)

    arrivals = [
        Arrival(n, table.end(n, legs[n]) + occupied(table.steps[n].target) + back) for n in ending
    ]
    departures = [
        Departure(n, table.starts[n] - occupied(table.steps[n].source)) for n in beginning
    ]
    return Queue(arrivals, departures, table.cycle).soonest().links
