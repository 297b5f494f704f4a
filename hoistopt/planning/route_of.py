"""Which route of a finite problem a step of a schedule takes."""

from __future__ import annotations

from ..instance import Route
from ..instance.finite import FiniteInstance
from ..problem import Problem
from ..schedule import Step


def stations_numbered(problem: Problem) -> dict[str, int]:
    """The place of each station, by its name."""
    return {station.name: place for place, station in enumerate(problem.stations)}


def route_of(
    instance: FiniteInstance, move: int, step: Step, number: dict[str, int]
) -> Route | None:
    """The route of a move that has the ends and the hoist of a step; None where none has."""
    ends = number[step.source], number[step.target]
    several = instance.several
    for route in instance.moves[move].routes:
        by = None if several is None else several.names[route.hoist]
        if (route.source, route.target) == ends and (several is None or by == step.hoist):
            return route
    return None
