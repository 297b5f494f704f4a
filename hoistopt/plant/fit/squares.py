"""Weighted least squares over things timed several times each, and what they leave open.

The mean of the readings of each thing has the variance s^2/n + t^2: s is the scatter of single
readings of one thing, t how far things differ from the physics by themselves. t is the value
at which the weighted squares left are as many as the degrees of freedom: Paule and Mandel
(1982), J. Res. National Bureau of Standards 87, 377-385. Whether there is any such t is the
test of lack of fit against pure error: Draper and Smith, Applied Regression Analysis
(chapter "Checking the straight line fit" in the third edition, 1998; cited from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from .coordinates import Coordinates
from .figures import Figure
from .physics import Physics

if TYPE_CHECKING:
    import numpy as np

_NULL = 1e-6
"""A direction in which the times change less than this part of the most is one that they
leave open."""
_STARTS = (1.0, 0.25, 4.0)
"""Factors on accelerations from which a fit is begun."""


@dataclass(frozen=True)
class Means:
    """What was read, summed up for each thing timed.

    Attributes
    ----------
    mean : numpy.ndarray
        In the problem's unit.
    count : numpy.ndarray
    scatter : numpy.ndarray
        Standard deviation of a single reading.
    within : int
        Degrees of freedom that the scatter was told from; 0: it has to be told from what a
        fit leaves.
    """

    mean: np.ndarray
    count: np.ndarray
    scatter: np.ndarray
    within: int


@dataclass(frozen=True)
class Solution:
    """A fit by least squares.

    Attributes
    ----------
    coordinates : Coordinates
    values : dict
        Of all figures.
    covariance : numpy.ndarray
        Of the variables.
    open : numpy.ndarray
        Whether the times leave each variable open.
    freedom : int
        Degrees of freedom of the errors.
    extra : float
        How far things differ from the physics by themselves: a standard deviation.
    left : numpy.ndarray
        Mean less fitted time of each thing.
    """

    coordinates: Coordinates
    values: Mapping[Figure, float | None]
    covariance: np.ndarray
    open: np.ndarray
    freedom: int
    extra: float
    left: np.ndarray

    def error(self, figure: Figure) -> float | None:
        """Standard error of a figure; None where it is held or left open."""
        slope = self.coordinates.slopes(self.values).get(figure)
        if slope is None or self.open[slope != 0].any() or self.freedom < 1:
            return None
        return self.error_of(slope)

    def error_of(self, slope: np.ndarray) -> float:
        """Standard error of what changes so with the variables."""
        return float(max(0.0, slope @ self.covariance @ slope) ** 0.5)

    def is_open(self, figure: Figure) -> bool:
        """Whether the times leave this figure open."""
        slope = self.coordinates.slopes(self.values).get(figure)
        return slope is not None and bool(self.open[slope != 0].any())


def least_squares(
    physics: Physics,
    means: Means,
    coordinates: Coordinates,
    start: Mapping[Figure, float | None],
    *,
    robust: bool = False,
) -> Solution:
    """Fit the figures that are free.

    Parameters
    ----------
    physics : Physics
    means : Means
    coordinates : Coordinates
    start : dict
        Figures to begin from.
    robust : bool
        Let things far off count less (soft l1), as long as outliers are among them.
    """
    import numpy as np

    variance = means.scatter**2 / means.count
    extra = 0.0
    fit = _best(physics, means.mean, variance, coordinates, start, robust)
    groups, variables = len(means.mean), coordinates.variables
    freedom = groups - int(np.linalg.matrix_rank(fit.jac)) if variables else groups
    if means.within and freedom > 0 and not robust:
        away = means.mean - physics.times(coordinates.values(fit.x))
        extra = _extra(away, fit.jac * (variance**0.5)[:, None], variance, freedom)
        if extra:
            fit = _best(
                physics, means.mean, variance + extra**2, coordinates, coordinates.values(fit.x)
            )
    values = coordinates.values(fit.x)
    left = means.mean - physics.times(values)
    covariance, unknown = _spread(fit.jac, fit.x)
    if not means.within:
        squares = float(left**2 @ (1 / variance))
        covariance = covariance * squares / max(1, freedom)
    elif not extra:
        freedom += means.within
    return Solution(coordinates, values, covariance, unknown, freedom, extra, left)


def _best(
    physics: Physics,
    mean: np.ndarray,
    variance: np.ndarray,
    coordinates: Coordinates,
    start: Mapping[Figure, float | None],
    robust: bool = False,
) -> Any:  # scipy's OptimizeResult
    import numpy as np
    from scipy import optimize

    weight = 1 / np.sqrt(variance)

    def left(x: np.ndarray) -> np.ndarray:
        return (physics.times(coordinates.values(x)) - mean) * weight

    def slopes(x: np.ndarray) -> np.ndarray:
        values = coordinates.values(x)
        return coordinates.jacobian(values, physics.slopes(values)) * weight[:, None]

    if not coordinates.variables:  # all is held
        nothing = np.zeros(0)
        return SimpleNamespace(
            x=nothing, jac=np.zeros((len(mean), 0)), cost=float((left(nothing) ** 2).sum()) / 2
        )
    found = []
    low = coordinates.lowest()
    rates = [figure for figure in coordinates.free if "acceleration" in figure.name]
    for factor in _STARTS if rates else _STARTS[:1]:
        begun = {
            figure: value * factor if figure in rates and value else value
            for figure, value in start.items()
        }
        x = np.maximum(coordinates.at(begun), low + 1e-9)
        found.append(
            optimize.least_squares(
                left, x, jac=slopes, bounds=(low, np.inf), x_scale="jac", xtol=1e-10,
                ftol=1e-10, gtol=1e-10, loss="soft_l1" if robust else "linear", max_nfev=200,
            )
        )  # fmt: skip
    return min(found, key=lambda fit: fit.cost)


def _extra(left: np.ndarray, jacobian: np.ndarray, variance: np.ndarray, freedom: int) -> float:
    """How far things differ from the physics by themselves; 0 where scatter explains all.

    Parameters
    ----------
    left : numpy.ndarray
        Mean less fitted time.
    jacobian : numpy.ndarray
        How the fitted times change with the variables; about the fit they are taken as linear.
    variance : numpy.ndarray
        Of each mean, by scatter alone.
    freedom : int
    """
    import numpy as np

    def squares(extra: float) -> float:
        weight = 1 / np.sqrt(variance + extra**2)
        shift = np.linalg.lstsq(jacobian * weight[:, None], left * weight, rcond=1e-9)[0]
        return float((((left - jacobian @ shift) * weight) ** 2).sum())

    if squares(0.0) <= freedom:
        return 0.0
    low, high = 0.0, float(abs(left).max()) * 2
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if squares(middle) > freedom else (low, middle)
    return high


def _spread(jacobian: np.ndarray, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Covariance of the variables, and which of them are left open."""
    import numpy as np

    if not len(x):
        return np.zeros((0, 0)), np.zeros(0, dtype=bool)
    size = np.linalg.norm(jacobian, axis=0)
    seen = size > 0
    scaled = jacobian / np.where(seen, size, 1.0)
    _, strength, ways = np.linalg.svd(np.linalg.qr(scaled, mode="r"), full_matrices=True)
    strength = np.pad(strength, (0, len(x) - len(strength)))
    told = strength > _NULL * max(strength.max(), 1e-300)
    known = ways[told] / strength[told][:, None]
    covariance = known.T @ known / np.outer(np.where(seen, size, 1), np.where(seen, size, 1))
    unknown = (abs(ways[~told]) > 1e-3).any(axis=0) | ~seen
    return covariance, unknown
