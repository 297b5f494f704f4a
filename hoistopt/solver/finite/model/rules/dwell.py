"""A load stands in its stage within the window."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ..variables import FiniteVariables

Gives = Callable[[FiniteVariables, int, int], Any]
"""By how many ticks the maximum of a dwell may give way: a variable, or 0 for not at all. Told the
move that ends the dwell, and its maximum; of a load of the state, the latest tick of that move."""


def dwell_within_window(variables: FiniteVariables, gives: Gives | None = None) -> None:
    """A load stands in its stage within the window, at one of the stations that serve it.

    Parameters
    ----------
    gives : callable, optional
        Makes the maxima soft constraints; without it they are hard.
    """
    for load in variables.instance.loads:
        first = load.moves[0]
        if load.latest is not None:
            up = 0 if gives is None else gives(variables, first, load.latest)
            variables.model.add(variables.start[first] <= load.latest + up)
    for stay in variables.instance.stays:
        if stay.arrival in variables.instance.tied or stay.arrival in variables.instance.promised:
            continue  # all of it is the cycle's, or promised
        into, out = variables.instance.moves[stay.arrival], variables.instance.moves[stay.departure]
        dwell = variables.start[out.index] - variables.end[into.index]
        variables.model.add(dwell >= stay.least)
        if stay.most is not None:
            up = 0 if gives is None else gives(variables, out.index, stay.most)
            for route, lit in variables.ways(into):
                variables.add_where(dwell <= stay.most - route.shaved + up, [lit])
        if len(stay.places) > 1:
            for place in stay.places:
                variables.model.add(
                    variables.at(into, place, "target") == variables.at(out, place, "source")
                )
