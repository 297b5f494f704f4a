"""The fit of what hangs together: the loaded hoist, the empty hoist, or both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from ..readings import Group, Readings
from . import answer
from .coordinates import Coordinates
from .identify import Told, tell
from .outliers import SetAside, robust_scatter, usual_times, without_outliers
from .physics import Physics, has_physics
from .squares import Means, least_squares

if TYPE_CHECKING:
    import numpy as np

_ROUNDS = 3
_CHANCE = 0.01
_SMALL = 0.01


@dataclass(frozen=True)
class Part:
    """One fit.

    Attributes
    ----------
    groups : tuple of Group
        Without outliers.
    told : Told
    verdict : Physics
        Whether the physics fits.
    aside : tuple of SetAside
    """

    groups: tuple[Group, ...]
    told: Told
    verdict: answer.Physics
    aside: tuple[SetAside, ...]


Motion = Literal["loaded", "empty", "all"]


def parts_of(readings: Readings) -> list[tuple[Motion, list[Group]]]:
    """What is fitted together: a station's own settling holds for both, loaded and empty."""
    problem = readings.problem
    worked_out = [
        group for group in readings.groups if has_physics(problem, group.timed, readings.hoist)
    ]
    if any(station.settling is not None for station in problem.stations):
        return [("all", worked_out)] if worked_out else []
    loaded = [group for group in worked_out if group.timed.what != "empty"]
    empty = [group for group in worked_out if group.timed.what == "empty"]
    kinds: list[tuple[Motion, list[Group]]] = [("loaded", loaded), ("empty", empty)]
    return [(motion, found) for motion, found in kinds if found]


def fit_part(readings: Readings, motion: Motion, groups: Sequence[Group]) -> Part:
    """Set outliers aside, and fit the figures that the rest tells."""
    kept, aside = list(groups), list[SetAside]()
    fitted = _first(readings, groups)
    for _ in range(_ROUNDS):
        usual = usual_times(groups, fitted)
        scatter = robust_scatter(groups, usual, readings.step)
        kept, aside = without_outliers(readings, groups, usual, scatter)
        physics = Physics(readings.problem, [group.timed for group in kept], readings.hoist)
        told = tell(physics, means_of(kept, readings.step, scatter))
        whole = Physics(readings.problem, [group.timed for group in groups], readings.hoist)
        values = {**whole.figures, **told.solution.values}
        again = whole.times(values)
        if abs(again - fitted).max() < scatter / 10:
            break
        fitted = again
    means = means_of(kept, readings.step, scatter)
    return Part(tuple(kept), told, _verdict(motion, told, means, readings.step), tuple(aside))


def _first(readings: Readings, groups: Sequence[Group]) -> np.ndarray:
    """Times by a robust fit to the medians, accelerations as the file has them."""
    import numpy as np

    physics = Physics(readings.problem, [group.timed for group in groups], readings.hoist)
    today = physics.figures
    median = np.array([np.median(group.times) for group in groups])
    count = np.array([len(group) for group in groups])
    rough = np.full(len(groups), max(readings.step, 0.02 * float(median.mean()), 1e-6))
    held = {figure: value for figure, value in today.items() if "acceleration" in figure.name}
    free = tuple(figure for figure in today if figure not in held)
    solution = least_squares(
        physics, Means(median, count, rough, 0), Coordinates(free, held), today, robust=True
    )
    return physics.times(solution.values)


def means_of(groups: Sequence[Group], step: float, rough: float) -> Means:
    """Mean, number and scatter of each thing timed.

    The scatter is that of its kind, such as lifts, where ten degrees of freedom tell it, else
    that of all kinds; it is no less than what reading to a step makes, step / sqrt(12).
    """
    import numpy as np

    mean = np.array([group.times.mean() for group in groups])
    count = np.array([len(group) for group in groups])
    squares = np.array([((group.times - group.times.mean()) ** 2).sum() for group in groups])
    what = np.array([group.timed.what for group in groups])
    within = int((count - 1).sum())
    if within < 3:
        return Means(mean, count, np.full(len(groups), rough), 0)
    least = max(step / 12**0.5, 1e-9)
    scatter = np.full(len(groups), max(least, (squares.sum() / within) ** 0.5))
    for kind in set(what.tolist()):
        of = what == kind
        if (count[of] - 1).sum() >= 10:
            scatter[of] = max(least, (squares[of].sum() / (count[of] - 1).sum()) ** 0.5)
    return Means(mean, count, scatter, within)


def _verdict(motion: Motion, told: Told, means: Means, step: float) -> answer.Physics:
    from scipy import special

    solution = told.solution
    left = solution.left
    misfit = float((left**2).mean() ** 0.5)
    single = float((means.scatter**2).mean() ** 0.5)
    unknown = int(solution.open.sum())
    freedom = len(left) - (solution.coordinates.variables - unknown)
    if not means.within or freedom < 1:
        return answer.Physics(motion, len(left), misfit, single, None, True)
    ratio = float((means.count * left**2 / means.scatter**2).sum()) / freedom
    chance = float(special.fdtrc(freedom, means.within, ratio))
    small = max(single / 2, step / 2, _SMALL * float(means.mean.mean()))
    return answer.Physics(
        motion, len(left), misfit, single, chance, not (chance < _CHANCE and misfit > small)
    )
