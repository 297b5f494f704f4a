"""Groups of parallel tanks, and which tanks and hoists a schedule does not need."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from ..base.text import listed
from ..problem import Problem
from ..schedule import Schedule

MOST_NAMED = 4
"""Tanks named one by one; of more, how many."""


@dataclass(frozen=True)
class IdleTanks:
    """Tanks of one group in which a schedule sets nothing down.

    Attributes
    ----------
    stages : tuple of str
        Labels of the stages that the group serves.
    tanks : tuple of str
        The whole group.
    idle : tuple of str
        Those of it that stand idle.
    visits : int
        Loads that come to the group in a cycle. A tank has the same loads in every cycle, so
        this many tanks are the most that can be in use.

    Examples
    --------
    >>> import hoistopt
    >>> group = hoistopt.IdleTanks(("Nickel",), ("Ni 1", "Ni 2", "Ni 3"), ("Ni 3",), visits=3)
    >>> group.words()
    'Ni 3 stands idle, 1 of 3 for Nickel: the schedule does without.'
    """

    stages: tuple[str, ...]
    tanks: tuple[str, ...]
    idle: tuple[str, ...]
    visits: int

    @property
    def by_degree(self) -> bool:
        """Whether the degree alone is why some stand idle: there are fewer loads than tanks."""
        return self.visits < len(self.tanks)

    def words(self) -> str:
        """Which stand idle and why, for people."""
        count, of = len(self.idle), len(self.tanks)
        stand = "stands" if count == 1 else "stand"
        named = list(self.idle[:MOST_NAMED])
        if count > MOST_NAMED:
            named.append(f"{count - MOST_NAMED} more")
        about = f"{listed(named)} {stand} idle, {count} of {of} for {self.stages[0]}"
        if not self.by_degree:
            return f"{about}: the schedule does without."
        loads = f"{self.visits} load{'s' * (self.visits != 1)} for them"
        return f"{about}: a cycle has {loads}, and a tank gets the same loads in every cycle."


def idle_tanks(problem: Problem, schedule: Schedule) -> tuple[IdleTanks, ...]:
    """Find the groups of parallel tanks of which a schedule leaves some idle.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and one cycle on it.
    """
    entering = [step for step in schedule if step.stage == 0]
    return _idle(problem, {step.target for step in schedule}, len(entering))


def idle_hoists(problem: Problem, schedule: Schedule) -> tuple[str, ...]:
    """The names of those of several hoists that make no move; none where there is one hoist.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and one cycle on it.
    """
    if len(problem.hoists) == 1:
        return ()
    busy = {step.hoist for step in schedule}
    return tuple(hoist.name or "" for hoist in problem.hoists if hoist.name not in busy)


def idle_at_degree(problem: Problem, degree: int) -> tuple[str, ...]:
    """A sentence for each group of tanks of which every cycle of a degree leaves some idle."""
    found = []
    for stages, tanks, visits in groups_of_tanks(problem):
        used = visits * degree
        if used < len(tanks):
            found.append(
                f"at degree {degree} a cycle uses {used} of the {len(tanks)} tanks for "
                f"{stages[0]}, as a tank gets the same loads in every cycle; `hoistopt solve` "
                "tells the best degree"
            )
    return tuple(found)


def _idle(problem: Problem, used: Collection[str], loads: int) -> tuple[IdleTanks, ...]:
    found = []
    for stages, tanks, visits in groups_of_tanks(problem):
        idle = tuple(tank for tank in tanks if tank not in used)
        if idle:
            coming = visits * loads // len(problem.load_set)
            found.append(IdleTanks(stages, tanks, idle, coming))
    return tuple(found)


def groups_of_tanks(problem: Problem) -> list[tuple[tuple[str, ...], tuple[str, ...], int]]:
    """Stages, tanks, and visits by a set of loads, of every group of parallel tanks.

    Stages that name the same tanks in another order share the group; its tanks are in the order
    in which they are named first.
    """
    labels: dict[frozenset[str], list[str]] = {}
    ordered: dict[frozenset[str], tuple[str, ...]] = {}
    for name in problem.load_set:
        for stage in problem.recipe_by_name[name].stages:
            group = frozenset(stage.station)
            if len(group) > 1:
                ordered.setdefault(group, tuple(dict.fromkeys(stage.station)))
                labels.setdefault(group, []).append(stage.label)
    return [
        (tuple(dict.fromkeys(stages)), ordered[group], len(stages))
        for group, stages in labels.items()
    ]
