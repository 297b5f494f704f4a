"""From an instance and a schedule to arrays, and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ....instance import Instance, Route, Stay
from ....schedule import Schedule
from ...model.decode import starts_counted_on
from ..annealing.chain import Ints
from ..annealing.tanks import place_numbers_of, places_taken
from ..starts.groups import held_to
from .line import Line


class Begun(NamedTuple):
    """A schedule as arrays.

    Attributes
    ----------
    line : Line
    option, starts : array (moves,)
        The options of all dwells, and starts in ticks, counted on over cycles.
    tells_places : bool
        Whether every place of every station that has a limited number of them has one.
    """

    line: Line
    option: Ints
    starts: Ints
    tells_places: bool


def begun(instance: Instance, schedule: Schedule) -> Begun:
    """The arrays of a line, and a schedule to begin with.

    Loads keep the load and the unload station that they have in it.
    """
    held = held_to(instance, schedule)
    starts = np.array(starts_counted_on(instance, schedule))
    taken = places_taken(held, starts, schedule.cycle)
    vague = {
        held.stays[index].places[0]
        for index, number in enumerate(taken)
        if number < 0 and held.places[held.stays[index].places[0]].capacity is not None
    }
    count = len(instance.moves)
    choices: list[list[tuple[int, int]]] = []
    option = np.zeros(count, np.int64)
    for move in held.moves:
        stay = instance.stay_before.get(move.index)
        if stay is None:
            choices.append([(move.routes[0].source, -1)])
            continue
        choices.append(_places(instance, stay, vague))
        number = taken[stay.index]
        here = move.routes[0].source
        option[move.index] = choices[-1].index((here, -1 if here in vague else number))
    line = _line(instance, held, choices)
    return Begun(line, option, starts, not vague)


def _places(instance: Instance, stay: Stay, vague: set[int]) -> list[tuple[int, int]]:
    """Return the station and the number of each place that a dwell may be in."""
    found = []
    for station in stay.places:
        capacity = instance.places[station].capacity
        if capacity is None or station in vague:
            found.append((station, -1))
            continue
        found += [(station, number) for number in place_numbers_of(instance, station)]
    return found


def _line(instance: Instance, held: Instance, choices: Sequence[list[tuple[int, int]]]) -> Line:
    count, widest = len(choices), max(map(len, choices))
    station = np.zeros((count, widest), np.int64)
    slot = np.full((count, widest), -1, np.int64)
    duration = np.full((count, widest, widest), -1, np.int64)
    shaved = np.zeros((count, widest, widest), np.int64)
    first: list[int] = []
    last: list[int] = []
    target, shortest = np.zeros(count, np.int64), np.zeros(count, np.int64)
    longest = np.full(count, -1, np.int64)
    ends = {move.job: move.index for move in instance.moves}
    for move in instance.moves:
        index = move.index
        first.append(instance.first_moves[move.job])
        last.append(ends[move.job])
        for number, (place, which) in enumerate(choices[index]):
            station[index, number], slot[index, number] = place, which
        stay = instance.stay_before.get(index)
        if stay is not None:
            shortest[index] = stay.least
            longest[index] = -1 if stay.most is None else stay.most
        target[index] = held.moves[index].routes[0].target
        after = [(int(target[index]), -1)] if index == last[-1] else choices[index + 1]
        ways: dict[tuple[int, int], Route] = {}
        for route in move.routes:
            ways.setdefault((route.source, route.target), route)
        for x, (source, _) in enumerate(choices[index]):
            for y, (there, _) in enumerate(after):
                way = ways.get((source, there))
                if way is not None:
                    duration[index, x, y], shaved[index, x, y] = way.duration, way.shaved
    return Line(
        np.array(first, np.int64),
        np.array(last, np.int64),
        _shared(slot),
        np.array([len(each) for each in choices], np.int64),
        station,
        slot,
        target,
        duration,
        shaved,
        shortest,
        longest,
        np.array(instance.empty, np.int64),
    )


def _shared(slot: Ints) -> Ints:
    """Return for each move the others before which there may be a dwell in the same place."""
    places = [set(row[row >= 0].tolist()) for row in slot]
    rows = [
        [other for other, there in enumerate(places) if other != move and here & there]
        for move, here in enumerate(places)
    ]
    widest = max(1, *map(len, rows))
    return np.array([row + [-1] * (widest - len(row)) for row in rows], np.int64)


def with_options(instance: Instance, line: Line, option: Ints) -> Instance:
    """Return the instance with the tanks of some options."""
    moves = []
    for move in instance.moves:
        index = move.index
        source = int(line.station[index, option[index]])
        target = int(line.target[index])
        if index != line.ends[index]:
            target = int(line.station[index + 1, option[index + 1]])
        way = next(r for r in move.routes if (r.source, r.target) == (source, target))
        moves.append(replace(move, routes=(way,)))
    return instance.with_moves(moves)
