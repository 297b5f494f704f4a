"""An order of moves on a changed line: what it gains at once, without a search of others."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Any

from ...base.clock import Clock
from ...base.errors import HoistoptError
from ...checker import Replay, accepted
from ...graph.algorithms.cycle_ratio import least_cycle_of
from ...graph.from_instance import instance_graph
from ...graph.pattern import Pattern, pattern_of
from ...graph.retiming import schedule_of
from ...instance import Instance
from ...planning.found import shortener
from ...problem import Problem
from ...schedule import Schedule
from ...solver import shortest_in_order

Order = Pattern | Schedule
"""An order of moves: of several hoists a schedule in that order."""


@dataclass(frozen=True)
class Today:
    """The line as it is and its best schedule, which every change is tried from.

    Attributes
    ----------
    problem, instance, schedule
    order : Pattern or Schedule
        That of the schedule.
    proved : bool
        Whether no schedule of the line has a shorter cycle.
    quicker : dict
        Lines with a quicker hoist that were made already, by limit and per cent.
    """

    problem: Problem
    instance: Instance
    schedule: Schedule
    order: Order
    proved: bool
    quicker: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, problem: Problem, instance: Instance, schedule: Schedule, *, proved: bool) -> Today:
        """From a schedule that the checker accepts.

        Raises
        ------
        Refused
            When it does not; please report it.
        """
        seen = accepted(problem, schedule, made_here=True)
        order = order_of(problem, instance, seen.schedule, seen)
        return cls(problem, instance, schedule, order, proved)

    @property
    def cycle(self) -> int:
        """The cycle time, in ticks."""
        return self.schedule.cycle

    def in_unit(self, ticks: int) -> Fraction:
        """Ticks in the problem's unit."""
        return Fraction(ticks) / self.instance.ticks_per_unit

    def retimed(
        self,
        problem: Problem,
        instance: Instance,
        order: Order | None = None,
        *,
        clock: Clock,
    ) -> Schedule | None:
        """An order with the times of a changed line, if its cycle is shorter than today's.

        Parameters
        ----------
        problem, instance
            The changed line, with the same moves. The schedule is one that the checker
            accepts.
        order : Pattern or Schedule, optional
            By default today's.
        clock : Clock
            When it is over, there is none.
        """
        order = self.order if order is None else order
        if isinstance(order, Schedule):
            schedule = shortest_in_order(instance, order, self.cycle - 1, clock, shortener(problem))
            if schedule is not None:
                accepted(problem, schedule, made_here=True)
            return schedule
        pattern = self._carried_over(order, instance)
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


def order_of(
    problem: Problem, instance: Instance, schedule: Schedule, seen: Replay | None = None
) -> Order:
    """The order of moves of a schedule that the checker accepts.

    Raises
    ------
    InputError
        When the steps are not the moves of the instance.
    """
    if instance.several is not None:
        return schedule
    return pattern_of(problem, instance, schedule, seen)
