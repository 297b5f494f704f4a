"""The event graph of an order of moves, from the solver's instance, in its ticks.

A set of starts keeps all arcs exactly when it keeps every rule of the line in that
pattern; places and turns that depend on the order of the moves alone need no arc.
"""

from __future__ import annotations

from collections.abc import Iterator

from ..instance import Instance, Route, Turnround
from .arc import Arc, EventGraph, Part, What, hoist_arcs, limit_arcs, loaded_parts
from .pattern import Pattern
from .turns import Turn, served


def instance_graph(instance: Instance, pattern: Pattern) -> EventGraph:
    """All constraints between the starts of the moves of a pattern.

    Parameters
    ----------
    instance : Instance
    pattern : Pattern
        One of the same instance.

    Returns
    -------
    EventGraph
        Nodes are the moves of the instance; the anchor is the first of the order.
    """
    routes, anchor = pattern.routes, pattern.order[0]
    arcs = [
        *hoist_arcs(
            pattern.order,
            loaded=lambda a: routes[a].duration,
            empty=lambda a, b: instance.empty[routes[a].target][routes[b].source],
            pad=lambda a: routes[a].pad,
        ),
        *_windows(instance, pattern),
        *_rests(instance, pattern),
        *_ends(instance, pattern),
        *limit_arcs(anchor, instance.shortest, instance.longest),
    ]
    return EventGraph(len(instance.moves), anchor, tuple(arcs), instance.ticks_per_unit)


def _windows(instance: Instance, pattern: Pattern) -> Iterator[Arc]:
    """Every load stands in every stage within its window."""
    for stay, height in zip(instance.stays, pattern.heights, strict=True):
        a, b, route = stay.arrival, stay.departure, pattern.routes[stay.arrival]
        loaded = loaded_parts(a, route.duration, route.pad)
        least = Part("minimum", stay.least, move=a, stay=stay.index)
        yield Arc(a, b, route.duration + stay.least, height, "minimum", (*loaded, least))
        if stay.most is None:
            continue
        back = [
            Part("slack", stay.room, move=a, stay=stay.index),
            Part("maximum", -(stay.most + stay.room + route.pad), move=a, stay=stay.index),
            Part("loaded", route.pad - route.duration, move=a),
        ]
        if not stay.room:
            del back[0]
        if route.shaved:
            back.append(Part("rounding", route.shaved, move=a))
        length = route.shaved - stay.most - route.duration
        yield Arc(b, a, length, -height, "maximum", tuple(back))


def _rests(instance: Instance, pattern: Pattern) -> Iterator[Arc]:
    """A carrier comes to a place that has been empty for long enough: that left first does."""
    where = {move: number for number, move in enumerate(pattern.order)}
    for number, place in enumerate(instance.places):
        stays = [s for s in instance.stays if pattern.routes[s.arrival].target == number]
        if not place.rest or not stays:
            continue
        assert place.capacity is not None
        free = place.capacity - sum(pattern.heights[stay.index] for stay in stays)
        lifts, comes = [s.departure for s in stays], [s.arrival for s in stays]
        for turn in served(lifts, comes, where.__getitem__, free):
            out, into = pattern.routes[turn.source], pattern.routes[turn.target]
            lag = place.resting(into, out)
            rest = lag - into.pad - out.pad
            parts = [Part("rest", rest, move=turn.source, to=turn.target, label=place.name)]
            if out.pad:
                parts.append(Part("float", out.pad, move=turn.source))
            parts.append(Part("loaded", into.pad - into.duration, move=turn.target))
            length = lag - into.duration
            yield Arc(turn.source, turn.target, length, turn.height, "rest", tuple(parts))


def _ends(instance: Instance, pattern: Pattern) -> Iterator[Arc]:
    for chain, turns in zip(instance.turnrounds, pattern.turns, strict=True):
        for turn in turns:
            yield _turn(chain, turn, pattern.routes)


def _turn(chain: Turnround, turn: Turn, routes: tuple[Route, ...]) -> Arc:
    """One carrier after another at an end of the line."""
    s, t = turn.source, turn.target
    lag = chain.lags[chain.sources.index(s)][chain.targets.index(t)]
    back = chain.place is None and chain.carries
    parts: list[Part] = []
    if not chain.from_start:
        parts += loaded_parts(s, routes[s].duration, routes[s].pad)
    what: What = "return" if back else "occupation"
    # Spacing from start to start, or end to end, has the float of one of the moves in it.
    pad = routes[s].pad if chain.from_start else routes[t].pad if chain.to_end else 0
    parts.append(Part(what, lag - pad, move=s, to=t, label=chain.label))
    if chain.from_start and pad:
        parts.append(Part("float", pad, move=s))
    if chain.to_end:
        if not chain.from_start and s != t and routes[t].excess > routes[s].excess:
            # Both end a fraction of a tick before their planned end, the later one more so.
            parts.append(Part("rounding", 1, move=t))
        parts.append(Part("loaded", routes[t].pad - routes[t].duration, move=t))
    length = sum(part.time for part in parts)
    return Arc(s, t, length, turn.height, "return" if back else "station", tuple(parts))
