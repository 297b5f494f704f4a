"""How long each move of the hoist takes, in ticks."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from ...base.errors import InputError
from ...problem import Hoist, Motion, Problem, Station
from ...problem.grid import ticks_per_unit
from ..data import PARTS
from ..least_apart import Fastest, Instant, instants_of
from ..several import Path, path_of
from .travel import TravelTime, travel_time

_FINER = 1000
"""In so many parts of a tick it is told when a hoist has arrived, at the latest."""
LONGEST = 10**8
"""Of a move or travel, in the problem's unit: three years of seconds."""
MOST_TICKS = 10**12
"""Of a move or travel. Sums over a cycle stay below 2**53, exact in every search."""


class Duration(NamedTuple):
    """A move's time as planned, in whole ticks, and by how much that exceeds the true one.

    `excess` is in 1e-40 of a tick, far finer than anyone can tell; 0 where the time is whole.
    """

    planned: int
    excess: int


class HoistTimes:
    """Times of loaded moves and of empty travel between the stations of a problem.

    A table entry counts before physics. Sums are rounded once, so a move is planned
    at most one tick longer than it takes.

    Parameters
    ----------
    problem : Problem
    hoist : Hoist, optional
        One of several; without it the line has one.
    """

    def __init__(self, problem: Problem, hoist: Hoist | None = None) -> None:
        self.problem = problem
        self.hoist = problem.hoist if hoist is None else hoist
        self.grid = ticks_per_unit(problem)
        # There are far fewer distances than pairs of stations: each is worked out once.
        self._travels: dict[tuple[Decimal, Decimal, bool], TravelTime] = {}
        self._empties: dict[tuple[Decimal, Decimal], Duration] = {}
        self._entries: dict[Decimal, Duration] = {}
        self._loaded: dict[tuple[str, str, Decimal], Duration] = {}
        self._longest = int(LONGEST * self.grid)
        self._finest = self.grid * PARTS

    def loaded(self, source: str, target: str, drip: Decimal) -> Duration:
        """Time from the start of lifting to the end of lowering, drip included."""
        key = source, target, drip  # each load of a recipe asks for the same
        if key not in self._loaded:
            self._loaded[key] = self._work_out(source, target, drip)
        return self._loaded[key]

    def _work_out(self, source: str, target: str, drip: Decimal) -> Duration:
        entry = self.problem.loaded_times.get((source, target))
        if entry is not None:
            time = TravelTime(Fraction(entry + drip))
        else:
            here, there = self._station(source), self._station(target)
            lift, lower = self._lift(here), self._lower(there)
            time = self._travel(here, there, loaded=True) + Fraction(lift + drip + lower)
        return self._duration(time, f"the move from {source} to {target}")

    def empty(self, source: str, target: str) -> int:
        """Empty travel in ticks, rounded up."""
        return self._empty(source, target).planned

    def empty_excess(self, source: str, target: str) -> int:
        """By how much that is longer than it takes, as in :class:`Duration`."""
        return self._empty(source, target).excess

    def _empty(self, source: str, target: str) -> Duration:
        what = f"travel from {source} to {target}"
        entry = self.problem.empty_times.get((source, target))
        if entry is not None:
            if entry not in self._entries:
                self._entries[entry] = self._duration(TravelTime(Fraction(entry)), what)
            return self._entries[entry]
        if source == target:
            return Duration(0, 0)
        here, there = self._station(source), self._station(target)
        assert here.position is not None and there.position is not None
        key = abs(there.position - here.position), self._settling(there, loaded=False)
        if key not in self._empties:
            self._empties[key] = self._duration(self._travel(here, there, loaded=False), what)
        return self._empties[key]

    def empty_from(self, position: Fraction, target: str) -> Fraction:
        """Ticks of empty travel from a position on the track to a station, settling included.

        Up to a part of a tick: when it begins may lie between two ticks, and the move after it
        is what is rounded up.
        """
        there = self._station(target)
        assert there.position is not None
        way = abs(Fraction(there.position) - position)
        if not way:
            return Fraction(0)
        time = travel_time(way, self._motion(loaded=False))
        time = time + Fraction(self._settling(there, loaded=False))
        self._planned(time, f"travel to {target}")
        return Fraction(time.ceil(self._finest), PARTS)

    def _duration(self, time: TravelTime, what: str) -> Duration:
        """A time rounded up, and by how much.

        Raises
        ------
        InputError
            As :meth:`_planned`.
        """
        planned = self._planned(time, what)
        return Duration(planned, planned * PARTS - time.floor(self._finest))

    def to_the_end(self, target: str, *, loaded: bool) -> tuple[Fraction, Fraction, Fraction]:
        """Of a trip to a station: top speed per tick, ticks to gain it, and ticks from the
        arrival until the hoist is free, settled and its load set down."""
        there, motion = self._station(target), self._motion(loaded=loaded)
        speed = Fraction(motion.speed)
        gaining = speed / Fraction(motion.acceleration) if motion.acceleration else Fraction(0)
        last = Fraction(self._settling(there, loaded=loaded))
        last += Fraction(self._lower(there)) if loaded else 0
        return speed / self.grid, gaining * self.grid, last * self.grid

    def _planned(self, time: TravelTime, what: str) -> int:
        """A time in ticks, rounded up.

        Raises
        ------
        InputError
            When it is so long that no line is meant, in the unit or in ticks.
        """
        ticks = time.ceil(self.grid)
        unit = self.problem.unit
        if ticks > self._longest:
            raise InputError(
                f"{what} to take at most {LONGEST} {unit}",
                field="times",
                value=f"about {float(ticks / self.grid):.0f} {unit}",
                way_out="Check the units of positions and speeds.",
            )
        if ticks > MOST_TICKS:
            raise InputError(
                f"a tick of which {what} takes at most {MOST_TICKS}",
                field="tick",
                value=f"{float(1 / self.grid):.6f} {unit}",
                way_out="Give a coarser tick, or fewer decimals in all times.",
            )
        return ticks

    def _station(self, name: str) -> Station:
        return self.problem.station_by_name[name]

    def _motion(self, *, loaded: bool) -> Motion:
        motion = self.hoist.loaded if loaded else self.hoist.empty
        assert motion is not None
        return motion

    def _lift(self, station: Station) -> Decimal:
        lift = self.hoist.lift if station.lift is None else station.lift
        assert lift is not None
        return lift

    def _lower(self, station: Station) -> Decimal:
        lower = self.hoist.lower if station.lower is None else station.lower
        assert lower is not None
        return lower

    def path(self, source: str, target: str, drip: Decimal, duration: Duration) -> Path:
        """Where the hoist is during a loaded move."""
        here, there = self._station(source), self._station(target)
        assert here.position is not None and there.position is not None
        ends = duration.planned - Fraction(duration.excess, PARTS)
        if (source, target) in self.problem.loaded_times:
            return self._measured(here, there, drip, ends)
        leaves = Fraction(self._lift(here) + drip) * self.grid
        settling = Fraction(self._settling(here, loaded=False))
        # It need not settle where it has just set a load down; it stood there for that.
        stands = min(settling, Fraction(self._lower(here)))
        motion = self._motion(loaded=True)
        distance = Fraction(abs(there.position - here.position))
        travel = travel_time(distance, motion).ceil(self.grid * _FINER)
        return path_of(
            -settling * self.grid,
            leaves,
            leaves + Fraction(travel, _FINER),
            ends,
            Fraction(here.position),
            Fraction(there.position),
            Fraction(motion.speed) / self.grid,
            instants_of(
                -stands * self.grid,
                leaves,
                ends,
                Fraction(here.position),
                Fraction(there.position),
                self._fastest(motion),
            ),
        )

    def _measured(self, here: Station, there: Station, drip: Decimal, ends: Fraction) -> Path:
        """Where the hoist may be during a move of which a table has the time.

        When in that time it travels is not known: it may leave as soon as the load has dripped
        and arrive only in the end, as long as it goes one way and is never faster than its top
        speed.
        """
        assert here.position is not None and there.position is not None
        settling = Fraction(self._settling(here, loaded=False)) * self.grid
        stands, gone = Fraction(here.position), Fraction(there.position)
        return path_of(
            -settling,
            Fraction(drip) * self.grid,
            ends,
            ends,
            stands,
            gone,
            Fraction(self._motion(loaded=True).speed) / self.grid,
            (Instant(Fraction(0), stands, still=True), Instant(ends, gone, still=True)),
        )

    def fastest(self, *, loaded: bool = True) -> Fastest:
        """Top speed and acceleration of the hoist: the best of empty and loaded, or empty only."""
        empty = self._fastest(self._motion(loaded=False))
        return empty.beside(self._fastest(self._motion(loaded=True))) if loaded else empty

    def _fastest(self, motion: Motion) -> Fastest:
        gain = motion.acceleration
        return Fastest(
            Fraction(motion.speed) / self.grid,
            None if gain is None else Fraction(gain) / self.grid**2,
        )

    def giving_way(self) -> tuple[Fraction, Fraction]:
        """Ticks a unit of length at top speed, empty, and what acceleration adds at the most."""
        motion = self._motion(loaded=False)
        speed = Fraction(motion.speed)
        if motion.acceleration is None:
            return self.grid / speed, Fraction(0)
        return self.grid / speed, speed / Fraction(motion.acceleration) * self.grid

    def _settling(self, there: Station, *, loaded: bool) -> Decimal:
        return (
            there.settling if there.settling is not None else self._motion(loaded=loaded).settling
        )

    def _travel(self, here: Station, there: Station, *, loaded: bool) -> TravelTime:
        assert here.position is not None and there.position is not None
        distance, settling = (
            abs(there.position - here.position),
            self._settling(there, loaded=loaded),
        )
        key = distance, settling, loaded
        if key not in self._travels:
            if distance == 0:
                self._travels[key] = TravelTime(Fraction(0))
            else:
                travel = travel_time(Fraction(distance), self._motion(loaded=loaded))
                self._travels[key] = travel + Fraction(settling)
        return self._travels[key]
