"""What a fit came to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from ...problem import Problem
from ...problem.scatter import Scatter
from ..readings import Readings, Timed
from .figures import Figure
from .outliers import SetAside

How = Literal["told", "given", "shared", "held", "at most"]
CONFIDENCE = 0.95


@dataclass(frozen=True)
class FittedFigure:
    """A figure of the hoist, today's and the fitted.

    Attributes
    ----------
    figure : Figure
    today : Decimal or None
        As the file has it; None: an acceleration that it leaves out.
    value : float or None
    error : float or None
        Standard error; None where there is none to tell, as of a part of a sum.
    low, high : float or None
        Ends of the confidence interval, at :data:`CONFIDENCE`.
    how : {"told", "given", "shared", "held", "at most"}
        By itself; by itself if others that are held are right; as a part of a sum, shared out
        as in the file; as the file has it, since the times do not tell it; or as a bound, of
        empty travel from a log.
    why : str
        Of one that is held, why; of one that is given others, which those are.
    new : Decimal or None
        What a changed file says, rounded to the safe side: times up, the others down.
    """

    figure: Figure
    today: Decimal | None
    value: float | None
    error: float | None
    low: float | None
    high: float | None
    how: How
    why: str
    new: Decimal | None


@dataclass(frozen=True)
class TimedPair:
    """One thing that was timed.

    Attributes
    ----------
    timed : Timed
    count : int
        Readings, those set aside left out.
    aside : int
        Readings set aside.
    mean : float
        Of empty travel from a log the least time seen, :data:`.envelope.LOW` has which.
    error : float or None
        Standard error of the mean; None of a single reading, and of empty travel from a log.
    today : float or None
        By today's file; None where that has no such part, as the whole comes from a table.
    new : float or None
        By the changed file.
    table : bool
        Whether the changed file has it in a table.
    """

    timed: Timed
    count: int
    aside: int
    mean: float
    error: float | None
    today: float | None
    new: float | None
    table: bool


@dataclass(frozen=True)
class Physics:
    """Whether times go by speed, acceleration and the rest.

    Attributes
    ----------
    motion : {"loaded", "empty", "all"}
    things : int
        Things timed that the file works out from figures.
    misfit : float
        Root mean square of mean less fitted time.
    scatter : float
        Standard deviation of single readings of one thing.
    chance : float or None
        Chance of a misfit as large if the physics held; None where it cannot be tested.
    fits : bool
        False: the chance is below 1 %, and the misfit more than half the scatter, half the step
        to which times were read and 1 % of a time.
    """

    motion: Literal["loaded", "empty", "all"]
    things: int
    misfit: float
    scatter: float
    chance: float | None
    fits: bool


@dataclass(frozen=True)
class Sum:
    """Times of which only the sum shows."""

    figures: tuple[Figure, ...]
    value: float
    error: float | None


@dataclass(frozen=True)
class Fit:
    """The hoist's times by what was measured.

    Attributes
    ----------
    readings : Readings
    figures : tuple of FittedFigure
    pairs : tuple of TimedPair
    physics : tuple of Physics
    sums : tuple of Sum
    aside : tuple of SetAside
        Readings set aside as outliers, the farthest first.
    entries : dict
        Entries of tables for a changed file: ("loaded" or "empty", from, to) to the time.
    scatters : tuple of Scatter
        How single readings scatter about the times of the changed file.
    """

    readings: Readings
    figures: tuple[FittedFigure, ...]
    pairs: tuple[TimedPair, ...]
    physics: tuple[Physics, ...]
    sums: tuple[Sum, ...]
    aside: tuple[SetAside, ...]
    entries: Mapping[tuple[str, str, str], Decimal]
    scatters: tuple[Scatter, ...]

    @property
    def problem(self) -> Problem:
        """The line, as its file has it today."""
        return self.readings.problem
