"""Schedules that differ only in which load is called the first are met once."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from ....instance import Instance
from ..variables import Variables


def loads_in_order(variables: Variables) -> None:
    """Loads enter in the order given; like loads, in the order of their numbers."""
    instance = variables.instance
    groups = (tuple(range(instance.jobs)),) if instance.order_given else instance.alike
    for jobs in groups:
        for earlier, later in pairwise(jobs):
            a, b = instance.first_moves[earlier], instance.first_moves[later]
            variables.model.add_bool_or(variables.before(a, b))


def shortest_headway_first(variables: Variables) -> None:
    """Where all loads are alike, begin the cycle with the two that enter closest together.

    Cuts away schedules that only begin elsewhere in the same cycle; for searches that
    look for any one optimum.
    """
    instance = variables.instance
    if len(instance.alike) != 1 or instance.jobs < 2:
        return
    entries = [variables.start[move] for move in instance.first_moves]
    first = entries[1] - entries[0]
    for earlier, later in pairwise(entries[1:]):
        variables.model.add(first <= later - earlier)
    variables.model.add(first <= variables.cycle - entries[-1])


def begins_with_shortest_headway(instance: Instance, starts: Sequence[int], cycle: int) -> bool:
    """Whether a schedule keeps what :func:`shortest_headway_first` asks for.

    Parameters
    ----------
    starts : sequence of int
        By move, in ticks.
    cycle : int
        Its cycle time, in ticks.
    """
    if len(instance.alike) != 1 or instance.jobs < 2:
        return True
    entries = [starts[move] for move in instance.first_moves]
    headways = [later - earlier for earlier, later in pairwise([*entries, entries[0] + cycle])]
    return headways[0] == min(headways)
