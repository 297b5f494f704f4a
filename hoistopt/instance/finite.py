"""Plain data of a finite problem: from a state of the line, loads to be taken out of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property

from .data import Instance, Move, Place, Route, Stay, StaysByMove
from .join import Join
from .several import Path, Several

LONG_AGO = -(10**12)
"""Ticks; before everything that a state of the line remembers."""
WEIGHTS = 1000
"""Weights of lateness are counted in this part of one."""


@dataclass(frozen=True, slots=True)
class FiniteLoad:
    """A load and what is left of its way.

    Attributes
    ----------
    number : int
        As a programme names it.
    recipe : str
    moves : tuple of int
        Its moves yet to be made, in their order.
    earliest, latest : int, int or None
        When the first of them may start: its release, or what its dwell in the state leaves.
    place : int or None
        Where it stands, or is about to be set down; None where it has not been lifted yet.
    came : int
        From when on it takes that place.
    rank : int
        Its place among those that came before it to the same station, by the state.
    due : int or None
        When its last stage should be over: when it is set down at its unload station.
    weight : int
        What a tick of lateness counts.
    """

    number: int
    recipe: str
    moves: tuple[int, ...]
    earliest: int
    latest: int | None
    place: int | None = None
    came: int = LONG_AGO
    rank: int = 0
    due: int | None = None
    weight: int = 1

    @property
    def enters(self) -> bool:
        """Whether it has not been lifted at its load station yet."""
        return self.place is None


@dataclass(frozen=True, slots=True)
class EndStation:
    """A load or unload station with a limited number of places and an occupation.

    At one of its places a lift comes `occupied` after whatever happened there before, and
    so does setting down after setting down; after a lift the place is free at once.
    `ready` has for each place from when on a carrier may be lifted, and set down.
    """

    place: int
    occupied: int
    ready: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class CarrierStock:
    """Carriers that are counted.

    One is taken by a load from `ahead` of its load station before it is lifted until
    `behind` of its unload station after it is set down there. `ready` has one time for each
    carrier that no load in the line has: from when on it may be taken.
    """

    ready: tuple[int, ...]
    ahead: dict[int, int]
    behind: dict[int, int]


@dataclass(frozen=True)
class Begin:
    """Where one of several hoists is at first, until it is free.

    `path` is where it may be meanwhile, from time 0 on; `free` when it is free, in ticks, and
    `away` the ticks that it needs from there to each place, empty.
    """

    hoist: int
    path: Path
    free: Fraction
    away: tuple[Fraction, ...]


@dataclass(frozen=True)
class FiniteInstance(StaysByMove):
    """The finite scheduling problem; all times are ticks from the moment of the state.

    Attributes
    ----------
    places : tuple of Place
    empty : tuple of tuple of int
        ``empty[u][v]``: travel of the empty hoist from place u to place v; of several hoists,
        that of the quickest.
    moves : tuple of Move
        Of all loads; `job` counts the loads.
    stays : tuple of Stay
        Between two moves yet to be made.
    loads : tuple of FiniteLoad
    hoist : tuple of int or None
        For each place, from when on the hoist can lift there; None: anywhere at any time.
    ends : tuple of EndStation
    carriers : CarrierStock or None
    sequence : tuple of int
        Loads, by place, that enter in this order; none: in any.
    outlets : frozenset of int
        Moves that set a load down at its unload station.
    join : Join or None
        How it ends in a cycle; None: with the line empty.
    resting : dict of int to tuple of int
        By place: when those of its places that rest in the state were left, the latest last;
        0 at the latest.
    several : Several or None
        What there is to know of the hoists, where there are several.
    begins : tuple of Begin
        Where each of them is at first; empty where the state does not tell.
    promised : dict of int to int
        Starts of moves whose times are given: all moves of some loads, with one route each.
    late_most : int or None
        Weighted lateness that a programme has at the most; None: any.
    """

    places: tuple[Place, ...]
    empty: tuple[tuple[int, ...], ...]
    moves: tuple[Move, ...]
    stays: tuple[Stay, ...]
    loads: tuple[FiniteLoad, ...]
    hoist: tuple[int, ...] | None
    ends: tuple[EndStation, ...]
    carriers: CarrierStock | None
    sequence: tuple[int, ...]
    outlets: frozenset[int]
    ticks_per_unit: Fraction
    join: Join | None = None
    resting: dict[int, tuple[int, ...]] = field(default_factory=dict)
    several: Several | None = None
    promised: dict[int, int] = field(default_factory=dict)
    late_most: int | None = None
    begins: tuple[Begin, ...] = ()

    @cached_property
    def needed(self) -> FiniteInstance:
        """The problem that asks of several hoists no more than is needed in any case.

        What is proved of it holds for whatever can run; itself where that is all one.
        """
        several = self.several
        asks = None if several is None else several.asking("least")
        return self if asks is several else replace(self, several=asks)

    def barred(self, route: Route) -> list[tuple[int, int]]:
        """Spans of starts of a move that where the hoists are at first does not allow."""
        if not self.begins:
            return []
        if route not in self._barred:
            self._barred[route] = list(self._find_barred(route))
        return self._barred[route]

    @cached_property
    def _barred(self) -> dict[Route, list[tuple[int, int]]]:
        return {}

    def _find_barred(self, route: Route) -> Iterator[tuple[int, int]]:
        assert self.several is not None and route.path is not None
        for begin in self.begins:
            if begin.hoist == route.hoist:
                ready = (begin.free + begin.away[route.source]).__ceil__()
                yield LONG_AGO, ready - 1
                continue
            asked = self.several.apart(begin.hoist, begin.path, route.hoist, route.path)
            if asked is not None:
                yield asked[0] + 1, asked[1] - 1

    def soonest(self, move: Move, since: int) -> int:
        """The first start of a move from a time on that the hoists' places at first allow."""
        return min(self._soonest(route, since) for route in move.routes)

    def _soonest(self, route: Route, since: int) -> int:
        for low, high in sorted(self.barred(route)):
            if low <= since <= high:
                since = high + 1
        return since

    @cached_property
    def rests(self) -> dict[int, int]:
        """By place that rests: ticks from a lifting to the planned end of the next move there.

        The most that any two moves ask for; :meth:`early` says by how much less one asks for.
        """
        into, out = self._ways_in, self._ways_out
        return {
            place: max(
                self.places[place].resting(one, other) for one in ways for other in out[place]
            )
            for place, ways in into.items()
            if place in out
        }

    def early(self, route: Route) -> int:
        """Ticks by which a move may end sooner after a lifting than :attr:`rests` says."""
        most = self.rests.get(route.target)
        if most is None:
            return 0
        place = self.places[route.target]
        return most - max(place.resting(route, out) for out in self._ways_out[route.target])

    @cached_property
    def _ways_in(self) -> dict[int, list[Route]]:
        return self._ways("target")

    @cached_property
    def _ways_out(self) -> dict[int, list[Route]]:
        return self._ways("source")

    def _ways(self, end: str) -> dict[int, list[Route]]:
        """The routes that begin, or end, at each place that rests."""
        found: dict[int, dict[Route, None]] = {}
        for move in self.moves:
            for route in move.routes:
                place = getattr(route, end)
                if self.places[place].rest:
                    found.setdefault(place, {})[route] = None
        return {place: list(routes) for place, routes in found.items()}

    @cached_property
    def tied(self) -> dict[int, int]:
        """Ticks from the joining to the start of each move of the cycle; none without one."""
        return {} if self.join is None else self.join.tied

    @cached_property
    def end_at(self) -> dict[int, EndStation]:
        """The limited ends of the line, by place."""
        return {end.place: end for end in self.ends}

    @cached_property
    def reach(self) -> int:
        """Ticks from the end of a move after which no hoist has to mind it any more."""
        return reach_of(self)

    @cached_property
    def due(self) -> bool:
        """Whether lateness counts: some load has a due time."""
        return any(load.due is not None for load in self.loads)

    @cached_property
    def promised_out(self) -> int:
        """When the last of the promised moves is over; 0 without any."""
        moves = self.moves
        return max((t + moves[m].routes[0].duration for m, t in self.promised.items()), default=0)

    def is_promised(self, load: FiniteLoad) -> bool:
        """Whether the times of a load are given."""
        return load.moves[0] in self.promised

    def entering(self) -> tuple[FiniteLoad, ...]:
        """Loads that are to be lifted at their load station, at times that are not given, in
        order of their numbers."""
        free = (load for load in self.loads if load.enters and not self.is_promised(load))
        return tuple(sorted(free, key=lambda load: load.number))

    def outlet(self, load: FiniteLoad) -> int | None:
        """The move that sets a load down at its unload station; None where that is done."""
        return next((move for move in load.moves if move in self.outlets), None)


def reach_of(line: Instance | FiniteInstance) -> int:
    """Ticks from the end of a move after which no hoist has to mind it any more."""
    several = line.several
    if several is None:
        return max((time for row in line.empty for time in row), default=0)
    away = max(max(row) for empty in several.empties for row in empty)
    corners = [
        corner
        for move in line.moves
        for route in move.routes
        if route.path is not None
        for corner in (*route.path.low, *route.path.high)
    ]
    if not corners:
        return away
    positions = [position for _, position in corners]
    short = max(positions) - min(positions) + (len(several) - 1) * several.clearance
    way = short * max(several.slowness) + max(several.getting_up) + several.leeway
    return max(away, (way - min(time for time, _ in corners)).__ceil__())
