"""Readings that are set aside: far from what else was read of the same thing.

A reading is compared with the median of its thing where that was timed five times or more,
else with a robust fit. The scatter of single readings is 1.4826 times the median of the
absolute differences, the usual robust standard deviation (Rousseeuw and Croux 1993, J. American
Statistical Association 88, 1273-1283), but no less than half the step to which times were
read. What is more than `FAR` of it away is set aside.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..readings import Group, Readings

if TYPE_CHECKING:
    import numpy as np

FAR = 4.0
OWN_MEDIAN = 5
_ROBUST = 1.4826


@dataclass(frozen=True)
class SetAside:
    """A reading that was set aside.

    Attributes
    ----------
    group : Group
    time : float
        What was read.
    usual : float
        What it was compared with.
    place : str
        Where it stands.
    """

    group: Group
    time: float
    usual: float
    place: str


def usual_times(groups: Sequence[Group], fitted: np.ndarray) -> np.ndarray:
    """What each thing usually takes: its own median, or the fitted time of a rare one."""
    import numpy as np

    return np.array(
        [
            np.median(group.times) if len(group) >= OWN_MEDIAN else fit
            for group, fit in zip(groups, fitted, strict=True)
        ]
    )


def robust_scatter(groups: Sequence[Group], usual: np.ndarray, step: float) -> float:
    """Standard deviation of single readings, outliers left out of account."""
    import numpy as np

    away = np.concatenate([abs(group.times - at) for group, at in zip(groups, usual, strict=True)])
    return max(_ROBUST * float(np.median(away)), step / 2, 1e-9)


def without_outliers(
    readings: Readings, groups: Sequence[Group], usual: np.ndarray, scatter: float
) -> tuple[list[Group], list[SetAside]]:
    """The groups with their outliers set aside; one of which nothing is left is gone."""
    kept, aside = [], []
    for group, at in zip(groups, usual, strict=True):
        far = abs(group.times - at) > FAR * scatter
        aside += [
            SetAside(group, float(group.times[n]), float(at), readings.place(group, int(n)))
            for n in far.nonzero()[0]
        ]
        if not far.all():
            kept.append(Group(group.timed, group.times[~far], group.rows[~far], group.files[~far]))
    return kept, aside
