"""Plain data: all that the solver sees of a problem. Integers are ticks or indices."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import ceil
from typing import Self

from .several import Path, Several


@dataclass(frozen=True, slots=True)
class Place:
    """A station: its name, how many carriers it holds (None: any number), its discipline.

    `rest` is how long, in ticks, each of its places stays empty after a carrier was lifted.
    """

    name: str
    capacity: int | None
    fifo: bool
    rest: Fraction = Fraction(0)

    def resting(self, into: Route, out: Route) -> int:
        """Ticks from the start of a move out of here to the planned end of a later one in here.

        The least there may be where both are at the same place of the station. The later move
        sets its carrier down before its planned end, by what it is rounded up and by its
        float; the earlier one may start late by its own.
        """
        if not self.rest:
            return 0
        excess = Fraction(into.excess - _CUT, PARTS)
        return max(0, ceil(self.rest + excess)) + into.pad + out.pad


PARTS = 10**40
"""Of a tick, in which it is told by how much a planned time is longer than the true one."""

_CUT = 10**20
"""Parts by which the excess of a move may be told too great, generously: roots are cut off."""


@dataclass(frozen=True, slots=True)
class Route:
    """One way to make a move: from which place to which, and how long.

    `excess` is the fraction of a tick by which `duration` is longer than the true time,
    in 1e-40 of a tick. `shaved` is what the maximum dwell after this move loses, 0 or 1
    tick: where the true time is shorter than planned, the true dwell is longer. A fixed
    dwell loses nothing, or there would be none left: it is kept to within a tick.
    `pad` is what of `duration` is no work of the hoist's but float kept after the move.
    Where there are several hoists, `hoist` is the one that makes it and `path` where it is
    meanwhile.
    """

    source: int
    target: int
    duration: int
    excess: int = 0
    shaved: int = 0
    pad: int = 0
    hoist: int = 0
    path: Path | None = None

    @property
    def work(self) -> Fraction:
        """Ticks until the load is set down and the hoist is free: no rounding, no float."""
        return self.exact - self.pad

    @property
    def exact(self) -> Fraction:
        """Ticks that it takes, with the float kept after it, not rounded."""
        return self.duration - Fraction(self.excess, PARTS)


@dataclass(frozen=True, slots=True)
class Move:
    """The hoist takes job `job` from stage `stage` to the next; `routes` are the ways to."""

    index: int
    job: int
    stage: int
    routes: tuple[Route, ...]

    @property
    def sources(self) -> tuple[int, ...]:
        """Places this move may start from."""
        return tuple(dict.fromkeys(route.source for route in self.routes))

    @property
    def targets(self) -> tuple[int, ...]:
        """Places this move may end at."""
        return tuple(dict.fromkeys(route.target for route in self.routes))

    @property
    def hoists(self) -> tuple[int, ...]:
        """Hoists that may make this move."""
        return tuple(dict.fromkeys(route.hoist for route in self.routes))

    @property
    def shortest(self) -> int:
        """Duration of the quickest route."""
        return min(route.duration for route in self.routes)


@dataclass(frozen=True, slots=True)
class Stay:
    """A job's dwell between two of its own moves, at one of `places`.

    The dwell, from the end of move `arrival` to the start of move `departure`, lies
    between `least` and `most` (None: no maximum). `nominal` is what is aimed at where
    there is a choice (None: nothing). `room` is what is kept below the maximum of the line,
    which is `most`, `room` and the pad of the move in.
    """

    index: int
    arrival: int
    departure: int
    places: tuple[int, ...]
    least: int
    most: int | None
    label: str
    nominal: int | None = None
    room: int = 0


@dataclass(frozen=True, slots=True)
class Turnround:
    """Carriers leaving with one job and coming back with a next one, whichever that is.

    Every move of `sources` is followed by one of `targets`, each by another, at least
    ``lags[i][j]`` later. Time runs from the source's end (start if `from_start`) to the
    target's start (end if `to_end`). At most `most` carriers are turning round at a time
    (None: any number). With `place` the carriers stand there meanwhile. `carries` tells
    real carriers, to be counted against their number, from mere spacing in time.
    """

    sources: tuple[int, ...]
    targets: tuple[int, ...]
    lags: tuple[tuple[int, ...], ...]
    most: int | None
    place: int | None = None
    from_start: bool = False
    to_end: bool = False
    label: str = ""
    carries: bool = True


class StaysByMove:
    """Finds the stays between the moves of an instance."""

    stays: tuple[Stay, ...]

    @cached_property
    def stay_after(self) -> dict[int, Stay]:
        """The stay a move begins, by move."""
        return {stay.arrival: stay for stay in self.stays}

    @cached_property
    def stay_before(self) -> dict[int, Stay]:
        """The stay a move ends, by move."""
        return {stay.departure: stay for stay in self.stays}


@dataclass(frozen=True)
class Instance(StaysByMove):
    """The cyclic scheduling problem of one degree.

    Attributes
    ----------
    places : tuple of Place
    moves : tuple of Move
        In order of job, then stage.
    empty : tuple of tuple of int
        ``empty[u][v]``: travel of the empty hoist from place u to place v; of several hoists,
        that of the quickest.
    stays : tuple of Stay
    turnrounds : tuple of Turnround
    first_moves : tuple of int
        Each job's move out of its load station, by job.
    unloading : tuple of int
        Each job's move to its unload station, by job.
    alike : tuple of tuple of int
        Jobs that may be exchanged for one another.
    order_given : bool
        Whether jobs enter in the order of their numbers.
    carriers : int or None
        Most carriers in circulation.
    shortest, longest : int, int or None
        Limits set on the cycle time.
    degree : int
        Sets of loads per cycle.
    recipes : tuple of str
        Recipe of each job.
    helped : frozenset of int
        Moves that keep the hoist of the line for no time: they take their time, but it is
        free from their start, wherever it is needed. None on a real line; for asking what
        the hoist's work costs.
    several : Several or None
        What there is to know of the hoists, where there are several.
    """

    places: tuple[Place, ...]
    moves: tuple[Move, ...]
    empty: tuple[tuple[int, ...], ...]
    stays: tuple[Stay, ...]
    turnrounds: tuple[Turnround, ...]
    first_moves: tuple[int, ...]
    unloading: tuple[int, ...]
    alike: tuple[tuple[int, ...], ...]
    order_given: bool
    carriers: int | None
    shortest: int
    longest: int | None
    degree: int
    recipes: tuple[str, ...]
    ticks_per_unit: Fraction
    helped: frozenset[int] = frozenset()
    several: Several | None = None

    @property
    def jobs(self) -> int:
        """Loads per cycle."""
        return len(self.first_moves)

    def with_moves(self, moves: Sequence[Move]) -> Self:
        """The same with fewer ways to make moves; dwells are where these lead."""
        stays = tuple(replace(stay, places=moves[stay.arrival].targets) for stay in self.stays)
        return replace(self, moves=tuple(moves), stays=stays)

    def pairs(self) -> Iterator[tuple[Move, Move]]:
        """Every unordered pair of moves, the lower index first."""
        for index, first in enumerate(self.moves):
            for second in self.moves[index + 1 :]:
                yield first, second

    @cached_property
    def stays_at(self) -> dict[int, tuple[Stay, ...]]:
        """Stays that are, or may be, at a place."""
        found: dict[int, list[Stay]] = {}
        for stay in self.stays:
            for place in stay.places:
                found.setdefault(place, []).append(stay)
        return {place: tuple(stays) for place, stays in found.items()}

    @cached_property
    def gaps(self) -> tuple[tuple[int, ...], ...]:
        """``gaps[a][b]``: least time from the start of move a to that of a later move b.

        Over the routes of both, so a valid bound whichever are chosen.
        """
        sources = [move.sources for move in self.moves]
        return tuple(self._gaps_after(move, sources) for move in self.moves)

    def _gaps_after(self, move: Move, sources: list[tuple[int, ...]]) -> tuple[int, ...]:
        """Least times from the start of a move to that of others with those sources."""
        if move.index in self.helped:
            return (0,) * len(sources)
        ends: dict[int, int] = {}  # when the hoist is at each target; routes are many more
        for route in move.routes:
            known = ends.get(route.target)
            ends[route.target] = route.duration if known is None else min(known, route.duration)
        wanted = set().union(*sources)
        reached = {
            place: min(time + self.empty[target][place] for target, time in ends.items())
            for place in wanted
        }
        return tuple(min(reached[place] for place in places) for places in sources)
