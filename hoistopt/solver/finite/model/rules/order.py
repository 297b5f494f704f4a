"""Loads leave a station that keeps order as they came."""

from __future__ import annotations

from itertools import combinations

from ..variables import FiniteVariables, Lit, opposite
from .standing import came_at, departure, standing


def order_kept(variables: FiniteVariables) -> None:
    """Loads leave a station of several places that keeps order as they came."""
    for number, place in enumerate(variables.instance.places):
        if not place.fifo or place.capacity == 1:
            continue
        for (one, a, first), (other, b, second) in combinations(standing(variables, number), 2):
            leaves = variables.comes_before((departure(one, a), True), (departure(other, b), True))
            came: Lit
            if other is None:
                came = came_at(a) < came_at(b)
            elif one is None:
                came = True
            else:
                came = variables.comes_before((one.arrival, False), (other.arrival, False))
            gone = [opposite(first), opposite(second)]
            variables.any_of([*gone, opposite(came), leaves])
            variables.any_of([*gone, came, opposite(leaves)])
