"""Empty travel from a log: what it takes at most.

From a lowering to the next lift of the hoist there is empty travel and a wait of unknown
length. So every such time only says that empty travel takes no longer: the least of a pair of
stations is what the hoist has been seen to do it in. The figures of empty travel are those of
the slowest hoist that does every pair in no more than that: a deterministic frontier, after
Aigner and Chu (1968), American Economic Review 58, 826-839. Where the hoist never goes on at
once, it may be quicker; no standard error can be told.

Where the log follows a plan that is known, the plan's own waits are no times of the hoist. Where
the plan lets it wait, the log tells nothing of it: such a pair counts as taking what the file says
today, longer as far as pairs without a wait were seen to take longer, and never more than was
seen.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from ...problem import Problem
from ...problem.grid import ticks_per_unit
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
_SLOWEST = 10.0
"""How many times lower than the file's the speed may be."""


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


def envelope(
    problem: Problem,
    bounds: Sequence[Group],
    hoist: int = 0,
    at_once: Collection[tuple[str, str]] | None = None,
    step: float = 0.0,
) -> Envelope:
    """The slowest empty travel that does every pair in no more than was seen.

    Parameters
    ----------
    at_once : collection of (str, str), optional
        The pairs of stations between which the plan that was followed has the hoist go on at
        once; None: no plan is known.
    step : float
        To what times were read.
    """
    import numpy as np

    seen = tuple(_seen(group) for group in bounds if len(group))
    known = stated(problem, hoist)
    speed, rate = Figure("empty speed"), Figure("empty acceleration")
    settling = Figure("empty settling")
    fit = [each for each in seen if has_physics(problem, each.timed, hoist)]
    if speed not in known or not fit:
        return Envelope(seen, {})
    physics = Physics(problem, [each.timed for each in fit], hoist)
    way = physics.distances("empty")
    most = np.array([each.least for each in fit])
    counts = np.ones(len(fit), dtype=bool)
    if at_once is not None:
        today = physics.times(physics.figures)
        told = np.array([(e.timed.source, e.timed.target) in at_once for e in fit])
        # Planned in whole ticks and read to a step: what is told from neither takes what the
        # file says.
        tick = 1 / float(ticks_per_unit(problem))
        planned = np.ceil(np.round(today / tick, 6)) * tick
        alike = (most >= today - step - 1e-9) & (most <= planned + step + 1e-9)
        most = np.where(told & alike, today, most + step)
        most = np.minimum(most, _at_most_with_waits(physics, today, most, told))
        counts = told if told.any() else counts
        if np.allclose(most, today, rtol=0, atol=1e-6):
            return Envelope(seen, {figure: _float(known[figure]) for figure in physics.figures})
    at_rest = {**physics.figures, speed: 1e12, rate: None}
    own = physics.times({**at_rest, settling: 0.0})
    # Where a station has a settling time of its own, the hoist's is not added.
    settles = physics.times({**at_rest, settling: 1.0}) - own > 0.5
    far = way > 0
    if not far.any():
        return Envelope(seen, {})
    counts = counts if counts[far].any() else far
    acceleration = _float(known[rate])
    return Envelope(
        seen, _slowest(way[far], (most - own)[far], settles[far], counts[far], acceleration)
    )


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _at_most_with_waits(
    physics: Physics, today: np.ndarray, most: np.ndarray, told: np.ndarray
) -> np.ndarray:
    """What each pair takes at the most, by those that are told, where the plan has no wait.

    Whatever makes those slower than the file says, a lower speed, more settling or a lower
    acceleration, makes the others slower by no more than the greatest of three: the time at the
    lowest speed that fits any of them, as much more as any of them, as many times longer.
    """
    import numpy as np

    if not told.any():
        return today
    speed = Figure("empty speed")
    slowest = today
    for slower in np.geomspace(1, _SLOWEST, _SPEEDS):
        top = physics.figures[speed]
        assert top is not None
        times = physics.times({**physics.figures, speed: top / float(slower)})
        if not (times <= most + 1e-9)[told].any():
            break
        slowest = times
    more = max(0.0, float((most - today)[told].max()))
    longer = max(1.0, float((most / today)[told].max()))
    alike = more == 0.0
    return today if alike else np.maximum(slowest, np.maximum(today + more, today * longer))


def _seen(group: Group) -> Seen:
    import numpy as np

    times = np.sort(group.times)
    rank = int(LOW * len(times)) if len(times) >= MANY else 0
    return Seen(group.timed, len(times), float(times[rank]))


def _slowest(
    way: np.ndarray,
    most: np.ndarray,
    settles: np.ndarray,
    counts: np.ndarray,
    rate: float | None,
) -> dict[Figure, float | None]:
    """By trying speeds: for each, settling is the most that every pair leaves room for.

    `settles` says of each pair whether the hoist's settling is part of its time, `counts`
    whether its time is to be long.
    """
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
            left = most - times
            settling = float(left[settles].min()) if settles.any() else 0.0
            if settling >= 0 and left.min() >= -1e-9:
                total = float(times[counts].sum()) + settling * int((settles & counts).sum())
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
