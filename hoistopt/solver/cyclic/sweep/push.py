"""Earliest times of whole sequences, maxima included."""

from __future__ import annotations

import numpy as np

from .outline import FAR, Ints, Outline


def earliest(outline: Outline, trail: Ints, lowest: int, limit: int) -> tuple[Ints, Ints]:
    """The earliest times at which given sequences keep every window so far.

    Least times between moves, forwards and backwards, are applied until nothing moves
    any more (Bellman and Ford's relaxation) or the limit is passed.

    Parameters
    ----------
    trail : array (rows, places)
        Moves in order.

    Returns
    -------
    times : array (rows, moves)
        Start of each move made.
    fine : array (rows,)
        Whether there are such times.
    """
    rows, places = trail.shape
    o = outline
    moves = trail.astype(np.int64)
    index = np.arange(rows)
    times = np.zeros((rows, o.moves), np.int64)
    position = np.full((rows, o.moves), places, np.int64)
    for place in range(places):
        position[index, moves[:, place]] = place
    links = _links(outline, position, places, lowest, limit)
    fine = np.ones(rows, bool)
    for _ in range(2 * places):
        before = times.copy()
        for place in range(1, places):
            a, b = moves[:, place - 1], moves[:, place]
            times[index, b] = np.maximum(times[index, b], times[index, a] + o.gap[a, b])
        for first, second, lag, apply in links:
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


def _links(
    o: Outline, position: Ints, places: int, lowest: int, limit: int
) -> list[tuple[int, int, int, Ints]]:
    """Least times between moves: from, to, how much, and in which rows."""
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
    return [link for link in found if link[3].any()]
