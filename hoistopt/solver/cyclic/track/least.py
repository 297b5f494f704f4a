"""Bounds on the way along the track that need no traversal."""

from __future__ import annotations

import numpy as np

from .line import Line
from .zones import Ints

NEVER = 1 << 40


def least_between(line: Line, cut: int) -> Ints:
    """Least time from a crossing to the right to the next one to the left.

    By moves; EMPTY is the last row and column.
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


def least_rest(line: Line) -> list[dict[int, int]]:
    """By cut and number of crossings each way, least time right of it, travel alone."""
    cuts = [line.crossing(cut) for cut in range(len(line.lengths))]
    found: list[dict[int, int]] = [{} for _ in cuts]
    for cut in range(len(cuts) - 1, -1, -1):
        right = sum(line.source[m] < line.target[m] for m in cuts[cut])
        left = len(cuts[cut]) - right
        station = line.stations[cut + 1].moves
        new = sum(line.duration[m] for m in station if m not in cuts[cut])
        for count in range(max(right, left, 1), len(line.duration) + 2):
            if cut + 1 < len(cuts):
                near = range(count - len(station), count + len(station) + 1)
                after = min((found[cut + 1].get(k, NEVER) for k in near), default=NEVER)
            else:
                after = 0 if count <= len(station) else NEVER
            if after < NEVER:
                empty = 2 * count - right - left
                found[cut][count] = after + new + empty * line.lengths[cut]
    return found
