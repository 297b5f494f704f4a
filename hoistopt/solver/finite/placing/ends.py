"""What happens at the ends of the line, and how far apart."""

from __future__ import annotations

from ....instance.finite import EndStation, FiniteInstance


def events_at(instance: FiniteInstance, end: EndStation) -> list[tuple[int, bool]]:
    """What happens at an end of the line: a move, and whether it lifts there."""
    found = []
    for load in instance.loads:
        first, last = instance.moves[load.moves[0]], instance.moves[load.moves[-1]]
        if load.enters and end.place in first.sources:
            found.append((first.index, True))
        if end.place in last.targets:
            found.append((last.index, False))
    return found


def lag_between(
    instance: FiniteInstance, end: EndStation, one: tuple[int, bool], other: tuple[int, bool]
) -> int:
    """Least ticks from one event at a place of an end of the line to a later one there.

    A move planned longer than it takes sets down early: by so much the next one may have to
    wait a tick more.
    """
    if other[1]:
        return end.occupied
    if one[1]:
        return 0
    early = min(route.excess for route in instance.moves[one[0]].routes)
    later = max(route.excess for route in instance.moves[other[0]].routes)
    return end.occupied + (later > early)
