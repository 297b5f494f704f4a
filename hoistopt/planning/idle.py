"""Groups of parallel tanks, and which tanks and hoists a schedule does not need."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from ..base.text import any_of, counted, listed, plural
from ..problem import Problem
from ..problem.hoists import brings_some
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
        Loads that may come to the group in a cycle, of recipes that have only some of its tanks,
        too. A tank has the same loads in every cycle, so this many tanks are the most that can be
        in use.
    unreached : tuple of str
        Those idle ones that no load can get to, or on from, by any hoist.
    name : str
        What tells the group from all others, where another has a stage of the same label, such as
        "Anodise of Natural"; else empty.

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
    unreached: tuple[str, ...] = ()
    name: str = ""

    @property
    def by_degree(self) -> bool:
        """Whether the degree is why some stand idle: fewer loads than tanks they can get to."""
        return self.visits < len(self.tanks) - len(self.unreached)

    def words(self) -> str:
        """Which stand idle and why, for people."""
        count, of = len(self.idle), len(self.tanks)
        stand = plural(count, "stands", "stand")
        whose = self.name or self.stages[0]
        about = f"{_few(self.idle)} {stand} idle, {count} of {of} for {whose}"
        reasons = [f"no hoist takes loads to {_few(self.unreached)} and on"] * bool(self.unreached)
        others = f" {_few(self.spare)}" if self.unreached else ""
        if self.by_degree:
            loads = f"{counted(self.visits, 'load')} for these {of} tanks"
            reasons.append(f"a cycle has {loads}, and a tank gets the same loads in every cycle")
            more = len(self.spare) - (of - len(self.unreached) - self.visits)
            if more > 0:
                reasons.append(f"the schedule does without {more} more")
        elif self.spare:
            reasons.append(f"the schedule does without{others}")
        return f"{about}: {'; '.join(reasons)}."

    @property
    def spare(self) -> tuple[str, ...]:
        """Those idle ones that loads could be taken to."""
        return tuple(tank for tank in self.idle if tank not in self.unreached)


def _few(tanks: Sequence[str]) -> str:
    """Their names, or of many the first ones."""
    named = list(tanks[:MOST_NAMED])
    if len(tanks) > MOST_NAMED:
        named.append(f"{len(tanks) - MOST_NAMED} more")
    return listed(named)


def idle_tanks(problem: Problem, schedule: Schedule) -> tuple[IdleTanks, ...]:
    """Find the groups of parallel tanks of which a schedule leaves some idle.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and one cycle on it.
    """
    entering = [step for step in schedule if step.stage == 0]
    return _idle(problem, {step.target for step in schedule}, len(entering))


def groups_all_used(problem: Problem, schedule: Schedule) -> tuple[str, ...]:
    """A sentence for each group of parallel tanks of which a schedule uses every one.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and one cycle on it.
    """
    used = {step.target for step in schedule}
    names = _names(problem)
    return tuple(
        f"{'Both' if len(tanks) == 2 else f'All {len(tanks)}'} tanks of {names[tanks]} are used."
        for _, tanks, _ in groups_of_tanks(problem)
        if used.issuperset(tanks)
    )


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
    found, names = [], _names(problem)
    for _, tanks, _ in groups_of_tanks(problem):
        used = _coming(problem, tanks) * degree
        if used < len(tanks) - len(_unreached(problem, tanks)):
            found.append(
                f"at degree {degree} a cycle uses {used} of the {len(tanks)} tanks for "
                f"{names[tanks]}, as a tank gets the same loads in every cycle; `hoistopt solve` "
                "tells the best degree"
            )
    return tuple(found)


def _idle(problem: Problem, used: Collection[str], loads: int) -> tuple[IdleTanks, ...]:
    found, names = [], _names(problem)
    for stages, tanks, _ in groups_of_tanks(problem):
        idle = tuple(tank for tank in tanks if tank not in used)
        if idle:
            coming = _coming(problem, tanks) * loads // len(problem.load_set)
            never = tuple(tank for tank in _unreached(problem, tanks) if tank in idle)
            name = names[tanks] if names[tanks] != stages[0] else ""
            found.append(IdleTanks(stages, tanks, idle, coming, never, name))
    return tuple(found)


def _coming(problem: Problem, tanks: Collection[str]) -> int:
    """How many stages of a set of loads may be in any of some tanks."""
    return sum(
        not set(tanks).isdisjoint(stage.station)
        for name in problem.load_set
        for stage in problem.recipe_by_name[name].stages
    )


def _unreached(problem: Problem, tanks: tuple[str, ...]) -> tuple[str, ...]:
    """Tanks of a group that no hoist takes loads to from the stage before, or on from there.

    It looks at what hoists can serve in every stage of the group, not at crossings, payloads or
    the hoists that a stage names.
    """
    reached: set[str] = set()
    for name in dict.fromkeys(problem.load_set):
        recipe = problem.recipe_by_name[name]
        ways = [
            (problem.load_station(recipe).name,),
            *(stage.station for stage in recipe.stages),
            (problem.unload_station(recipe).name,),
        ]
        for before, here, after in zip(ways, ways[1:], ways[2:], strict=False):
            if set(here) == set(tanks):
                reached.update(
                    tank
                    for tank in tanks
                    if brings_some(problem, before, (tank,))
                    and brings_some(problem, (tank,), after)
                )
    return tuple(tank for tank in tanks if tank not in reached)


def _names(problem: Problem) -> dict[tuple[str, ...], str]:
    """What to call each group of parallel tanks: by its stage; of several of one label, by more.

    That is by the recipes whose stages it serves; by its tanks where that is no help either.
    """
    groups = groups_of_tanks(problem)
    names = {tanks: stages[0] for stages, tanks, _ in groups}
    for stages, tanks, _ in groups:
        if sum(stages[0] in others for others, _, _ in groups) > 1:
            names[tanks] = f"{stages[0]} of {listed(_recipes(problem, tanks))}"
    told = Counter(names.values())
    return {
        tanks: name if told[name] == 1 else f"{name} in {any_of(tanks)}"
        for tanks, name in names.items()
    }


def _recipes(problem: Problem, tanks: Collection[str]) -> list[str]:
    """The recipes of the loads with a stage that has just these tanks."""
    return [
        name
        for name in dict.fromkeys(problem.load_set)
        if any(set(s.station) == set(tanks) for s in problem.recipe_by_name[name].stages)
    ]


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
