"""Places of stations on a line, such that no empty travel is overstated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Table = Sequence[Sequence[int]]


@dataclass(frozen=True)
class Metric:
    """A lower bound on empty travel between places, in ticks.

    From `u` to `v` the empty hoist takes at least
    ``leave[u] + abs(at[u] - at[v]) + reach[v]``.

    Attributes
    ----------
    at : dict
        Place of each station along the track, as a time.
    leave, reach : dict
        Ticks on top for starting from a station, and for stopping at one.
    """

    at: dict[int, int]
    leave: dict[int, int]
    reach: dict[int, int]


def metric(empty: Table, places: Sequence[int]) -> Metric:
    """Return the closest of the bounds that measuring from either end of the track gives.

    Where the triangle inequality holds, the distance from one end is a place on a line.
    Measured times need not keep it, so distances are those of the shortest paths.

    Parameters
    ----------
    empty : table (stations, stations)
        Empty travel in ticks.
    places : sequence of int
        Numbers of the stations to be placed.
    """
    between = _shortest(empty, places)
    ends = max(((u, v) for u in places for v in places), key=lambda pair: between[pair])
    lines = [dict.fromkeys(places, 0)]
    for end in ends:
        lines.append({p: between[end, p] for p in places})
        lines.append({p: between[p, end] for p in places})
    return max(
        (_with_stops(empty, places, line) for line in lines),
        key=lambda one: sum(
            one.leave[u] + abs(one.at[u] - one.at[v]) + one.reach[v]
            for u in places
            for v in places
            if u != v
        ),
    )


def _shortest(empty: Table, places: Sequence[int]) -> dict[tuple[int, int], int]:
    """Return the length of the shortest path between any two stations, in either direction."""
    found = {(u, v): min(empty[u][v], empty[v][u]) if u != v else 0 for u in places for v in places}
    for middle in places:
        for u, v in found:
            found[u, v] = min(found[u, v], found[u, middle] + found[middle, v])
    return found


def _with_stops(empty: Table, places: Sequence[int], at: dict[int, int]) -> Metric:
    """Return the bound for given places, with what all empty travel takes on top of them."""
    rest = {(u, v): empty[u][v] - abs(at[u] - at[v]) for u in places for v in places if u != v}
    reach = {v: min((rest[u, v] for u in places if u != v), default=0) for v in places}
    leave = {u: min((rest[u, v] - reach[v] for v in places if u != v), default=0) for u in places}
    return Metric(at, leave, reach)
