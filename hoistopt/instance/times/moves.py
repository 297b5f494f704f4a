"""How long each move of the hoist takes, in ticks."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from ...base.errors import InputError
from ...problem import Motion, Problem, Station
from ...problem.grid import ticks_per_unit
from .travel import TravelTime, travel_time

_FINE = 10**40
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
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.grid = ticks_per_unit(problem)
        # There are far fewer distances than pairs of stations: each is worked out once.
        self._travels: dict[tuple[Decimal, Decimal, bool], TravelTime] = {}
        self._empties: dict[tuple[Decimal, Decimal], int] = {}

    def loaded(self, source: str, target: str, drip: Decimal) -> Duration:
        """Time from the start of lifting to the end of lowering, drip included."""
        entry = self.problem.loaded_times.get((source, target))
        if entry is not None:
            time = TravelTime(Fraction(entry + drip))
        else:
            here, there = self._station(source), self._station(target)
            hoist = self.problem.hoist
            lift = here.lift if here.lift is not None else hoist.lift
            lower = there.lower if there.lower is not None else hoist.lower
            assert lift is not None and lower is not None and hoist.loaded is not None
            time = self._travel(here, there, loaded=True) + Fraction(lift + drip + lower)
        planned = self._planned(time, f"the move from {source} to {target}")
        return Duration(planned, planned * _FINE - time.floor(self.grid * _FINE))

    def empty(self, source: str, target: str) -> int:
        """Empty travel in ticks, rounded up."""
        entry = self.problem.empty_times.get((source, target))
        if entry is not None:
            return self._planned(TravelTime(Fraction(entry)), f"travel from {source} to {target}")
        if source == target:
            return 0
        here, there = self._station(source), self._station(target)
        assert here.position is not None and there.position is not None
        key = abs(there.position - here.position), self._settling(there, loaded=False)
        if key not in self._empties:
            time = self._travel(here, there, loaded=False)
            self._empties[key] = self._planned(time, f"travel from {source} to {target}")
        return self._empties[key]

    def _planned(self, time: TravelTime, what: str) -> int:
        """A time in ticks, rounded up.

        Raises
        ------
        InputError
            When it is so long that no line is meant, in the unit or in ticks.
        """
        ticks = time.ceil(self.grid)
        unit = self.problem.unit
        if ticks > LONGEST * self.grid:
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
        motion = self.problem.hoist.loaded if loaded else self.problem.hoist.empty
        assert motion is not None
        return motion

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
