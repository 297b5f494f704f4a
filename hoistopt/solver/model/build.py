"""The model of an instance: its variables, and every rule of the line."""

from __future__ import annotations

from collections.abc import Mapping

from ...base.clock import Clock
from ...instance import Instance
from .. import bounds
from . import constraints, several_bounds
from .constraints import Rule
from .variables import Variables


def build_model(
    instance: Instance,
    highest: int | None = None,
    *,
    lowest: int | None = None,
    rules: Mapping[str, Rule] | None = None,
    prepare: Rule | None = None,
    clock: Clock | None = None,
) -> Variables:
    """Variables and every constraint of the line, between the bounds on the cycle time.

    Parameters
    ----------
    highest : int, optional
        Longest cycle to allow for; by default one that no shortest schedule exceeds.
    lowest : int, optional
        What :func:`lowest_cycle` said, not to work it out again; or a lower bound that
        holds for the rules given.
    rules : mapping, optional
        Rules by name: each takes the place of the rule of that name in
        :data:`~.constraints.RULES`, or comes on top of them.
    prepare : callable, optional
        Changes the variables before any rule sees them, as by :meth:`Variables.quicken`.
    clock : Clock, optional
        When it is over, building is given up.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    low = lowest_cycle(instance, clock) if lowest is None else lowest
    high = max(low, horizon(instance, clock) if highest is None else highest)
    variables = Variables(instance, low, high, clock)
    if prepare is not None:
        prepare(variables)
    if instance.longest is not None:
        variables.model.add(variables.cycle <= instance.longest)
    for rule in {**constraints.RULES, **(rules or {})}.values():
        variables.clock.check()
        rule(variables)
    return variables


def lowest_cycle(instance: Instance, clock: Clock | None = None) -> int:
    """The best bound on the cycle time that needs no search, in ticks.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    if instance.several is not None:
        return several_bounds.lower_bound(instance, clock)
    return max(bounds.lower_bound(instance, clock), instance.shortest)


def horizon(instance: Instance, clock: Clock | None = None) -> int:
    """A cycle time in ticks that no shortest schedule exceeds, of one hoist or of several.

    Raises
    ------
    OutOfTime
        When the clock is over.
    """
    if instance.several is not None:
        return several_bounds.horizon(instance)
    return bounds.horizon(instance, clock)
