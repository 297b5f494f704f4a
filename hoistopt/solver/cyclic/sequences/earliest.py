"""Earliest times of partial sequences, worked out anew from all their rules."""

from __future__ import annotations

import numpy as np

from .relaxation import FAR, Ints, Relaxation


def earliest(relaxation: Relaxation, sequence: Ints, lowest: int, limit: int) -> tuple[Ints, Ints]:
    """Return the earliest times at which partial sequences keep every time window so far.

    Minimum-separation arcs, forwards and backwards in time, are applied until no time moves
    (the relaxation of Bellman and Ford) or the limit on the cycle time is passed.

    Parameters
    ----------
    sequence : array (rows, places)
        Moves in order.
    lowest, limit : int
        Least and greatest cycle time, in ticks.

    Returns
    -------
    times : array (rows, moves)
        Start of each move made.
    fine : array (rows,)
        Whether there are such times.
    """
    rows, places = sequence.shape
    o = relaxation
    moves = sequence.astype(np.int64)
    index = np.arange(rows)
    times = np.zeros((rows, o.moves), np.int64)
    position = np.full((rows, o.moves), places, np.int64)
    for place in range(places):
        position[index, moves[:, place]] = place
    arcs = _arcs(relaxation, position, places, lowest, limit)
    fine = np.ones(rows, bool)
    for _ in range(2 * places):
        before = times.copy()
        for place in range(1, places):
            a, b = moves[:, place - 1], moves[:, place]
            times[index, b] = np.maximum(times[index, b], times[index, a] + o.gap[a, b])
        for first, second, lag, apply in arcs:
            pushed = np.maximum(times[:, second], times[:, first] + lag)
            times[:, second] = np.where(apply, pushed, times[:, second])
        fine &= (times <= limit).all(axis=1) & (times[:, o.anchor] == 0)
        times[~fine] = before[~fine]
        if (times == before).all():
            break
    else:
        # Some row was still moving: it never settles.
        fine &= (times == before).all(axis=1)
    return times, fine


def _arcs(
    o: Relaxation, position: Ints, places: int, lowest: int, limit: int
) -> list[tuple[int, int, int, Ints]]:
    """Return minimum separations of moves: from, to, ticks, and in which rows."""
    found = []
    for lift, brought in enumerate(o.fills):
        if brought < 0:
            continue
        both = (position[:, lift] < places) & (position[:, brought] < places)
        within = both & (position[:, brought] < position[:, lift])
        around = both & ~within
        duration, least, most = int(o.duration[brought]), int(o.least[lift]), int(o.most[lift])
        found.append((brought, lift, duration + least, within))
        found.append((brought, lift, duration + least - limit, around))
        if most < FAR:
            found.append((lift, brought, -duration - most, within))
            found.append((lift, brought, lowest - duration - most, around))
    for first, others in o.spacing.items():
        for second, lag in others:
            both = (position[:, first] < position[:, second]) & (position[:, second] < places)
            found.append((first, second, lag, both))
    for chain in o.shared:
        for first in chain.sources:
            for second in chain.targets:
                both = (position[:, first] < position[:, second]) & (position[:, second] < places)
                lag = int(o.duration[first]) + chain.lags[0][0]
                found.append((first, second, lag, both))
    return [arc for arc in found if arc[3].any()]
