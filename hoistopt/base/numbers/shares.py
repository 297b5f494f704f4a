"""A share of loads, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np

LEVEL = 0.95
LEAST_GROUPS = 20


@dataclass(frozen=True)
class Share:
    """`out` of `loads`, and the interval that holds the true share at `LEVEL`."""

    out: int
    loads: int
    low: float
    high: float

    @property
    def share(self) -> float:
        """The share seen, from 0 to 1."""
        return self.out / self.loads if self.loads else 0.0


def wilson(share: float, count: float, level: float = LEVEL) -> tuple[float, float]:
    """The score interval of a share seen among `count` independent trials.

    E. B. Wilson (1927), "Probable inference, the law of succession, and statistical
    inference", Journal of the American Statistical Association 22, 209-212.

    >>> [round(end, 4) for end in wilson(0.1, 100)]
    [0.0552, 0.1744]
    """
    if count <= 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1 + level) / 2)
    bulk = 1 + z * z / count
    middle = (share + z * z / (2 * count)) / bulk
    half = z / bulk * sqrt(share * (1 - share) / count + z * z / (4 * count * count))
    # At either end the bound is exact; rounding must not push it off.
    low = 0.0 if share == 0 else max(0.0, middle - half)
    return low, 1.0 if share == 1 else min(1.0, middle + half)


def share_of(out: np.ndarray) -> Share:
    """The share of True in an array of cycles by runs.

    Loads of one run fare alike: a late hoist is late for many. So the count that the
    interval rests on is that of as many independent loads as would make the share differ
    as much from group to group as it does (the design effect of L. Kish (1965), "Survey
    Sampling", Wiley). Groups are the runs, or parts of them where runs are few.
    """
    import numpy as np

    total, loads = int(out.sum()), int(out.size)
    if not loads:
        return Share(0, 0, 0.0, 1.0)
    share = total / loads
    effect = 1.0
    groups = _groups(out)
    if 0 < share < 1 and len(groups) > 1:
        sizes = np.array([group.size for group in groups])
        means = np.array([group.mean() for group in groups])
        between = float((sizes * (means - share) ** 2).sum()) / (len(groups) - 1)
        effect = max(1.0, between / (share * (1 - share)))
    low, high = wilson(share, loads / effect)
    return Share(total, loads, low, high)


def _groups(out: np.ndarray) -> list[np.ndarray]:
    import numpy as np

    cycles, runs = out.shape
    parts = min(cycles, max(1, -(-LEAST_GROUPS // runs)))
    return [column for part in np.array_split(out, parts) for column in part.T]
