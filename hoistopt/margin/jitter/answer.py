"""What many runs with scattered times came to."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from ...base.numbers.shares import LEVEL, Share
from ...problem import Problem
from ...problem.scatter import Scatter
from ..scattering import Source

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True, eq=False)
class StageJitter:
    """How one stage of a recipe fares; times in the problem's unit.

    Attributes
    ----------
    recipe, stage, label, stations
        Which stage, and where its loads stand.
    least, most : Fraction, Fraction or None
        Its window. No load stands less than the least: the hoist waits.
    share : Share
        Loads that stand longer than `most`.
    longest : float
        The longest dwell seen.
    dwells : ndarray
        Every dwell counted.
    """

    recipe: str
    stage: int
    label: str
    stations: tuple[str, ...]
    least: Fraction
    most: Fraction | None
    share: Share
    longest: float
    dwells: np.ndarray

    @property
    def mean(self) -> float:
        """Mean dwell."""
        return float(self.dwells.mean())

    @property
    def over(self) -> float:
        """By how much the longest dwell is over the maximum; 0 where it is not."""
        return 0.0 if self.most is None else max(0.0, self.longest - float(self.most))


@dataclass(frozen=True)
class LateStep:
    """How late one step starts: its number, from 1; mean and greatest lateness in the unit."""

    step: int
    source: str
    target: str
    mean: float
    most: float


@dataclass(frozen=True, eq=False)
class Jitter:
    """What many runs with scattered times came to; times in the problem's unit.

    Attributes
    ----------
    scatters : tuple of Scatter
    runs, cycles, warm_up, seed : int
        What was run; the first `warm_up` cycles of each run are not counted.
    stages : tuple of StageJitter
        In order of recipe and stage.
    any_stage : Share
        Loads that stood too long in some stage.
    planned : Fraction
        Planned cycle time.
    cycle_time : float
        Mean achieved cycle time.
    cycle_low, cycle_high : float or None
        Interval that holds its true mean at the usual level; None with few runs.
    cycle_times : ndarray
        Every cycle counted: from one start of the first step to its next; of several hoists
        of the step that falls behind most, which others may not wait for yet.
    late_at_end : float
        Mean lateness of that step in the last cycle.
    latest : LateStep
        The step that is late by most on average, over all cycles counted.
    complete : bool
        False when a stop or the time limit left fewer cycles than asked for.
    source : {"given", "stated", "assumed"}
        Who said what scatters: who asked, the problem, or nobody.
    """

    problem: Problem
    scatters: tuple[Scatter, ...]
    runs: int
    cycles: int
    warm_up: int
    seed: int
    stages: tuple[StageJitter, ...]
    any_stage: Share
    planned: Fraction
    cycle_time: float
    cycle_low: float | None
    cycle_high: float | None
    cycle_times: np.ndarray
    late_at_end: float
    latest: LateStep
    complete: bool = True
    source: Source = "given"

    @property
    def level(self) -> float:
        """Confidence level of every interval."""
        return LEVEL
