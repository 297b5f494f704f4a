"""The model of an instance: its variables, and every rule of the line."""

from __future__ import annotations

from ..instance import Instance
from . import bounds, constraints
from .variables import Variables


def build_model(instance: Instance) -> Variables:
    """Variables and every constraint of the line, between the bounds on the cycle time."""
    low = max(bounds.lower_bound(instance), instance.shortest)
    high = max(low, bounds.horizon(instance))
    variables = Variables(instance, low, high)
    if instance.longest is not None:
        variables.model.add(variables.cycle <= instance.longest)
    for rule in constraints.ALL:
        rule(variables)
    return variables
