"""What a study came to: its points, the best of them and the efficient frontier."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from ...problem import Problem
from ...schedule import Schedule
from .design import Design
from .levels import Value
from .parallel import lengthened
from .parameter import Parameter
from .task import Answer, Status

Thing = TypeVar("Thing")


@dataclass(frozen=True)
class Point:
    """One design with its answer; times in the problem's unit, exactly."""

    design: Design
    answer: Answer

    @property
    def settings(self) -> dict[str, Value]:
        """Parameters by name and what each is set to."""
        return dict(self.design.settings)

    @property
    def status(self) -> Status:
        """As of a result; "failed" or "not run" where there is no answer."""
        return self.answer.status

    @property
    def schedule(self) -> Schedule | None:
        """The schedule, which the checker has accepted."""
        return self.answer.schedule

    @property
    def loads_per_cycle(self) -> int:
        """Loads entering per cycle."""
        return len(self.design.problem.load_set) * self.design.degree

    @property
    def cycle_time(self) -> Fraction | None:
        """Cycle time of the schedule."""
        return None if self.schedule is None else self.schedule.time(self.schedule.cycle)

    @property
    def time_per_load(self) -> Fraction | None:
        """Mean time per load."""
        return None if self.cycle_time is None else self.cycle_time / self.loads_per_cycle

    @property
    def throughput(self) -> Fraction | None:
        """Loads per hour."""
        if self.time_per_load is None:
            return None
        return 3600 / (self.time_per_load * Fraction(self.design.problem.seconds_per_unit))

    @property
    def best_possible(self) -> Fraction | None:
        """Loads per hour that no schedule exceeds, by the proven bound."""
        bound = self.answer.bound
        if not bound:
            return None
        seconds = bound * Fraction(self.design.problem.seconds_per_unit)
        return 3600 * self.loads_per_cycle / seconds


@dataclass(frozen=True)
class Study:
    """What a study came to.

    Attributes
    ----------
    problem : Problem
        The line as the file has it.
    parameters : tuple of Parameter
        What was varied; empty for a list of designs.
    points : tuple of Point
        In the order of the combinations, or of the list.
    reference : Point
        The line as it is.
    idle : tuple of str
        Parameters that make no difference to this line, whatever their value.
    complete : bool
        False when it was stopped before all points were solved.
    """

    problem: Problem
    parameters: tuple[Parameter, ...]
    points: tuple[Point, ...]
    reference: Point
    idle: tuple[str, ...] = ()
    complete: bool = True

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all parameters set anywhere."""
        return tuple(dict.fromkeys(key for point in self.points for key in point.settings))

    @property
    def warnings(self) -> tuple[str, ...]:
        """A sentence where copies of a station lengthen the track, and with it the cycle."""
        before = self.reference.time_per_load
        for point in self.points:
            if before is not None and point.time_per_load is not None:
                told = lengthened(self.problem, point.design.problem, point.settings)
                if told is not None and point.time_per_load > before:
                    return (told,)
        return ()

    @property
    def best(self) -> Point | None:
        """The point with the most loads per hour; the cheapest, then the first of equals."""
        timed = [point for point in self.points if point.throughput is not None]
        return max(
            timed,
            key=lambda point: (point.throughput, -(point.design.cost or 0)),
            default=None,
        )

    def gain(self, point: Point) -> Fraction | None:
        """By what share a point's loads per hour exceed those of the line as it is."""
        before = self.reference.throughput
        if before is None or point.throughput is None:
            return None
        return point.throughput / before - 1

    def cost_of(self, point: Point, against: str | None = None) -> Decimal | None:
        """What stands for the cost of a point: its cost, or the value of a parameter."""
        if against is None:
            return point.design.cost
        value = point.settings.get(against)
        return None if isinstance(value, str | None) else Decimal(value)

    def frontier(self, against: str | None = None) -> tuple[Point, ...]:
        """Points that no other matches in loads per hour at less or the same cost.

        Parameters
        ----------
        against : str, optional
            Name of a numeric parameter to take for the cost.
        """
        known = [
            (point, cost, point.throughput)
            for point in self.points
            if (cost := self.cost_of(point, against)) is not None and point.throughput is not None
        ]
        return tuple(efficient(known))


def efficient(known: Iterable[tuple[Thing, Decimal, Fraction]]) -> list[Thing]:
    """Things with a cost and a yield that no other matches at less or the same cost.

    Of equals in both the first is kept. They come by rising cost, and so by rising yield.
    """
    found: list[Thing] = []
    most: Fraction | None = None
    for thing, _, gained in sorted(known, key=lambda entry: (entry[1], -entry[2])):
        if most is None or gained > most:
            found.append(thing)
            most = gained
    return found
