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
    model, cycle = variables.model, variables.cycle
    for stay in variables.instance.stays:
        a, b = stay.arrival, stay.departure
        shaved = variables.shaved(a)
        stands = variables.at_lifting(b) - variables.at_setting_down(a)
        least, most = stay.least, stay.most
        down: Linear = 0 if gives is None else gives(variables, stay, "min")
        up: Linear = 0 if gives is None or most is None else gives(variables, stay, "max")
        for boundaries, literal in variables.wrap_literals(stay).items():
            dwell = stands + boundaries * cycle
            model.add(dwell >= least - down).only_enforce_if(literal)
            if most is not None:
                model.add(dwell <= most - shaved + up).only_enforce_if(literal)
        if gives is not None and most is not None:
            _no_longer_fixed(variables, stay, up, down)


def _no_longer_fixed(variables: Variables, stay: Stay, up: Linear, down: Linear) -> None:
    """A fixed dwell that gives way is a window like any other.

    Only a fixed dwell is allowed the fraction of a tick by which the move before it ends
    early; with room between minimum and maximum the maximum has to pay for it.
    """
    arrival = variables.instance.moves[stay.arrival]
    early = [int(route.excess > 0) - route.shaved for route in arrival.routes]
    if not any(early):
        return
    model, most = variables.model, stay.most
    assert most is not None
    wider = model.new_bool_var(f"wider_{stay.index}")
    model.add(up + down == 0).only_enforce_if(wider.negated())
    paid = variables.shaved(arrival.index) + variables.weighted(arrival.index, early)
    dwell = variables.at_lifting(stay.departure) - variables.at_setting_down(arrival.index)
    for boundaries, literal in variables.wrap_literals(stay).items():
        model.add(dwell + boundaries * variables.cycle <= most - paid + up).only_enforce_if(
            literal, wider
        )
