"""Collects broken rules: each fault once, at the first cycle in which it shows."""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction
from typing import Literal

from ..base.numbers.decimals import as_decimal, discernible, nearest, short_decimal
from .grid.clock import Clock
from .plan import Plan
from .record import Rule, Violation

Towards = Literal["down", "nearest", "up"]


class Noted:
    """Violations noted so far, of a cycle or of a programme.

    Parameters
    ----------
    clock : Clock
        Says what a grid time is in the unit.
    unit : str
    """

    def __init__(self, clock: Clock, unit: str) -> None:
        self.clock = clock
        self.unit = unit
        self._found: dict[Hashable, tuple[int, Violation]] = {}

    def time(self, time: int, towards: Towards = "nearest") -> str:
        """A grid time with its unit."""
        return f"{self.number(time, towards)} {self.unit}"

    def number(self, time: int, towards: Towards = "nearest") -> str:
        """A grid time: exact where it has a short decimal, else to a hundredth of a tick.

        A dwell too short is rounded down and one too long up, so that neither looks better than
        it is.
        """
        exact, fine = self.clock.fraction(time), self.clock.planned_tick / 100
        if short_decimal(exact) is not None:
            return discernible(exact)
        rounded = as_decimal(exact, fine, "down" if towards == "down" else "up")
        if towards == "nearest":
            rounded = nearest(exact, fine)
        return discernible(Fraction(rounded) or exact)  # never 0 where it is not

    def figures(
        self, found: int | None, limit: int | None
    ) -> tuple[Fraction | None, Fraction | None]:
        """What was seen and what is allowed, from grid time to the unit."""
        fraction = self.clock.fraction
        return (
            None if found is None else fraction(found),
            None if limit is None else fraction(limit),
        )

    def in_order(self) -> tuple[Violation, ...]:
        """All violations found, in order of time."""
        ordered = sorted(
            self._found.values(), key=lambda item: (item[0], item[1].step, item[1].rule)
        )
        return tuple(violation for _, violation in ordered)


class Findings(Noted):
    """What a cyclic schedule breaks: each fault at the first cycle in which it shows."""

    def __init__(self, plan: Plan) -> None:
        super().__init__(plan.table.clock, plan.table.problem.unit)
        self.plan = plan

    def has(self, rule: Rule, number: int, kind: Hashable = None) -> bool:
        """Whether this fault is noted already, so that nobody need word it again."""
        return (rule, number, kind) in self._found

    def any_of(self, *rules: Rule) -> bool:
        """Whether a fault of one of some rules is noted."""
        return any(violation.rule in rules for _, violation in self._found.values())

    def add(
        self,
        rule: Rule,
        number: int,
        cycle: int,
        time: int,
        text: str,
        *,
        station: str | None = None,
        found: int | None = None,
        limit: int | None = None,
        apart: tuple[Fraction, Fraction] | None = None,
        kind: Hashable = None,
    ) -> None:
        """Note a broken rule, unless the same fault is noted already.

        Parameters
        ----------
        rule : str
        number, cycle : int
            Step and cycle, both from 0.
        time : int
            When, in grid time.
        text : str
            What is wrong, without the place.
        station : str, optional
            Where, by default the step's source.
        found, limit : int, optional
            Figures in grid time.
        apart : tuple of Fraction, optional
            In their place: how far two hoists are apart, and how far they are to be.
        kind : hashable, optional
            Tells apart faults of one rule at one step.
        """
        where = self.plan.table.steps[number].source if station is None else station
        if self.has(rule, number, kind):
            return
        figures = apart or self.figures(found, limit)
        self._found[rule, number, kind] = (
            time,
            Violation(
                rule=rule,
                message=f"{where}, step {number + 1}, cycle {cycle + 1}: {text}",
                station=where,
                step=number + 1,
                cycle=cycle + 1,
                time=self.clock.fraction(time),
                found=figures[0],
                limit=figures[1],
            ),
        )

    def add_whole(
        self,
        rule: Rule,
        message: str,
        *,
        found: Fraction | int | None = None,
        limit: Fraction | int | None = None,
        travel: int | None = None,
    ) -> None:
        """Note a fault of the whole cycle, which stands at no step."""
        self._found[rule, message] = (
            -1,
            Violation(
                rule=rule,
                message=message,
                station="",
                step=0,
                cycle=1,
                time=Fraction(0),
                found=None if found is None else Fraction(found),
                limit=None if limit is None else Fraction(limit),
                travel=travel,
            ),
        )
