"""Carriers stand their time at load and unload stations."""

from __future__ import annotations

from itertools import combinations

from .....instance.finite import EndStation
from ...placing.ends import events_at, lag_between
from ..variables import FiniteVariables, Lit


def ends_of_the_line(variables: FiniteVariables) -> None:
    """At load and unload stations carriers stand their time, each at a place of its own."""
    for end in variables.instance.ends:
        _end(variables, end, events_at(variables.instance, end))


def _end(variables: FiniteVariables, end: EndStation, events: list[tuple[int, bool]]) -> None:
    model, slots = variables.model, range(len(end.ready))
    chosen: list[list[Lit]] = []
    for move, lifts in events:
        taken: list[Lit] = [True]
        if len(end.ready) > 1:
            taken = [model.new_bool_var("") for _ in slots]
            model.add_exactly_one(taken)
        chosen.append(taken)
        time = variables.start[move] if lifts else variables.end[move]
        for slot in slots:
            ready = end.ready[slot][0 if lifts else 1]
            variables.add_where(time >= ready, [taken[slot]])
    for u, v in combinations(range(len(events)), 2):
        for one, other in ((u, v), (v, u)):
            first = variables.comes_before(events[one], events[other])
            since, until = variables.when(events[one]), variables.when(events[other])
            lag = lag_between(variables.instance, end, events[one], events[other])
            for slot in slots:
                together = [first, chosen[one][slot], chosen[other][slot]]
                variables.add_where(until >= since + lag, together)
