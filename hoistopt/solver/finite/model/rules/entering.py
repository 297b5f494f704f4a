"""The order in which loads enter."""

from __future__ import annotations

from itertools import combinations, pairwise

from ..variables import FiniteVariables


def entering_in_order(variables: FiniteVariables) -> None:
    """Loads enter in the order asked for; alike ones in that of their numbers."""
    tied = variables.instance.tied  # whoever has a role in a cycle is like no other
    entering = [x for x in variables.instance.entering() if x.moves[-1] not in tied]
    for one, other in combinations(entering, 2):
        alike = (one.recipe, one.earliest, one.due, one.weight) == (
            other.recipe,
            other.earliest,
            other.due,
            other.weight,
        )
        if alike:
            first = variables.comes_before((one.moves[0], True), (other.moves[0], True))
            variables.any_of([first])
    loads = variables.instance.loads
    for a, b in pairwise(variables.instance.sequence):
        enter = (loads[a].moves[0], True), (loads[b].moves[0], True)
        variables.any_of([variables.comes_before(*enter)])
