"""A place rests from a lifting to the next set down."""

from __future__ import annotations

from typing import Any

from .....instance import Stay
from ..variables import FiniteVariables
from .standing import Stood, came_at, departure, standing


def places_rest(variables: FiniteVariables) -> None:
    """From a load's lifting to the next one's set down at the same place, its rest passes.

    What the cycle sets down once it is joined counts as well, after what went before.
    """
    tied = variables.instance.tied
    for number, place in enumerate(variables.instance.places):
        if number not in variables.instance.rests:
            continue
        here = standing(variables, number)
        here += [
            (stay, None, variables.at(variables.instance.moves[stay.arrival], number, "target"))
            for stay in variables.instance.stays
            if number in stay.places and stay.arrival in tied
        ]
        if place.capacity == 1:
            _rest_between(variables, number, here)
        else:
            _rest_of_several(variables, number, here)


def _rest_between(variables: FiniteVariables, place: int, here: list[Stood]) -> None:
    instance = variables.instance
    moves, tied, promised = instance.moves, instance.tied, instance.promised
    rest = instance.rests[place]
    for other, _, second in here:
        if other is None:
            continue
        given_left = () if other.arrival in promised else instance.resting.get(place, ())
        into = [way for way in variables.ways(moves[other.arrival]) if way[0].target == place]
        end = variables.end[other.arrival]
        for route, way in into:
            lag = rest - instance.early(route)
            for left in given_left:
                variables.add_where(end >= left + lag, [way])
            for one, load, first in here:
                out = departure(one, load)
                if out == other.arrival or (out in tied and other.arrival in tied):
                    continue
                if out in promised and other.arrival in promised:
                    continue
                away = next((r for r in moves[out].routes if r.source == place), None)
                if away is None:
                    continue  # a move that is held to another place
                lag_out = instance.places[place].resting(route, away)
                gone = variables.comes_before((out, True), (other.arrival, False))
                given = [way, first, second, gone]
                variables.add_where(end >= variables.start[out] + lag_out, given)


def _rest_of_several(variables: FiniteVariables, place: int, here: list[Stood]) -> None:
    """A place is taken until its rest is over, counted for the move that ends least early."""
    model, instance = variables.model, variables.instance
    capacity, lag = instance.places[place].capacity, instance.rests[place]
    assert capacity is not None
    intervals = [
        model.new_fixed_size_interval_var(-1, left + lag + 1, "")
        for left in instance.resting.get(place, ())
        if left + lag > 0
    ]
    for stay, load, lit in here:
        came = max(-1, came_at(load)) if stay is None else _came_to_rest(variables, place, stay)
        leave = variables.start[departure(stay, load)] + lag
        size = model.new_int_var(0, 2 * variables.horizon + 2 + lag, "")
        intervals.append(model.new_optional_interval_var(came, size, leave, lit, ""))
    model.add_cumulative(intervals, [1] * len(intervals), capacity)


def _came_to_rest(variables: FiniteVariables, place: int, stay: Stay) -> Any:
    """When a load comes to a place, later by what its move may come sooner after a lifting."""
    into = [
        w for w in variables.ways(variables.instance.moves[stay.arrival]) if w[0].target == place
    ]
    end, sooner = (
        variables.end[stay.arrival],
        {variables.instance.early(route) for route, _ in into},
    )
    if len(sooner) <= 1:
        return end + max(sooner, default=0)
    came = variables.model.new_int_var(0, variables.horizon + max(sooner), "")
    for route, way in into:
        variables.add_where(came == end + variables.instance.early(route), [way])
    return came
