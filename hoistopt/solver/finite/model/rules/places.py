"""A station never holds more loads than it has places."""

from __future__ import annotations

from itertools import combinations
from typing import Any

from ..variables import FiniteVariables, Lit, opposite
from .standing import Stood, came_at, departure, standing


def places_hold_what_they_can(variables: FiniteVariables) -> None:
    """A station never holds more loads than it has places."""
    for number, place in enumerate(variables.instance.places):
        here = standing(variables, number)
        if place.capacity is None or len(here) <= place.capacity:
            continue
        if place.capacity == 1:
            _one_at_a_time(variables, here)
            continue
        intervals = []
        for stay, load, lit in here:
            leave = variables.start[departure(stay, load)] + 1
            came: Any = variables.end[stay.arrival] if stay is not None else max(-1, came_at(load))
            size = variables.model.new_int_var(0, 2 * variables.horizon + 2, "")
            intervals.append(variables.model.new_optional_interval_var(came, size, leave, lit, ""))
        variables.model.add_cumulative(intervals, [1] * len(intervals), place.capacity)


def _one_at_a_time(variables: FiniteVariables, here: list[Stood]) -> None:
    for (one, a, first), (other, b, second) in combinations(here, 2):
        if a is not None and b is not None and came_at(a) != came_at(b):
            # Another hoist is about to bring the one; the other has to be out by then.
            sooner, later = (a, b) if came_at(a) < came_at(b) else (b, a)
            variables.model.add(variables.start[sooner.moves[0]] < came_at(later))
            continue
        ways: list[Lit] = [opposite(first), opposite(second)]
        if other is not None:
            ways.append(_gone(variables, departure(one, a), other.arrival))
        if one is not None:
            ways.append(_gone(variables, departure(other, b), one.arrival))
        variables.any_of(ways)


def _gone(variables: FiniteVariables, leaves: int, comes: int) -> Lit:
    """Whether a load is lifted before another one is set down."""
    return variables.comes_before((leaves, True), (comes, False))
