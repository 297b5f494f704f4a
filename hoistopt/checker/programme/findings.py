"""Collects the rules that a programme breaks: each fault once, in order of time."""

from __future__ import annotations

from collections.abc import Hashable
from fractions import Fraction

from ..findings import Noted, Towards
from ..record import Rule, Violation
from .course import Course


class Findings(Noted):
    """What a programme breaks.

    Parameters
    ----------
    course : Course
    lost : frozenset of int
        Loads that may stand longer than their maxima, by number.
    """

    def __init__(self, course: Course, lost: frozenset[int] = frozenset()) -> None:
        super().__init__(course.table.clock, course.table.problem.unit)
        self.course = course
        self.lost = lost

    def between(self, least: int, most: int, towards: Towards = "nearest") -> str:
        """A time in doubt with its unit; `towards` is for one that is in none."""
        if least == most:
            return self.time(least, towards)
        return f"{self.number(least, 'down')} to {self.time(most, 'up')}"

    def add(
        self,
        rule: Rule,
        number: int | None,
        time: int,
        text: str,
        *,
        station: str,
        found: int | None = None,
        limit: int | None = None,
        apart: tuple[Fraction, Fraction] | None = None,
        travel: int | None = None,
        kind: Hashable = None,
    ) -> None:
        """Note a broken rule, unless the same fault is noted already.

        Parameters
        ----------
        rule : str
        number : int or None
            Step, from 0; None where the fault is in no step of the programme.
        time : int
            When, in grid time.
        text : str
            What is wrong, without the place.
        station : str
            Where.
        found, limit : int, optional
            Figures in grid time.
        apart : tuple of Fraction, optional
            In their place: how far two hoists are apart, and how far they are to be.
        travel : int, optional
            Number of the travel, from 1, where that breaks the rule.
        kind : hashable, optional
            Tells apart faults of one rule at one step.
        """
        key = (rule, number, kind, None if number is not None else station)
        if key in self._found:
            return
        step = "" if number is None else f", step {number + 1}"
        figures = apart or self.figures(found, limit)
        violation = Violation(
            rule=rule,
            message=f"{station}{step}, at {self.time(time)}: {text}",
            station=station,
            step=0 if number is None else number + 1,
            cycle=1,
            time=self.clock.fraction(time),
            found=figures[0],
            limit=figures[1],
            travel=travel,
        )
        self._found[key] = (time, violation)
