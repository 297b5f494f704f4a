"""The constraint graph of a pattern: which start must come how long after which other.

Nodes are the moves of the instance. An arc from move a to move b says

    start of b - start of a >= length - boundaries * T

with T the cycle time and everything in ticks. A set of starts keeps all arcs exactly
when it keeps every rule of the line in that pattern; places and turns that depend on
the order of the moves alone need no arc.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from ..instance import Instance, Route, Turnround
from .pattern import Pattern, pattern_of
from .ratio import Least, earliest_starts, feasible_cycles, least_cycle_of
from .turns import Link

if TYPE_CHECKING:
    import networkx

__all__ = [
    "Arc",
    "Graph",
    "Least",
    "Part",
    "Pattern",
    "constraint_graph",
    "earliest_starts",
    "feasible_cycles",
    "least_cycle_of",
    "pattern_of",
]

Rule = Literal["hoist", "minimum", "maximum", "station", "return", "shortest", "longest"]
"""Why an arc is there: the hoist's work, a stage's window, the least occupation of an
end of the line, carriers coming back, the limits on the cycle time."""

What = Literal["loaded", "empty", "minimum", "maximum", "rounding", "occupation", "return", "limit"]


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of an arc's length, in ticks; pieces that shorten it are below 0.

    `move` and `stay` tell whose, where there is one; an empty travel goes from the end
    of `move` to the start of `to`.
    """

    what: What
    ticks: int
    move: int | None = None
    to: int | None = None
    stay: int | None = None
    label: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """One constraint: ``start[head] - start[tail] >= length - boundaries * T``."""

    tail: int
    head: int
    length: int
    boundaries: int
    rule: Rule
    parts: tuple[Part, ...] = field(default=(), compare=False)

    def slack(self, starts: dict[int, int] | list[int] | tuple[int, ...], cycle: int) -> int:
        """What is left at the given starts; below 0 where the rule is broken."""
        return starts[self.head] - starts[self.tail] - self.length + self.boundaries * cycle


@dataclass(frozen=True)
class Graph:
    """The arcs of a pattern; `nodes` counts the moves, `anchor` is where time is 0."""

    nodes: int
    anchor: int
    arcs: tuple[Arc, ...]

    def networkx(self) -> networkx.MultiDiGraph:
        """The same as a networkx graph; arcs carry length, boundaries and rule."""
        import networkx

        graph = networkx.MultiDiGraph()
        graph.add_nodes_from(range(self.nodes))
        for arc in self.arcs:
            graph.add_edge(
                arc.tail,
                arc.head,
                length=arc.length,
                boundaries=arc.boundaries,
                rule=arc.rule,
                arc=arc,
            )
        return graph


def constraint_graph(instance: Instance, pattern: Pattern) -> Graph:
    """All constraints between the starts of the moves of a pattern.

    Hoist arcs that follow from those between neighbouring moves are left out.
    """
    arcs = [
        *_hoist(instance, pattern),
        *_windows(instance, pattern),
        *_ends(instance, pattern),
        *_limits(instance, pattern.order[0]),
    ]
    return Graph(len(instance.moves), pattern.order[0], tuple(arcs))


def _hoist(instance: Instance, pattern: Pattern) -> Iterator[Arc]:
    """Every later move waits for the hoist; see the constraint of that name in the solver."""
    order, count = pattern.order, len(pattern.order)
    for i, a in enumerate(order):
        chain, last = 0, a
        for step in range(1, count + 1):
            b = order[(i + step) % count]
            chain += _gap(instance, pattern.routes, last, b)
            gap = _gap(instance, pattern.routes, a, b)
            last = b
            # Only tables that break the triangle inequality make the direct arc longer.
            if step > 1 and gap <= chain:
                continue
            parts = (
                Part("loaded", pattern.routes[a].duration, move=a),
                Part("empty", gap - pattern.routes[a].duration, move=a, to=b),
            )
            yield Arc(a, b, gap, (i + step) // count, "hoist", parts)
            chain = max(chain, gap)


def _gap(instance: Instance, routes: tuple[Route, ...], a: int, b: int) -> int:
    return routes[a].duration + instance.empty[routes[a].target][routes[b].source]


def _windows(instance: Instance, pattern: Pattern) -> Iterator[Arc]:
    for stay, crossed in zip(instance.stays, pattern.boundaries, strict=True):
        a, b, route = stay.arrival, stay.departure, pattern.routes[stay.arrival]
        loaded = Part("loaded", route.duration, move=a)
        least = Part("minimum", stay.least, move=a, stay=stay.index)
        yield Arc(a, b, route.duration + stay.least, crossed, "minimum", (loaded, least))
        if stay.most is None:
            continue
        back = [
            Part("maximum", -stay.most, move=a, stay=stay.index),
            Part("loaded", -route.duration, move=a),
        ]
        if route.shaved:
            back.append(Part("rounding", route.shaved, move=a))
        length = route.shaved - stay.most - route.duration
        yield Arc(b, a, length, -crossed, "maximum", tuple(back))


def _ends(instance: Instance, pattern: Pattern) -> Iterator[Arc]:
    for chain, links in zip(instance.turnrounds, pattern.turns, strict=True):
        for link in links:
            yield _turn(chain, link, pattern.routes)


def _turn(chain: Turnround, link: Link, routes: tuple[Route, ...]) -> Arc:
    s, t = link.source, link.target
    lag = chain.lags[chain.sources.index(s)][chain.targets.index(t)]
    back = chain.place is None and chain.carries
    parts: list[Part] = []
    if not chain.from_start:
        parts.append(Part("loaded", routes[s].duration, move=s))
    what: What = "return" if back else "occupation"
    parts.append(Part(what, lag, move=s, to=t, label=chain.label))
    if chain.to_end:
        if not chain.from_start and s != t and routes[t].excess > routes[s].excess:
            # Both end a fraction of a tick before their planned end, the later one more so.
            parts.append(Part("rounding", 1, move=t))
        parts.append(Part("loaded", -routes[t].duration, move=t))
    length = sum(part.ticks for part in parts)
    return Arc(s, t, length, link.boundaries, "return" if back else "station", tuple(parts))


def _limits(instance: Instance, anchor: int) -> Iterator[Arc]:
    if instance.shortest > 0:
        part = Part("limit", instance.shortest)
        yield Arc(anchor, anchor, instance.shortest, 1, "shortest", (part,))
    if instance.longest is not None:
        part = Part("limit", -instance.longest)
        yield Arc(anchor, anchor, -instance.longest, -1, "longest", (part,))
