"""Tanks for the dwells of several loads, dealt by chance, and the places of roomy stations.

Annealing shifts moves in time and leaves tanks as they are, so every round begins with a deal of
its own. Dwells are dealt out as evenly as can be, each to one of its tanks; of a station of
several places each dwell is given one of them, which keeps loads from being too many there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from numpy.random import Generator

from ....instance import Instance, Stay
from .chain import Ints

_UNEVEN = 0.3
"""Dwells are dealt the longest first, each taken to be longer or shorter by up to so much."""

_CLOSE = 0.9
"""The dwells in a place of a roomy station take at most so much of the cycle time; where they
would take more, places are not told apart."""


def deal_tanks(instance: Instance, random: Generator) -> Instance | None:
    """Return the instance with one tank for each dwell, by chance; None where no way leads there.

    Raises
    ------
    ValueError
        When a dwell may be in no place at all.
    """
    chosen = {stay.index: stay.places[0] for stay in instance.stays}
    choices = [stay for stay in instance.stays if len(stay.places) > 1]
    filled = dict.fromkeys(range(len(instance.places)), 0.0)
    for stay in instance.stays:
        if len(stay.places) == 1:
            filled[stay.places[0]] += stay.least
    for stay in _longest_first(choices, random):
        drawn = [int(place) for place in random.permutation(stay.places)]
        place = min(drawn, key=lambda p: filled[p] / (instance.places[p].capacity or np.inf))
        chosen[stay.index] = place
        filled[place] += stay.least
    moves = []
    for move in instance.moves:
        before, after = (
            None if stay is None else chosen[stay.index]
            for stay in (
                instance.stay_before.get(move.index),
                instance.stay_after.get(move.index),
            )
        )
        routes = tuple(
            route
            for route in move.routes
            if before in (None, route.source) and after in (None, route.target)
        )[:1]
        if not routes:
            return None
        moves.append(replace(move, routes=routes))
    return instance.with_moves(moves)


def place_numbers(instance: Instance, cycle: int, random: Generator) -> list[int]:
    """Return by stay a number of the place it is at, the same for the same place only.

    -1 where dwells do not shut each other out: in a buffer, and in a station of several places
    that is too full for every dwell to have a fixed one.

    Parameters
    ----------
    instance : Instance
        Every dwell in one station.
    cycle : int
        Cycle time in ticks.
    """
    numbers = [-1] * len(instance.stays)
    for station, stays in instance.stays_at.items():
        places = place_numbers_of(instance, station)
        if not places:
            continue
        filled = [0.0] * len(places)
        for stay in _longest_first(stays, random):
            place = int(np.argmin(filled))
            filled[place] += stay.least
            numbers[stay.index] = places[place]
        if instance.places[station].capacity != 1 and max(filled) > _CLOSE * cycle:
            for stay in stays:
                numbers[stay.index] = -1
    return numbers


def place_numbers_of(instance: Instance, station: int) -> list[int]:
    """Return numbers of the places of a station, which no other place has; none of a buffer's.

    No more than there are dwells that may be there.
    """
    capacity = instance.places[station].capacity
    if capacity is None:
        return []
    most = max(place.capacity or 0 for place in instance.places)
    return [station * most + n for n in range(min(capacity, len(instance.stays_at[station])))]


def places_taken(instance: Instance, starts: Ints, cycle: int) -> list[int]:
    """Return by stay a number of the place that it takes in a schedule, as :func:`place_numbers`.

    -1, too, for all in a station where places cannot be told apart round the cycle.

    Parameters
    ----------
    instance : Instance
        Every dwell in one station.
    starts : array (moves,)
        In ticks, counted on over cycles.
    cycle : int
        Cycle time in ticks.
    """
    numbers = [-1] * len(instance.stays)
    for station, stays in instance.stays_at.items():
        # Whoever comes next takes the first place that is free for all of the dwell.
        taken: dict[int, list[Stay]] = {place: [] for place in place_numbers_of(instance, station)}
        for stay in sorted(stays, key=lambda stay: int(starts[stay.arrival]) % cycle):
            brief = starts[stay.departure] - starts[stay.arrival] < cycle
            free = (
                place
                for place, others in taken.items()
                if brief and all(_apart(stay, other, starts, cycle) for other in others)
            )
            place = next(free, None)
            if place is None:  # round the cycle they cannot be told apart
                for each in stays:
                    numbers[each.index] = -1
                break
            taken[place].append(stay)
            numbers[stay.index] = place
    return numbers


def _apart(stay: Stay, other: Stay, starts: Ints, cycle: int) -> bool:
    """Whether two dwells never meet, round the cycle."""
    dwell, its = (starts[each.departure] - starts[each.arrival] for each in (stay, other))
    since = (starts[other.arrival] - starts[stay.arrival]) % cycle
    return bool(since >= dwell and -since % cycle >= its)


def numbered_as_they_enter(instance: Instance, starts: Ints, cycle: int) -> tuple[Instance, Ints]:
    """Number like loads as they enter, from the first on; each takes its tanks along.

    Returns
    -------
    Instance
    array (moves,)
        By move, which move of the instance given it was.
    """
    moves_of: dict[int, list[int]] = {}
    for move in instance.moves:
        moves_of.setdefault(move.job, []).append(move.index)
    origin = int(starts[instance.first_moves[0]])
    was, moves = np.arange(len(instance.moves)), list(instance.moves)
    for jobs in instance.alike:
        entering = sorted(
            jobs, key=lambda job: (int(starts[instance.first_moves[job]]) - origin) % cycle
        )
        for job, other in zip(sorted(jobs), entering, strict=True):
            was[moves_of[job]] = moves_of[other]
            for mine, its in zip(moves_of[job], moves_of[other], strict=True):
                moves[mine] = replace(moves[mine], routes=instance.moves[its].routes)
    return instance.with_moves(moves), was


def _longest_first(stays: Iterable[Stay], random: Generator) -> list[Stay]:
    """Return dwells with few tanks to choose from first, then the longest, more or less."""
    keys = {
        stay.index: (len(stay.places), -stay.least * random.uniform(1 - _UNEVEN, 1 + _UNEVEN))
        for stay in stays
    }
    return sorted(stays, key=lambda stay: keys[stay.index])
