"""Read the order of moves off a path through the diagram, from its terminal to the root."""

from __future__ import annotations

from .passes import Pass, Track
from .transitions.crossings import EMPTY, PASSING, Transition


def order_of(track: Track, found: Pass, terminal: tuple[int, int, Transition]) -> list[int]:
    """Return the moves in order, round the cycle, of the path to a terminal of a pass."""
    ring: list[tuple[int, bool]] = []
    for cut, (transition, first) in enumerate(_path(track, found, terminal)):
        ring = _served(ring, transition) if cut else [(m, True) for m in transition.served[0]]
        if any(crosses for _, crosses in ring):
            places = [place for place, (_, crosses) in enumerate(ring) if crosses]
            # Begin with the crossing of the right cut that its pattern begins with.
            ring = ring[places[first] :] + ring[: places[first]]
    return [move for move, _ in ring]


def _path(
    track: Track, found: Pass, terminal: tuple[int, int, Transition]
) -> list[tuple[Transition, int]]:
    """Return by station the transition, and which crossing of the right cut comes first."""
    table, row, transition = terminal
    # Each state knows its parent, and by which transition it came from there.
    path = [(transition, 0)]
    for cut in range(len(found.layers) - 1, -1, -1):
        parent = found.layers[cut][table].parent[row]
        pattern = found.layers[cut - 1][parent[0]].pattern if cut else ()
        transition = track.transitions(cut, pattern)[parent[2]]
        path.append((transition, int(parent[3])))
        table, row = int(parent[0]), int(parent[1])
    return path[::-1]


def _served(ring: list[tuple[int, bool]], transition: Transition) -> list[tuple[int, bool]]:
    """Return an order of moves with those of one more station put in.

    Parameters
    ----------
    ring : list of (int, bool)
        Moves, or EMPTY, and whether they cross the station's left cut; the first of those
        that do crosses it to the right, the next to the left, and so on.
    """
    on = {crossing.slot for crossing in transition.crossings if crossing.move == PASSING}
    # What is served in the next trip comes after each crossing to the right. A load that passes the
    # station crosses its right cut too.
    trips = iter(transition.served)
    found: list[tuple[int, bool]] = []
    crossing = 0
    for move, crosses in ring:
        if move != EMPTY:
            found.append((move, crosses and crossing in on))
        if crosses:
            if crossing % 2 == 0:
                found += [(new, True) for new in next(trips)]
            crossing += 1
    return found
