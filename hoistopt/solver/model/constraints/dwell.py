"""Every load stays at every stage within its window."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from ....instance import Stay
from ..variables import Linear, Variables

Gives = Callable[[Variables, Stay, Literal["min", "max"]], Linear]
"""By how many ticks a limit of a stay may give way: a variable, or 0 for not at all."""


def dwell_in_window(variables: Variables, gives: Gives | None = None) -> None:
    """Dwell, from set down to lifted, between least and most.

    With w cycle boundaries between the two moves, the dwell is the difference of their
    times in the cycle plus w cycle times.

    Parameters
    ----------
    gives : callable, optional
        Makes the limits soft constraints; without it they are hard.
    """
    model, start, cycle = variables.model, variables.start, variables.cycle
    for stay in variables.instance.stays:
        a, b = stay.arrival, stay.departure
        duration, shaved = variables.duration(a), variables.shaved(a)
        least, most = stay.least, stay.most
        down: Linear = 0 if gives is None else gives(variables, stay, "min")
        up: Linear = 0 if gives is None or most is None else gives(variables, stay, "max")
        for boundaries, literal in variables.wrap_literals(stay).items():
            dwell = start[b] - start[a] + boundaries * cycle - duration
            model.add(dwell >= least - down).only_enforce_if(literal)
            if most is not None:
                model.add(dwell <= most - shaved + up).only_enforce_if(literal)
