"""How long the hoist takes, and what it may not be carried over: own physics.

A trapezoidal speed profile, or a triangular one where top speed is never reached:
travel over d with top speed v and acceleration a takes d/v + v/a when d >= v*v/a, else
2*sqrt(d/a). Uniform acceleration, any textbook of mechanics.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import isqrt

from ...problem import Crossing, Hoist, Motion, Problem, Station
from .clock import Clock


@dataclass(frozen=True, slots=True)
class Parts:
    """The parts of a loaded move in grid time; a table entry tells only the total.

    `travel` includes settling.
    """

    lift: int | None
    drip: int
    travel: int | None
    lower: int | None
    total: int


class Timetable:
    """Exact times of a hoist's loaded moves and empty travel, each worked out once."""

    def __init__(self, problem: Problem, clock: Clock, hoist: Hoist) -> None:
        self._problem = problem
        self._hoist = hoist
        self._clock = clock
        self._at = problem.station_by_name
        self._loaded: dict[tuple[str, str, int], Parts | None] = {}
        self._empty: dict[tuple[str, str], int | None] = {}
        self._crossed: dict[tuple[str, str], list[tuple[Crossing, str]]] = {}

    def loaded(self, source: str, target: str, drip: int) -> Parts | None:
        """A loaded move with the left stage's `drip`; None where no time is known.

        A longer drip that a crossing asks for replaces `drip`.
        """
        key = (source, target, drip)
        if key not in self._loaded:
            self._loaded[key] = self._loaded_parts(source, target, drip)
        return self._loaded[key]

    def empty(self, source: str, target: str) -> int | None:
        """Empty travel between two stations; None where no time is known."""
        key = (source, target)
        if key not in self._empty:
            self._empty[key] = self._empty_time(source, target)
        return self._empty[key]

    def crossed(self, source: str, target: str) -> list[tuple[Crossing, str]]:
        """The crossings this move makes, each with the first station passed."""
        key = (source, target)
        if key not in self._crossed:
            self._crossed[key] = [
                (crossing, passed)
                for crossing in self._problem.crossings
                if source in crossing.from_
                for passed in [self._first_passed(source, target, crossing)]
                if passed is not None
            ]
        return self._crossed[key]

    def _first_passed(self, source: str, target: str, crossing: Crossing) -> str | None:
        start, end = self._at[source].position, self._at[target].position
        if start is None or end is None:
            return None
        for name in crossing.over:
            position = self._at[name].position
            if position is not None and min(start, end) < position < max(start, end):
                return name
        return None

    def _loaded_parts(self, source: str, target: str, drip: int) -> Parts | None:
        clock, hoist = self._clock, self._hoist
        for crossing, _ in self.crossed(source, target):
            if crossing.min_drip is not None:
                drip = max(drip, clock.exact(crossing.min_drip))
        entry = self._problem.loaded_times.get((source, target))
        if entry is not None:
            return Parts(None, drip, None, None, clock.exact(entry) + drip)
        left, reached = self._at[source], self._at[target]
        lift = hoist.lift if left.lift is None else left.lift
        lower = hoist.lower if reached.lower is None else reached.lower
        if lift is None or lower is None or hoist.loaded is None:
            return None
        travel = self._travel(left, reached, hoist.loaded)
        if travel is None:
            return None
        up, down = clock.exact(lift), clock.exact(lower)
        return Parts(up, drip, travel, down, up + drip + travel + down)

    def _empty_time(self, source: str, target: str) -> int | None:
        entry = self._problem.empty_times.get((source, target))
        if entry is not None:
            return self._clock.exact(entry)
        if source == target:
            return 0
        motion = self._hoist.empty
        return None if motion is None else self._travel(self._at[source], self._at[target], motion)

    def _travel(self, left: Station, reached: Station, motion: Motion) -> int | None:
        """Travel and settling; neither where there is no way to go."""
        if left.position is None or reached.position is None:
            return 0 if left.name == reached.name else None
        distance = abs(reached.position - left.position)
        if not distance:
            return 0
        settling = motion.settling if reached.settling is None else reached.settling
        return self._profile(distance, motion) + self._clock.exact(settling)

    def _profile(self, distance: Decimal, motion: Motion) -> int:
        way, speed = Fraction(distance), Fraction(motion.speed)
        if motion.acceleration is None:
            return self._clock.exact(way / speed)
        rate = Fraction(motion.acceleration)
        if way * rate >= speed * speed:
            return self._clock.exact(way / speed + speed / rate)
        # The root taken on the grid itself: exact where it is rational.
        squared = 4 * way / rate * self._clock.per_unit**2
        return isqrt(squared.numerator // squared.denominator)
