"""Times of moves and empty travel in whole ticks, rounded to the safe side."""

from __future__ import annotations

from fractions import Fraction
from math import ceil, floor, isqrt

from hoistopt.problem import Motion, Problem, Stage

Exact = tuple[Fraction, Fraction]
"""A time ``r + sqrt(q)``, given as ``(r, q)``: exact also where the root is irrational."""


def travel(distance: Fraction, motion: Motion) -> Exact:
    """Time to travel a distance above zero: trapezoidal, or triangular if too short."""
    speed = Fraction(motion.speed)
    if motion.acceleration is None:
        return distance / speed, Fraction(0)
    acceleration = Fraction(motion.acceleration)
    if distance >= speed**2 / acceleration:
        return distance / speed + speed / acceleration, Fraction(0)
    return Fraction(0), 4 * distance / acceleration


def whole_ticks(time: Exact, tick: Fraction) -> tuple[int, bool]:
    """The least number of ticks not below the time, and whether that is longer than it."""
    # In whole numbers: n ticks less r are (n * one - passed) / parts, and enough if the square of
    # that is no less than q.
    (rational, below_r), (square, below_q) = (part.as_integer_ratio() for part in time)
    one, passed = tick.numerator * below_r, rational * tick.denominator
    parts = tick.denominator * below_r
    needed = square * parts**2
    ticks = -(-(passed + _root_up(-(-needed // below_q))) // one)
    return ticks, (ticks * one - passed) ** 2 * below_q != needed


def _root_up(square: int) -> int:
    """The least whole number whose square is no less than this one."""
    return isqrt(square - 1) + 1 if square > 0 else 0


def left_over(time: Exact, tick: Fraction) -> int:
    """What is left of the last tick at the end of a time, in 1e-40 of a tick."""
    (rational, below_r), (square, below_q) = (part.as_integer_ratio() for part in time)
    top, bottom = tick.denominator * 10**40, tick.numerator  # of what is fine in a unit
    passed = rational * top // (below_r * bottom)
    passed += isqrt(square * top**2 // (below_q * bottom**2))
    return whole_ticks(time, tick)[0] * 10**40 - passed


class Clock:
    """Times of one problem; its tick must be given."""

    def __init__(self, problem: Problem) -> None:
        if problem.tick is None:
            raise ValueError("the reference wants the tick stated in the problem")
        self.problem = problem
        self.tick = Fraction(problem.tick)
        self._up: dict[object, int] = {}
        self._empty: dict[tuple[str, str], int] = {}
        self._positions: dict[str, Fraction] = {}
        self._moves: dict[tuple[str, str, object], tuple[int, bool, int] | None] = {}

    def up(self, time: object) -> int:
        """A minimum in ticks."""
        if time not in self._up:
            self._up[time] = ceil(Fraction(time) / self.tick)  # type: ignore[call-overload]
        return self._up[time]

    def down(self, time: object) -> int:
        """A maximum in ticks."""
        return floor(Fraction(time) / self.tick)  # type: ignore[call-overload]

    def window(self, stage: Stage, *, longer: bool) -> tuple[int, int | None]:
        """Least and greatest planned dwell after a move that was, or was not, rounded up.

        A load set down a fraction of a tick early stands that much longer, so a tick less
        may be planned. A window of one tick's multiple alone keeps it: the rule is that
        such a dwell may end up to a tick late.
        """
        least = self.up(stage.min)
        if stage.max is None:
            return least, None
        most = self.down(stage.max)
        if longer and most != least:
            most -= 1
        return least, most

    def position(self, name: str) -> Fraction:
        """Where a station lies."""
        if name not in self._positions:
            position = self.problem.station_by_name[name].position
            assert position is not None
            self._positions[name] = Fraction(position)
        return self._positions[name]

    def loaded(self, source: str, target: str, drip: object) -> tuple[int, bool] | None:
        """Ticks of a loaded move and whether they were rounded up; None: not possible."""
        exact = self.exactly(source, target, drip)
        return None if exact is None else whole_ticks(exact, self.tick)

    def move(self, source: str, target: str, drip: object) -> tuple[int, bool, int] | None:
        """Ticks of a loaded move, whether they were rounded up, and what is left over of them."""
        key = source, target, drip
        if key not in self._moves:
            exact = self.exactly(source, target, drip)
            self._moves[key] = (
                None
                if exact is None
                else (*whole_ticks(exact, self.tick), left_over(exact, self.tick))
            )
        return self._moves[key]

    def exactly(self, source: str, target: str, drip: object) -> Exact | None:
        """Time of a loaded move; None: not possible."""
        problem = self.problem
        if source == target or {source, target} & set(problem.hoist.unreachable):
            return None
        pause = Fraction(drip)  # type: ignore[call-overload]
        for crossing in problem.crossings:
            if source in crossing.from_ and any(
                self._between(source, over, target) for over in crossing.over
            ):
                if crossing.min_drip is None:
                    return None
                pause = max(pause, Fraction(crossing.min_drip))
        entry = problem.loaded_times.get((source, target))
        if entry is not None:
            return Fraction(entry) + pause, Fraction(0)
        motion, here = problem.hoist.loaded, problem.station_by_name[source]
        there = problem.station_by_name[target]
        lift = problem.hoist.lift if here.lift is None else here.lift
        lower = problem.hoist.lower if there.lower is None else there.lower
        assert motion is not None
        assert lift is not None
        assert lower is not None
        rational, square = self._ride(source, target, motion)
        return rational + Fraction(lift) + pause + Fraction(lower), square

    def empty(self, source: str, target: str) -> int:
        """Ticks of empty travel."""
        if (source, target) not in self._empty:
            self._empty[source, target] = self._empty_travel(source, target)
        return self._empty[source, target]

    def _empty_travel(self, source: str, target: str) -> int:
        entry = self.problem.empty_times.get((source, target))
        if entry is not None:
            return self.up(entry)
        if source == target:
            return 0
        motion = self.problem.hoist.empty
        assert motion is not None
        return whole_ticks(self._ride(source, target, motion), self.tick)[0]

    def _ride(self, source: str, target: str, motion: Motion) -> Exact:
        """Travel and settling on arrival; neither without a distance."""
        distance = abs(self.position(target) - self.position(source))
        if distance == 0:
            return Fraction(0), Fraction(0)
        own = self.problem.station_by_name[target].settling
        rational, square = travel(distance, motion)
        return rational + Fraction(motion.settling if own is None else own), square

    def _between(self, source: str, over: str, target: str) -> bool:
        low, high = sorted((self.position(source), self.position(target)))
        return low < self.position(over) < high
