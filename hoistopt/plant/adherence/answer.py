"""How a log keeps to a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...problem import Problem
from .deviations import Deviation
from .planned import Planned

if TYPE_CHECKING:
    import numpy as np
    import polars as pl


@dataclass(frozen=True)
class StepCost:
    """What one planned move cost over the log; times in the problem's unit.

    Attributes
    ----------
    number : int
        Of the planned move, from 0.
    made, missing, turned, late : int
        How often it was made in its turn, not made, made out of turn, started late.
    waited : float
        Time lost in all between the move before and its start, stops left out.
    moved : float
        Time lost in all by the move itself taking longer than planned.
    """

    number: int
    made: int
    missing: int
    turned: int
    late: int
    waited: float
    moved: float

    @property
    def cost(self) -> float:
        """Time lost in all."""
        return self.waited + self.moved


@dataclass(frozen=True)
class Drift:
    """One cycle of the log.

    Attributes
    ----------
    cycle : int
        From 1.
    begin : int
        Start of its first move, microseconds since 1970, UTC.
    late : float
        How late that is.
    gained : float or None
        By how much more the next cycle is late; None of the last.
    deviations, stops : int
    """

    cycle: int
    begin: int
    late: float
    gained: float | None
    deviations: int
    stops: int


@dataclass(frozen=True)
class Adherence:
    """How a log keeps to a plan; arrays have an entry for each logged move.

    Attributes
    ----------
    problem : Problem
    planned : Planned
    moves : polars.DataFrame
        The logged moves, of :class:`hoistopt.plant.moves.LoggedMoves`.
    positions : numpy.ndarray
        Place of each in the planned order, -1 where it is not in its turn.
    late : numpy.ndarray
        Start after the planned one, the first move of the log that is the plan's being on
        time; nan where it is none of the plan's.
    lost : numpy.ndarray
        How much later it is than the move before it was: what the time since then cost.
    waited, moved : numpy.ndarray
        Parts of `lost`: between the moves, and by the move before taking longer; nan where
        the log does not show which.
    stopped : numpy.ndarray
        Whether the wait before it was a stop.
    tolerance : float
        A loss above it makes a start late.
    deviations : tuple of Deviation
    steps : tuple of StepCost
    cycles : tuple of Drift
        None of a programme.
    notes : tuple of str
    """

    problem: Problem
    planned: Planned
    moves: pl.DataFrame
    positions: np.ndarray
    late: np.ndarray
    lost: np.ndarray
    waited: np.ndarray
    moved: np.ndarray
    stopped: np.ndarray
    tolerance: float
    deviations: tuple[Deviation, ...]
    steps: tuple[StepCost, ...]
    cycles: tuple[Drift, ...]
    notes: tuple[str, ...] = ()
