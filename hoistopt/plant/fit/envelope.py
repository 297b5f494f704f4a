"""Empty travel from a log: what it takes at most.

From a lowering to the next lift of the hoist there is empty travel and a wait of unknown
length. So every such time only says that empty travel takes no longer: the least of a pair of
stations is what the hoist has been seen to do it in. The figures of empty travel are those of
the slowest hoist that does every pair in no more than that: a deterministic frontier, after
Aigner and Chu (1968), American Economic Review 58, 826-839. Where the hoist never goes on at
once, it may be quicker; no standard error can be told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...problem import Problem
from ..readings import Group, Timed
from .figures import Figure, stated
from .physics import Physics, has_physics, travel

if TYPE_CHECKING:
    import numpy as np

MANY = 20
LOW = 0.1
"""Of a pair timed `MANY` times or more, not the least time counts but this quantile: a stamp
may be wrong, and a clock that is read to a step makes times shorter as well as longer."""
_SPEEDS = 400


@dataclass(frozen=True)
class Seen:
    """The least time from a lowering to the next lift, of one pair of stations."""

    timed: Timed
    count: int
    least: float


@dataclass(frozen=True)
class Envelope:
    """Empty travel by what was seen.

    Attributes
    ----------
    seen : tuple of Seen
    values : dict
        Figures of empty travel at which every pair takes at most the time seen; empty where
        the file has no such figures, or no pair goes by them.
    """

    seen: tuple[Seen, ...]
    values: dict[Figure, float | None]


def envelope(problem: Problem, bounds: Sequence[Group], hoist: int = 0) -> Envelope:
    """The slowest empty travel that does every pair in no more than was seen."""
    import numpy as np

    seen = tuple(_seen(group) for group in bounds if len(group))
    known = stated(problem, hoist)
    speed, rate = Figure("empty speed"), Figure("empty acceleration")
    fit = [each for each in seen if has_physics(problem, each.timed, hoist)]
    if speed not in known or not fit:
        return Envelope(seen, {})
    physics = Physics(problem, [each.timed for each in fit], hoist)
    way = physics.distances("empty")
    most = np.array([each.least for each in fit])
    own = physics.times({**physics.figures, speed: 1e12, rate: None, Figure("empty settling"): 0.0})
    most, way = (most - own)[way > 0], way[way > 0]
    if not len(way):
        return Envelope(seen, {})
    acceleration = None if known[rate] is None else float(known[rate] or 0)
    return Envelope(seen, _slowest(way, most, acceleration))


def _seen(group: Group) -> Seen:
    import numpy as np

    times = np.sort(group.times)
    rank = int(LOW * len(times)) if len(times) >= MANY else 0
    return Seen(group.timed, len(times), float(times[rank]))


def _slowest(way: np.ndarray, most: np.ndarray, rate: float | None) -> dict[Figure, float | None]:
    """By trying speeds: for each, settling is the most that every pair leaves room for."""
    import numpy as np

    most = np.maximum(most, 1e-6)
    # Quicker than this the speed makes less than a thousandth of any time.
    quickest = 1000 * float((way / most).max())
    slowest = float((way / most).max()) / 10
    while rate is not None and (2 * np.sqrt(way / rate) > most).any():
        rate *= 1.02  # it must gain speed quicker than the file says
    best: tuple[float, float, float] | None = None
    speeds = np.geomspace(slowest, quickest, _SPEEDS)
    step = (quickest / slowest) ** (1 / _SPEEDS)
    for _ in range(3):
        for speed in speeds:
            times = travel(way, float(speed), rate)
            settling = float((most - times).min())
            if settling >= 0:
                total = float(times.sum()) + settling * len(way)
                if best is None or total > best[0]:
                    best = total, float(speed), settling
        if best is None:
            break
        speeds = np.geomspace(best[1] / step, best[1] * step, _SPEEDS)
        step **= 2 / _SPEEDS
    if best is None:
        return {}
    _, top, settling = best
    return {
        Figure("empty speed"): top,
        Figure("empty acceleration"): rate,
        Figure("empty settling"): settling,
    }
