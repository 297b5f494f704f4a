"""Schedules that differ only in which load is called the first are met once."""

from __future__ import annotations

from itertools import pairwise

from ..variables import Variables


def loads_in_order(variables: Variables) -> None:
    """Loads enter in the order given; like loads, in the order of their numbers."""
    instance = variables.instance
    groups = (tuple(range(instance.jobs)),) if instance.order_given else instance.alike
    for jobs in groups:
        for earlier, later in pairwise(jobs):
            a, b = instance.first_moves[earlier], instance.first_moves[later]
            variables.model.add_bool_or(variables.before(a, b))
