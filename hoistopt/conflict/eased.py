"""The model of a line that asks for some members only."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace

from ..instance import Instance, Move
from ..problem import Problem
from ..solver import bounds, run_model
from ..solver.model import constraints
from ..solver.model.constraints import hoist_in_one_place
from ..solver.model.variables import Variables
from .members import HOIST, Member, without

Also = Callable[[Variables], None]
"""Adds constraints of the asker's own to a model."""


def eased_model(
    problem: Problem,
    instance: Instance,
    asked: Collection[Member],
    kept: Collection[Member],
    also: Also | None = None,
) -> Variables:
    """Variables and rules of a line that asks for the members `kept`, out of all `asked`.

    Every member left out only ever allows more: a schedule that keeps all keeps some.
    A move whose hoist time is left out is made by a helper, as it were: it takes its
    time, but the hoist of the line may lift another carrier at once. Without empty
    travel the hoist is wherever it is needed as soon as it has lowered a carrier.
    """
    eased = without(problem, instance, kept)
    work = _Work(eased, [m for m in asked if m.kind in HOIST and m not in kept])
    if work.helped or work.at_once:
        # The bounds read the gaps, too, and hold for whatever gaps there are.
        eased.__dict__["gaps"] = work.gaps()
    low = max(bounds.lower_bound(eased), eased.shortest)
    high = max(low, bounds.horizon(instance), eased.longest or 0)
    variables = Variables(eased, low, high)
    if eased.longest is not None:
        variables.model.add(variables.cycle <= eased.longest)
    for rule in constraints.ALL:
        if rule is hoist_in_one_place and (work.helped or work.at_once):
            work.hoist(variables)
        else:
            rule(variables)
    if also is not None:
        also(variables)
    return variables


def can_keep(
    problem: Problem,
    instance: Instance,
    asked: Collection[Member],
    kept: Collection[Member],
    *,
    time_limit: float | None = None,
    workers: int | None = 1,
    also: Also | None = None,
) -> bool | None:
    """Whether some schedule keeps all members `kept`; None when the limit came first."""
    if time_limit is not None and time_limit <= 0:
        return None
    variables = eased_model(problem, instance, asked, kept, also)
    status, _ = run_model(variables.model, time_limit=time_limit, workers=workers)
    return None if status == "unknown" else status != "infeasible"


class _Work:
    """What the hoist's work amounts to when some of it costs no time."""

    def __init__(self, instance: Instance, left_out: Collection[Member]) -> None:
        self._instance = instance
        freed = {(m.recipe, m.stage) for m in left_out if m.kind == "loaded"}
        self.helped = {
            move.index
            for move in instance.moves
            if (instance.recipes[move.job], move.stage) in freed
        }
        self.at_once = any(m.kind == "empty" for m in left_out)

    def gaps(self) -> tuple[tuple[int, ...], ...]:
        """Least times from the start of one move to that of a later one."""
        return tuple(
            tuple(self._gap(a, b) for b in self._instance.moves) for a in self._instance.moves
        )

    def _gap(self, a: Move, b: Move) -> int:
        if a.index in self.helped:
            return 0
        return min(
            route.duration + min(self._travel(route.target, source) for source in b.sources)
            for route in a.routes
        )

    def _travel(self, target: int, source: int) -> int:
        return 0 if self.at_once else self._instance.empty[target][source]

    def hoist(self, variables: Variables) -> None:
        """The hoist is in one place at a time, for those moves it makes itself."""
        model, start, cycle = variables.model, variables.start, variables.cycle
        for a in self._instance.moves:
            for b in self._instance.moves:
                if a.index == b.index:
                    self._back_to_itself(variables, a)
                    continue
                first = variables.before(a.index, b.index)
                ready = start[a.index]
                if a.index not in self.helped:
                    ready += variables.duration(a.index)
                for target in a.targets:
                    for source in b.sources:
                        travel = self._travel(target, source) if a.index not in self.helped else 0
                        chosen = [variables.ends_at(a, target), variables.begins_at(b, source)]
                        later = start[b.index] - ready >= travel
                        model.add(later).only_enforce_if(first, *chosen)
                        next_time = start[b.index] + cycle - ready >= travel
                        model.add(next_time).only_enforce_if(*chosen)

    def _back_to_itself(self, variables: Variables, move: Move) -> None:
        if move.index in self.helped:
            return
        for index, route in enumerate(move.routes):
            back = route.duration + self._travel(route.target, route.source)
            variables.model.add(variables.cycle >= back).only_enforce_if(
                variables.route(move.index, index)
            )


def held_to(instance: Instance, longest: int | None) -> Instance:
    """The instance with its cycle limited to `longest` ticks, unless it is already."""
    if longest is None or (instance.longest is not None and instance.longest <= longest):
        return instance
    return replace(instance, longest=longest)
