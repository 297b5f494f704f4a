"""Every load stays at every stage within its window."""

from __future__ import annotations

from ..variables import Variables


def dwell_in_window(variables: Variables) -> None:
    """Dwell, from set down to lifted, between least and most.

    With w cycle boundaries between the two moves, the dwell is the difference of their
    times in the cycle plus w cycle times.
    """
    model, start, cycle = variables.model, variables.start, variables.cycle
    for stay in variables.instance.stays:
        a, b = stay.arrival, stay.departure
        duration, shaved = variables.duration(a), variables.shaved(a)
        for boundaries, literal in variables.wrap_literals(stay).items():
            dwell = start[b] - start[a] + boundaries * cycle - duration
            model.add(dwell >= stay.least).only_enforce_if(literal)
            if stay.most is not None:
                model.add(dwell <= stay.most - shaved).only_enforce_if(literal)
