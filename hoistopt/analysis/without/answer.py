"""A line with all its tanks and hoists, and without some: the best found of each, and the loss."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from ...planning.result import Result, exact_time_per_load
from ...problem import Problem

FAR = Fraction(3, 2)
"""A mean time so many times its bound tells nothing of what is lost: how far the search came
differs more than the lines."""


@dataclass(frozen=True)
class WithoutTanks:
    """The line without some tanks.

    Attributes
    ----------
    tanks : tuple of str
        Those it is without.
    stages : tuple of str
        Labels of the stages they serve.
    result : Result
        The best found for the line without them, over all degrees.
    hoists : tuple of str
        Hoists that it is without as well, of a line with several.
    """

    tanks: tuple[str, ...]
    stages: tuple[str, ...]
    result: Result
    hoists: tuple[str, ...] = ()

    @property
    def out(self) -> tuple[str, ...]:
        """All that the line is without: tanks, then hoists."""
        return *self.tanks, *self.hoists

    def far(self, whole: Result) -> bool:
        """Whether a schedule compared is so far from its bound that the loss is not told."""
        return far_from_bound(self.result) or far_from_bound(whole)

    def lost(self, whole: Result) -> Fraction | None:
        """The share of the output that is lost, of the schedules found.

        None without any, and where one of them is far from its bound.
        """
        if self.result.schedule is None or whole.schedule is None or self.far(whole):
            return None
        return 1 - exact_time_per_load(whole) / exact_time_per_load(self.result)

    def between(self, whole: Result) -> tuple[Fraction, Fraction] | None:
        """The least and the most share of the output that may be lost, of the best cycles there
        are of the degrees compared; None without two schedules.

        What is found is above the best there is, and a bound below it.
        """
        here, there = self.result, whole
        if here.schedule is None or there.schedule is None:
            return None
        least = 1 - exact_time_per_load(there) / max(_bound(here), _bound(there))
        most = 1 - _bound(there) / exact_time_per_load(here)
        return max(Fraction(0), least), max(Fraction(0), most)

    def proved(self, whole: Result) -> bool:
        """Whether neither with the tanks nor without them a degree compared does better."""
        settled = not is_open(whole) and not is_open(self.result)
        return settled or (self.result.status == "infeasible" and whole.schedule is not None)


def _bound(result: Result) -> Fraction:
    """What no cycle of the degrees compared takes less than, per load; more than 0."""
    if not is_open(result) or result.choice is None:
        return exact_time_per_load(result)
    return max(Fraction(str(result.choice.least_of_compared)), Fraction(1, 10**9))


def is_open(result: Result) -> bool:
    """Whether it is not proved that no degree compared does better."""
    return result.choice is None or result.choice.proved == "open"


def far_from_bound(result: Result) -> bool:
    """Whether a schedule takes so much longer than its bound that it is hardly worth comparing."""
    choice = result.choice
    if result.schedule is None or choice is None or not is_open(result):
        return False
    least = choice.least_of_compared
    return exact_time_per_load(result) > FAR * Fraction(str(least))


@dataclass(frozen=True)
class Without:
    """A line with all its tanks and without some of them.

    Attributes
    ----------
    problem : Problem
    whole : Result
        The best found with all tanks.
    rows : tuple of WithoutTanks
    complete : bool
        Whether every question was asked; not where it was stopped before.
    """

    problem: Problem
    whole: Result
    rows: tuple[WithoutTanks, ...]
    complete: bool
