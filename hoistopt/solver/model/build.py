"""The model of an instance: its variables, and every rule of the line."""

from __future__ import annotations

from ...instance import Instance
from .. import bounds
from . import constraints
from .variables import Variables


def build_model(
    instance: Instance, highest: int | None = None, *, lowest: int | None = None
) -> Variables:
    """Variables and every constraint of the line, between the bounds on the cycle time.

    Parameters
    ----------
    highest : int, optional
        Longest cycle to allow for; by default one that no shortest schedule exceeds.
    lowest : int, optional
        What :func:`lowest_cycle` said, not to work it out again.
    """
    low = lowest_cycle(instance) if lowest is None else lowest
    high = max(low, bounds.horizon(instance) if highest is None else highest)
    variables = Variables(instance, low, high)
    if instance.longest is not None:
        variables.model.add(variables.cycle <= instance.longest)
    for rule in constraints.ALL:
        rule(variables)
    return variables


def lowest_cycle(instance: Instance) -> int:
    """The best bound on the cycle time that needs no search, in ticks."""
    return max(bounds.lower_bound(instance), instance.shortest)
