"""An order of moves on a changed line: what it gains at once, without a search."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from ...base.errors import HoistoptError
from ...checker import accepted
from ...graph.cycle_ratio import least_cycle_of
from ...graph.from_instance import instance_graph
from ...graph.pattern import Pattern, pattern_of
from ...graph.retiming import schedule_of
from ...instance import Instance
from ...problem import Problem
from ...schedule import Schedule


@dataclass(frozen=True)
class Today:
    """The line as it is and its best schedule, which every change is tried from.

    Attributes
    ----------
    problem, instance, schedule
    pattern : Pattern
        Of the schedule.
    proved : bool
        Whether no schedule of the line has a shorter cycle.
    """

    problem: Problem
    instance: Instance
    schedule: Schedule
    pattern: Pattern
    proved: bool

    @classmethod
    def of(cls, problem: Problem, instance: Instance, schedule: Schedule, *, proved: bool) -> Today:
        """From a schedule that the checker accepts.

        Raises
        ------
        Refused
            When it does not; please report it.
        """
        seen = accepted(problem, schedule, made_here=True)
        return cls(
            problem, instance, schedule, pattern_of(problem, instance, schedule, seen), proved
        )

    @property
    def cycle(self) -> int:
        """The cycle time, in ticks."""
        return self.schedule.cycle

    def in_unit(self, ticks: int) -> Fraction:
        """Ticks in the problem's unit."""
        return Fraction(ticks) / self.instance.ticks_per_unit

    def retimed(
        self, problem: Problem, instance: Instance, order: Pattern | None = None
    ) -> Schedule | None:
        """An order with the times of a changed line, if its cycle is shorter than today's.

        Parameters
        ----------
        problem, instance
            The changed line, with the same moves. The schedule is one that the checker
            accepts.
        order : Pattern, optional
            By default today's.
        """
        pattern = self._carried_over(self.pattern if order is None else order, instance)
        if pattern is None:
            return None
        least = least_cycle_of(instance_graph(instance, pattern))
        if least.cycle is None or least.starts is None or least.cycle >= self.cycle:
            return None
        schedule = schedule_of(instance, pattern, least.starts, least.cycle)
        try:
            accepted(problem, schedule, made_here=True)
        except HoistoptError:  # what the turns at the ends were counted on has changed
            return None
        return schedule

    def _carried_over(self, pattern: Pattern, instance: Instance) -> Pattern | None:
        """A pattern with the routes of a changed line; None where its ends differ."""
        if len(instance.turnrounds) != len(self.instance.turnrounds):
            return None
        ways = [
            {(route.source, route.target): route for route in move.routes}
            for move in instance.moves
        ]
        ends = [(route.source, route.target) for route in pattern.routes]
        if any(end not in way for end, way in zip(ends, ways, strict=True)):
            return None
        routes = tuple(way[end] for end, way in zip(ends, ways, strict=True))
        return replace(pattern, routes=routes)
