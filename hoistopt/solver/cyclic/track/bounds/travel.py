"""Completion bounds from travel alone, for a first pass."""

from __future__ import annotations

import numpy as np

from ..line import Line
from ..times.span import Ints

NEVER = 1 << 40
"""Ticks that nothing takes: of what is impossible."""


def return_times(line: Line, cut: int) -> Ints:
    """Return minimum times from a crossing of a cut to the right to the next one to the left.

    Returns
    -------
    array (moves + 1, moves + 1)
        By the move carried there and the move carried back, in ticks. The last row and column
        are those of an empty hoist.
    """
    count = len(line.duration)
    found = np.zeros((count + 1, count + 1), np.int32)
    found[:count, :count] = line.gap
    found[count, count] = 2 * line.lengths[cut]
    for move in line.crossing(cut):
        if line.source[move] < line.target[move]:
            end = line.target[move]
            way = line.at[end] - line.at[cut] + line.stations[end].leave
            found[move, count] = line.duration[move] + way
        else:
            begin = line.source[move]
            found[count, move] = line.at[begin] - line.at[cut] + line.stations[begin].reach
    return found


def travel_bounds(line: Line) -> list[dict[int, int]]:
    """Return minimum times of the hoist right of each cut, for loaded moves and travel alone.

    Returns
    -------
    list of dict of int to int
        By cut, and by number of crossings to the right, in ticks.
    """
    cuts = [line.crossing(cut) for cut in range(len(line.lengths))]
    found: list[dict[int, int]] = [{} for _ in cuts]
    for cut in range(len(cuts) - 1, -1, -1):
        right = sum(line.source[m] < line.target[m] for m in cuts[cut])
        left = len(cuts[cut]) - right
        station = line.stations[cut + 1].moves
        new = sum(line.duration[m] for m in station if m not in cuts[cut])
        for count in range(max(right, left, 1), len(line.duration) + 2):
            if cut + 1 < len(cuts):
                # A move of the station adds one crossing of the next cut at most, or saves one.
                near = range(count - len(station), count + len(station) + 1)
                after = min((found[cut + 1].get(k, NEVER) for k in near), default=NEVER)
            else:
                after = 0 if count <= len(station) else NEVER
            if after < NEVER:
                empty = 2 * count - right - left
                found[cut][count] = after + new + empty * line.lengths[cut]
    return found
