"""A load stands in its stage within the window."""

from __future__ import annotations

from ..variables import FiniteVariables


def dwell_within_window(variables: FiniteVariables) -> None:
    """A load stands in its stage within the window, at one of the stations that serve it."""
    for stay in variables.instance.stays:
        if stay.arrival in variables.instance.tied or stay.arrival in variables.instance.promised:
            continue  # all of it is the cycle's, or promised
        into, out = variables.instance.moves[stay.arrival], variables.instance.moves[stay.departure]
        dwell = variables.start[out.index] - variables.end[into.index]
        variables.model.add(dwell >= stay.least)
        if stay.most is not None:
            for route, lit in variables.ways(into):
                variables.add_where(dwell <= stay.most - route.shaved, [lit])
        if len(stay.places) > 1:
            for place in stay.places:
                variables.model.add(
                    variables.at(into, place, "target") == variables.at(out, place, "source")
                )
