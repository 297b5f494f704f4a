"""What a transition is: crossings of the next cut, and separations between events."""

from __future__ import annotations

from typing import NamedTuple

EMPTY, PASSING = -1, -2
"""Kinds of crossings besides the moves that begin or end at the next station.

EMPTY: the hoist carries nothing. PASSING: some load, on to a station further away.
"""

Pattern = tuple[tuple[str, int], ...]
"""The crossings of a cut in turn round the cycle, each a direction and a kind.

Directions "R" (to the right) and "L" alternate. The kind is EMPTY, PASSING or the number of a
move that begins or ends at the station on the right of the cut.
"""

Separation = tuple[int, int, int]
"""Two variables, and ticks from the first to the next occurrence of the second."""


class Crossing(NamedTuple):
    """A crossing of the cut on the right of a station.

    Attributes
    ----------
    direction : str
        "R" to the right, "L" to the left.
    move : int
        The move carried over the cut, EMPTY, or PASSING for a load that passes the station.
    variable, offset, height : int
        When it happens: `offset` ticks after a variable, `height` cycles later.
    slot : int
        For PASSING: the number of the same load's crossing of the left cut.
    """

    direction: str
    move: int
    variable: int
    offset: int = 0
    height: int = 0
    slot: int = -1


class Transition(NamedTuple):
    """One way to serve a station, between the cut on its left and the cut on its right.

    Variables are times of events. First come the crossings of the left cut, numbered as in
    their pattern, then the starts of moves that begin or end here and cross the right cut
    only. A loaded crossing happens at the start of its move; an empty one when the hoist
    leaves what is left of the cut, or is back there.

    Attributes
    ----------
    crossings : tuple of Crossing
        Of the right cut, in turn round the cycle.
    order : tuple of int
        All variables, in turn round the cycle from the first crossing of the left cut.
    least, most : tuple of Separation
        Minimum, and maximum, times between variables.
    cost : int
        Ticks of the hoist that the transition takes at least, besides what it takes on the
        left of the station.
    served : tuple of tuple of int
        For every crossing of the left cut to the right, what follows before the hoist goes
        back over the left cut: moves, and EMPTY for empty crossings of the right cut.
    """

    crossings: tuple[Crossing, ...]
    order: tuple[int, ...]
    least: tuple[Separation, ...]
    most: tuple[Separation, ...]
    cost: int
    served: tuple[tuple[int, ...], ...]
