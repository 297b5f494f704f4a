"""Event graphs: which start must come how long after which other.

A schedule that repeats every cycle time T has one start per move and cycle. An arc
from move a to move b says

    start of b - start of a >= length - height * T

for starts within one cycle. Its height is the number of cycles from the one of a to the
one of b: a load set down late in one cycle and lifted early in the next has an arc of
height 1. The moves with such arcs are a timed event graph: F. Baccelli, G. Cohen, G. J.
Olsder and J.-P. Quadrat (1992), "Synchronization and Linearity", Wiley, chapter 2.

Times are whole steps of the graph's own grid, fine enough to be exact: the ticks of the
solver's instance, or the grid on which the checker reads a plan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import networkx

Rule = Literal[
    "hoist", "distance", "minimum", "maximum", "rest", "station", "return", "shortest", "longest"
]
"""Why an arc is there: the hoist's work, the distance of hoists, the window of a stage, the rest
of a tank, the least
occupation of an end of the line, carriers coming back, the limits on the cycle time."""

What = Literal[
    "loaded",
    "empty",
    "distance",
    "minimum",
    "maximum",
    "rest",
    "rounding",
    "occupation",
    "return",
    "limit",
    "float",
    "slack",
]


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of the length of an arc.

    Attributes
    ----------
    what : str
        The loaded move, empty travel, what keeping distance from another hoist asks, minimum
        or maximum dwell, rest of a tank, what rounding to ticks takes, least occupation of an
        end of the line, way back of a carrier, limit on
        the cycle time; float kept after a move, slack or float kept below a maximum.
    time : int
        In grid steps; below 0 where the piece shortens the arc.
    move : int or None
        The move it is about. Empty travel goes from the end of `move` to the start of
        `to`.
    to : int or None
    stay : int or None
        The stay of the instance it is about.
    label : str
        Name of the station, where no move tells it; whose travel from where to where; which
        hoist keeps its distance from which.
    """

    what: What
    time: int
    move: int | None = None
    to: int | None = None
    stay: int | None = None
    label: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """One constraint: ``start[head] - start[tail] >= length - height * T``.

    Attributes
    ----------
    tail, head : int
        Moves.
    length : int
        In grid steps; below 0 for a maximum.
    height : int
        Cycles from that of the tail to that of the head; below 0 for a maximum across
        the end of a cycle.
    rule : str
        Why it is there.
    parts : tuple of Part
        What the length is the sum of, in order of time; not compared.
    """

    tail: int
    head: int
    length: int
    height: int
    rule: Rule
    parts: tuple[Part, ...] = field(default=(), compare=False)

    @property
    def from_end(self) -> bool:
        """Whether the head waits for the end of the tail's move, not only for its start."""
        return bool(self.parts) and self.parts[0].what == "loaded"

    def slack(self, starts: Mapping[int, int] | Sequence[int], cycle: int) -> int:
        """What is left at the given starts; below 0 where the constraint is broken."""
        return starts[self.head] - starts[self.tail] - self.length + self.height * cycle


Circuit = tuple[Arc, ...]
"""Arcs each of which begins where the one before ends, the first where the last ends."""


@dataclass(frozen=True)
class EventGraph:
    """The arcs of a fixed order of moves.

    Attributes
    ----------
    nodes : int
        Number of moves.
    anchor : int
        The move whose start is time 0.
    arcs : tuple of Arc
    per_unit : Fraction
        Grid steps in one time unit of the problem.
    """

    nodes: int
    anchor: int
    arcs: tuple[Arc, ...]
    per_unit: Fraction = Fraction(1)

    def weights(self, cycle: Fraction) -> list[tuple[int, int, int]]:
        """Tail, head and least distance of every arc at a cycle time.

        Distances are whole: times the denominator of the cycle time.
        """
        p, q = cycle.numerator, cycle.denominator
        return [(arc.tail, arc.head, q * arc.length - p * arc.height) for arc in self.arcs]

    def networkx(self) -> networkx.MultiDiGraph:
        """The event graph as a networkx graph; its edges carry length, height and rule."""
        import networkx

        graph = networkx.MultiDiGraph()
        graph.add_nodes_from(range(self.nodes))
        for arc in self.arcs:
            graph.add_edge(
                arc.tail, arc.head, length=arc.length, height=arc.height, rule=arc.rule, arc=arc
            )
        return graph


def length_of(arcs: Iterable[Arc]) -> int:
    """Sum of the lengths."""
    return sum(arc.length for arc in arcs)


def height_of(arcs: Iterable[Arc]) -> int:
    """Sum of the heights; of a circuit, how many cycles it takes to come round."""
    return sum(arc.height for arc in arcs)


def joined(parts: Iterable[Part]) -> list[Part]:
    """The parts of a circuit without what is gone along backwards and at once forwards.

    A maximum leads back over the move before it, and the circuit often goes on from that
    move's end: then the move itself says nothing.
    """
    left = [part for part in parts if part.time]
    changed = True
    while changed and len(left) > 2:
        changed = False
        for index, part in enumerate(left):
            after = (index + 1) % len(left)
            if replace(part, time=-part.time) == left[after]:
                left = [other for i, other in enumerate(left) if i not in (index, after)]
                changed = True
                break
    return left


# -- arcs that every builder has --------------------------------------------------------


def hoist_arc(tail: int, head: int, loaded: int, empty: int, height: int, pad: int = 0) -> Arc:
    """The hoist makes the tail's move and travels empty to where the head's begins.

    `pad` is what of `loaded` is float kept after the move.
    """
    parts = (*loaded_parts(tail, loaded, pad), Part("empty", empty, move=tail, to=head))
    return Arc(tail, head, loaded + empty, height, "hoist", parts)


def loaded_parts(move: int, loaded: int, pad: int) -> tuple[Part, ...]:
    """A loaded move, and the float kept after it if there is any."""
    if not pad:
        return (Part("loaded", loaded, move=move),)
    return Part("loaded", loaded - pad, move=move), Part("float", pad, move=move)


def hoist_arcs(
    order: Sequence[int],
    loaded: Callable[[int], int],
    empty: Callable[[int, int], int],
    pad: Callable[[int], int] = lambda move: 0,
) -> Iterator[Arc]:
    """One hoist between any two moves, without the arcs that follow from others.

    Parameters
    ----------
    order : sequence of int
        The moves in order of starting within the cycle.
    loaded : callable
        Time of a move, by move.
    empty : callable
        Empty travel from the end of one move to the start of another.
    pad : callable
        What of a move's time is float kept after it.
    """
    count = len(order)
    for i, a in enumerate(order):
        chain, last = 0, a
        for step in range(1, count + 1):
            b = order[(i + step) % count]
            chain += loaded(last) + empty(last, b)
            last = b
            direct = loaded(a) + empty(a, b)
            # Only tables that break the triangle inequality make the direct arc longer.
            if step > 1 and direct <= chain:
                continue
            yield hoist_arc(a, b, loaded(a), empty(a, b), (i + step) // count, pad(a))
            chain = max(chain, direct)


def limit_arcs(anchor: int, shortest: int, longest: int | None) -> Iterator[Arc]:
    """The limits on the cycle time, as arcs from a move to itself."""
    if shortest > 0:
        yield Arc(anchor, anchor, shortest, 1, "shortest", (Part("limit", shortest),))
    if longest is not None:
        yield Arc(anchor, anchor, -longest, -1, "longest", (Part("limit", -longest),))
