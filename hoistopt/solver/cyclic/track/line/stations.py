"""Stations in a row, the moves between them, and the separations that each station asks."""

from __future__ import annotations

from dataclasses import dataclass

FAR = 1 << 28
"""Ticks; longer than any cycle. The `high` of a time window without a maximum."""


@dataclass(frozen=True)
class Window:
    """A time window: `low` to `high` ticks from a start of `first` to the next of `then`."""

    first: int
    then: int
    low: int
    high: int


@dataclass(frozen=True)
class Station:
    """A place on the track, and what it asks of the moves that begin or end there.

    Attributes
    ----------
    moves : tuple of int
        Moves that begin or end here.
    windows : tuple of Window
        Dwells of loads, from the move that brings one to the move that takes it away.
    partner : dict of int to int
        For a station of one place: the move that takes away what a move brings. It has to
        be the next move here.
    follow : dict of (int, int) to int
        Minimum ticks from start to start where the second move is the next one here after
        the first.
    bringing : frozenset of int
        For an end of the line with one place: the moves that bring a carrier. Any move that
        takes one away may be next, so bringing and taking away alternate.
    leave, reach : int
        Ticks that an empty hoist needs on top of travel to start from here, and to stop here.
    """

    moves: tuple[int, ...]
    windows: tuple[Window, ...]
    partner: dict[int, int]
    follow: dict[tuple[int, int], int]
    bringing: frozenset[int]
    leave: int
    reach: int


@dataclass(frozen=True)
class Line:
    """A line whose moves all have one source and one target. All times are in ticks.

    Cut `c` lies between stations `c` and `c + 1`.

    Attributes
    ----------
    stations : tuple of Station
        From left to right.
    lengths : tuple of int
        By cut, empty travel over it.
    source, target : tuple of int
        By move, the number of its station.
    duration : tuple of int
        By move, from lifting to free again.
    gap : tuple of tuple of int
        By move and move, minimum time from the start of one to the start of a later one.
    at : tuple of int
        By station, its place on the track, as a time of empty travel.
    entering : tuple of tuple of int
        Groups of moves, each of which start in the given order, going round the cycle: loads
        that are alike are not told apart in any other way.
    """

    stations: tuple[Station, ...]
    lengths: tuple[int, ...]
    source: tuple[int, ...]
    target: tuple[int, ...]
    duration: tuple[int, ...]
    gap: tuple[tuple[int, ...], ...]
    at: tuple[int, ...]
    entering: tuple[tuple[int, ...], ...]

    def crossing(self, cut: int) -> list[int]:
        """Return the moves whose load is carried over a cut."""
        return [
            move
            for move, (u, v) in enumerate(zip(self.source, self.target, strict=True))
            if min(u, v) <= cut < max(u, v)
        ]
