"""What times follow from figures of the hoist: own physics, in floats, for a fit.

Trapezoidal speed, as the meaning of a problem has it: travel over d at top speed v with
acceleration a takes d/v + v/a where v is reached (d >= v*v/a), else 2*sqrt(d/a).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...problem import Problem
from ..readings import Timed
from .figures import Figure, stated

if TYPE_CHECKING:
    import numpy as np


def travel(distance: np.ndarray, speed: float, acceleration: float | None) -> np.ndarray:
    """Times of travel from rest to rest; 0 where there is no way to go."""
    import numpy as np

    if acceleration is None:
        return distance / speed
    reached = distance * acceleration >= speed * speed
    full = distance / speed + speed / acceleration
    short = 2 * np.sqrt(distance / acceleration)
    return np.where(distance == 0, 0.0, np.where(reached, full, short))


def _travel_slopes(
    distance: np.ndarray, speed: float, acceleration: float | None
) -> tuple[np.ndarray, np.ndarray]:
    """How times of travel change with speed and with acceleration."""
    import numpy as np

    if acceleration is None:
        return -distance / speed**2, np.zeros(len(distance))
    reached = (distance * acceleration >= speed * speed) & (distance > 0)
    by_speed = np.where(reached, -distance / speed**2 + 1 / acceleration, 0.0)
    short = -np.sqrt(distance) / acceleration**1.5
    return by_speed, np.where(reached, -speed / acceleration**2, short)


def has_physics(problem: Problem, timed: Timed, hoist: int = 0) -> bool:
    """Whether a file works this time out from figures, not from a table."""
    figures = stated(problem, hoist)
    at = problem.station_by_name
    needed: list[bool] = []
    if timed.what in ("lift", "move"):
        assert timed.source is not None
        needed.append(at[timed.source].lift is not None or Figure("lift") in figures)
    if timed.what in ("lower", "move"):
        assert timed.target is not None
        needed.append(at[timed.target].lower is not None or Figure("lower") in figures)
    if timed.what in ("travel", "move", "empty"):
        assert timed.source is not None and timed.target is not None
        motion = "empty speed" if timed.what == "empty" else "loaded speed"
        table = problem.empty_times if timed.what == "empty" else problem.loaded_times
        needed.append(Figure(motion) in figures)  # type: ignore[arg-type]
        needed.append((timed.source, timed.target) not in table)
        needed += [at[name].position is not None for name in (timed.source, timed.target)]
    return all(needed)


class Physics:
    """The times of several things by one set of figures.

    Parameters
    ----------
    problem : Problem
    timed : sequence of Timed
        What is timed; each has physics.
    hoist : int
        Which of the hoists, from 0.

    Attributes
    ----------
    figures : dict
        The figures that they depend on, and what each is today; an acceleration may be None.
    """

    def __init__(self, problem: Problem, timed: Sequence[Timed], hoist: int = 0) -> None:
        import numpy as np

        self._timed = tuple(timed)
        known = stated(problem, hoist)
        added = [self._added(problem, each) for each in timed]
        used = {figure for row in added for figure in row}
        far = [self._distance(problem, each) for each in timed]
        self._ways = {}
        for motion, kinds in (("loaded", ("travel", "move")), ("empty", ("empty",))):
            way = np.array(
                [d if each.what in kinds else 0.0 for each, d in zip(timed, far, strict=True)]
            )
            self._ways[motion] = way
            if way.any():
                used |= {
                    figure
                    for figure in known
                    if figure.name in (f"{motion} speed", f"{motion} acceleration")
                }
        self.figures: dict[Figure, float | None] = {
            figure: None if value is None else float(value)
            for figure, value in known.items()
            if figure in used
        }
        self._added_by = {
            figure: np.array([float(figure in row) for row in added])
            for figure in self.figures
            if figure.is_time
        }

    @staticmethod
    def _distance(problem: Problem, timed: Timed) -> float:
        if timed.source is None or timed.target is None:
            return 0.0
        at = problem.station_by_name
        start, end = at[timed.source].position, at[timed.target].position
        assert start is not None and end is not None
        return float(abs(end - start))

    def _added(self, problem: Problem, timed: Timed) -> set[Figure]:
        """The times that are added up in one of the things timed, besides travel itself."""
        at, found = problem.station_by_name, set()
        if timed.what in ("lift", "move"):
            own = timed.source if at[str(timed.source)].lift is not None else None
            found.add(Figure("lift", own))
        if timed.what in ("lower", "move"):
            own = timed.target if at[str(timed.target)].lower is not None else None
            found.add(Figure("lower", own))
        if timed.what in ("travel", "move", "empty") and self._distance(problem, timed):
            if at[str(timed.target)].settling is not None:
                found.add(Figure("settling", timed.target))
            elif timed.what == "empty":
                found.add(Figure("empty settling"))
            else:
                found.add(Figure("loaded settling"))
        return found

    def distances(self, motion: str) -> np.ndarray:
        """How far each travels, loaded or empty; 0 where it does not."""
        return self._ways[motion]

    def times(self, values: Mapping[Figure, float | None]) -> np.ndarray:
        """The times by these figures, in the problem's unit."""
        import numpy as np

        total = np.zeros(len(self._timed))
        for figure, added in self._added_by.items():
            total += added * (values[figure] or 0.0)
        for motion, way in self._ways.items():
            if way.any():
                speed = values[Figure(f"{motion} speed")]  # type: ignore[arg-type]
                rate = values[Figure(f"{motion} acceleration")]  # type: ignore[arg-type]
                assert speed is not None
                total += travel(way, speed, rate)
        return total

    def slopes(self, values: Mapping[Figure, float | None]) -> dict[Figure, np.ndarray]:
        """How the times change with each of the figures."""
        found = dict(self._added_by)
        for motion, way in self._ways.items():
            if way.any():
                speed = Figure(f"{motion} speed")  # type: ignore[arg-type]
                rate = Figure(f"{motion} acceleration")  # type: ignore[arg-type]
                now = values[speed]
                assert now is not None
                found[speed], found[rate] = _travel_slopes(way, now, values[rate])
        return found
