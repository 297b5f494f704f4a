"""What stands, or may, at a place: what several rules ask."""

from __future__ import annotations

from .....instance import Stay
from .....instance.finite import FiniteLoad
from ..variables import FiniteVariables, Lit

Stood = tuple[Stay | None, FiniteLoad | None, Lit]
"""A stay to come, or a load where the state has it; and whether it is at that place."""


def standing(variables: FiniteVariables, place: int) -> list[Stood]:
    """What stands, or may, at a place: stays to come, and loads of the state.

    Once it is joined the cycle sees to its own: those that come then are left out.
    """
    found: list[Stood] = []
    for load in variables.instance.loads:
        if load.place == place:
            found.append((None, load, True))
    for stay in variables.instance.stays:
        if place in stay.places and stay.arrival not in variables.instance.tied:
            into = variables.instance.moves[stay.arrival]
            found.append((stay, None, variables.at(into, place, "target")))
    return found


def departure(stay: Stay | None, load: FiniteLoad | None) -> int:
    """The move that lifts a load from where it stands: of a stay, or of a load of the state."""
    if stay is not None:
        return stay.departure
    assert load is not None
    return load.moves[0]


def came_at(load: FiniteLoad | None) -> int:
    """When a load of the state came to its place."""
    assert load is not None
    return load.came
