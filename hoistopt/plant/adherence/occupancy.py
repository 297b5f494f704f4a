"""Which stations are empty, as far as a log shows: nothing can be lifted from them."""

from __future__ import annotations

from collections.abc import Set

from ...problem import Problem


class Occupancy:
    """Follows the loads of a log through the stations.

    A station is known from its first lift or lowering on, one with several places never, as
    nothing says how many stood there at first. Load stations count as never empty.

    Parameters
    ----------
    problem : Problem
    """

    def __init__(self, problem: Problem) -> None:
        self._single = {
            station.name
            for station in problem.stations
            if station.capacity == 1 and not station.loads and not station.unloads
        }
        self._empty: set[str] = set()

    @property
    def empty(self) -> Set[str]:
        """Stations that are known to be empty now."""
        return self._empty

    def moved(self, source: str, target: str) -> None:
        """Take note of a move."""
        if source in self._single:
            self._empty.add(source)
        self._empty.discard(target)
