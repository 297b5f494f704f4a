"""Which windows cannot be kept together on a line that has no schedule."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace

from ..instance import Instance
from ..solver import is_feasible


@dataclass(frozen=True)
class Demand:
    """Something the user asks for that could be given up.

    A stage's maximum, or (with `stage` 0) a limit on the line as a whole.
    """

    recipe: str
    stage: int
    label: str

    def __str__(self) -> str:
        if not self.stage:
            return self.label
        return f'the maximum of stage {self.stage} ("{self.label}") of recipe "{self.recipe}"'


_LONGEST = Demand("", 0, "the greatest cycle time allowed")
_CARRIERS = Demand("", 0, "the number of carriers")


def conflicting_demands(
    instance: Instance, time_limit: float = 10.0, workers: int = 1
) -> tuple[tuple[Demand, ...], bool]:
    """Demands that cannot all be met, found by leaving out one after another.

    Parameters
    ----------
    instance : Instance
        One proven to have no schedule.
    time_limit : float
        Seconds for the whole search.

    Returns
    -------
    tuple of Demand
        Together they leave no schedule.
    bool
        Whether the set is minimal: without any one of them there is a schedule.
    """
    ends = time.monotonic() + time_limit
    kept = demands(instance)
    minimal = True
    for demand in tuple(kept):
        left = ends - time.monotonic()
        rest = tuple(other for other in kept if other != demand)
        feasible = (
            is_feasible(_with(instance, rest), time_limit=left, workers=workers)
            if (left > 0)
            else None
        )
        if feasible is None:
            minimal = False
        elif not feasible:
            kept = rest
    return kept, minimal


def demands(instance: Instance) -> tuple[Demand, ...]:
    """Every demand of an instance that could be given up."""
    found = dict.fromkeys(
        _demand(instance, stay.departure, stay.label)
        for stay in instance.stays
        if stay.most is not None
    )
    if instance.longest is not None:
        found[_LONGEST] = None
    if instance.carriers is not None:
        found[_CARRIERS] = None
    return tuple(found)


def _demand(instance: Instance, departure: int, label: str) -> Demand:
    move = instance.moves[departure]
    return Demand(instance.recipes[move.job], move.stage, label)


def _with(instance: Instance, kept: tuple[Demand, ...]) -> Instance:
    """The instance with all other demands given up."""
    stays = tuple(
        stay if _demand(instance, stay.departure, stay.label) in kept else replace(stay, most=None)
        for stay in instance.stays
    )
    return replace(
        instance,
        stays=stays,
        longest=instance.longest if _LONGEST in kept else None,
        carriers=instance.carriers if _CARRIERS in kept else None,
    )
