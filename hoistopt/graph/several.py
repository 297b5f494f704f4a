"""The arcs of several hoists: each one's own work, and what neighbours wait for of one another.

Nodes are what the hoists do: the steps, and the empty travels between them. Travels have no
times of their own that matter to anyone else, so they are taken out again: an arc to a travel
and an arc from it make one arc. What is left says exactly when the steps can start, as any
starts that keep it leave every travel a time (the elimination of a variable from inequalities;
J. B. J. Fourier, 1827, for the general case).

An arc to a step that starts sooner than its tail, of a hoist already under way, is led on to what
comes after, since the machine holds that hoist meanwhile.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..base.numbers.decimals import brief
from ..checker.hoists.separations import least_until_next, separations
from ..checker.hoists.ways import Doing, all_doings
from ..checker.plan import Plan
from .arc import Arc, Part, Rule


@dataclass(frozen=True)
class HoistArcs:
    """What the hoists ask of the starts of the steps of a plan, in its order.

    Attributes
    ----------
    whole : tuple of Arc
        With a node for every travel as well, numbered on from the steps.
    steps : tuple of Arc
        The same between steps alone.
    since : tuple of int
        When each node starts as planned.
    """

    whole: tuple[Arc, ...]
    steps: tuple[Arc, ...]
    since: tuple[int, ...]


def several_hoist_arcs(plan: Plan) -> HoistArcs:
    """What several hoists ask of the starts of a plan's steps.

    Parameters
    ----------
    plan : Plan
        One that the checker accepts.
    """
    does = all_doings(plan.table, plan.parts)
    count = len(plan.table.steps)
    node: dict[tuple[int, int], int] = {}
    since = list(plan.table.starts)
    for hoist, doings in enumerate(does):
        for place, doing in enumerate(doings):
            node[hoist, place] = doing.number if doing.step else len(since)
            if not doing.step:
                since.append(doing.since)
    whole = [*_own(plan, does, node), *_between(plan, does, node)]
    return HoistArcs(tuple(whole), tuple(without_travels(whole, count, len(since))), tuple(since))


def without_travels(arcs: Iterable[Arc], steps: int, nodes: int) -> list[Arc]:
    """Arcs between steps alone that say the same of them as those with travels.

    Parameters
    ----------
    arcs : iterable of Arc
    steps, nodes : int
        How many steps there are, and how many steps and travels.
    """
    left = list(arcs)
    for travel in range(steps, nodes):
        left = _without(left, travel)
    return left


def _own(
    plan: Plan, does: Sequence[Sequence[Doing]], node: dict[tuple[int, int], int]
) -> Iterable[Arc]:
    """A hoist does one thing after the other."""
    for hoist, doings in enumerate(does):
        for place, doing in enumerate(doings):
            after = (place + 1) % len(doings)
            length = least_until_next(doings, place)
            tail, head = node[hoist, place], node[hoist, after]
            if doing.step:
                empty = Part("empty", 0, move=tail, to=head) if doings[after].step else None
                parts = (Part("loaded", length, move=tail), *([empty] if empty else ()))
            else:
                label = (
                    f"{_name(plan, hoist)} from {_at(plan, doing.here)} to {_at(plan, doing.there)}"
                )
                parts = (Part("empty", length, label=label),)
            yield Arc(tail, head, length, int(after <= place), "hoist", parts)


def _between(
    plan: Plan, does: Sequence[Sequence[Doing]], node: dict[tuple[int, int], int]
) -> Iterable[Arc]:
    """One hoist comes to a part of the track after its neighbour."""
    for each in separations(plan, does):
        (hoist, _), (other, _) = each.before, each.after
        label = f"{_name(plan, other)} after {_name(plan, hoist)}"
        parts = (Part("distance", each.length, label=label),)
        yield Arc(node[each.before], node[each.after], each.length, each.height, "distance", parts)


def _without(arcs: Iterable[Arc], node: int) -> list[Arc]:
    """The arcs with one node eliminated: each path of two arcs over it becomes one arc."""
    into: list[Arc] = []
    out: list[Arc] = []
    kept: list[Arc] = []
    for arc in arcs:
        if arc.tail == node and arc.head == node:
            # A circuit of travels alone bounds the cycle time; it may stand at any node.
            kept.append(replace(arc, tail=0, head=0))
            continue
        (into if arc.head == node else out if arc.tail == node else kept).append(arc)
    kept += [joined_arc(one, other) for one in into for other in out]
    return tightest(kept)


def joined_arc(one: Arc, other: Arc) -> Arc:
    """Two arcs one after the other as one."""
    rule: Rule = "hoist" if one.rule == other.rule == "hoist" else "distance"
    return Arc(
        one.tail,
        other.head,
        one.length + other.length,
        one.height + other.height,
        rule,
        (*one.parts, *other.parts),
    )


def tightest(arcs: Iterable[Arc]) -> list[Arc]:
    """Of arcs between the same two the longest of each height, but for those others imply."""
    best: dict[tuple[int, int, int], Arc] = {}
    for arc in arcs:
        key = arc.tail, arc.head, arc.height
        if key not in best or arc.length > best[key].length:
            best[key] = arc
    by_ends: dict[tuple[int, int], list[Arc]] = {}
    for arc in best.values():
        by_ends.setdefault((arc.tail, arc.head), []).append(arc)
    return [
        arc
        for alike in by_ends.values()
        for arc in alike
        if not any(other.height < arc.height and other.length >= arc.length for other in alike)
    ]


def in_time(hoists: Sequence[Arc], others: Sequence[Arc]) -> tuple[list[Arc], list[Arc]]:
    """Arcs that a late start spreads along, and those that no start can wait for.

    A hoist that is under way when another is late cannot start later any more: the machine
    holds it where it keeps its distance, and what comes after it is late. So an arc to a step
    that was planned to start before is led on along what waits for that step, until it comes to
    one that starts later.

    Parameters
    ----------
    hoists : sequence of Arc
        What hoists ask of the starts of the steps, which are numbered in order of starting.
    others : sequence of Arc
        What else steps wait for.

    Returns
    -------
    list of Arc
        Those of the hoists that lead forward in time, those led on included.
    list of Arc
        Those that lead back.
    """
    forward = [arc for arc in hoists if _forward(arc)]
    back = [arc for arc in hoists if not _forward(arc)]
    out: dict[int, list[Arc]] = {}
    for arc in (*hoists, *others):
        out.setdefault(arc.tail, []).append(arc)
    led: list[Arc] = []
    for first in back:
        reached = {(first.head, first.height): first}
        waiting = [first]
        while waiting:
            arc = waiting.pop()
            for onward in out.get(arc.head, ()):
                one = joined_arc(arc, onward)
                if _forward(one):
                    led.append(one)
                    continue
                known = reached.get((one.head, one.height))
                if known is None or known.length < one.length:
                    reached[one.head, one.height] = one
                    waiting.append(one)
    return tightest([*forward, *led]), back


def _forward(arc: Arc) -> bool:
    """Whether the head starts after the tail, of steps numbered in order of starting."""
    return arc.height > 0 or (arc.height == 0 and arc.tail < arc.head)


def _name(plan: Plan, hoist: int) -> str:
    return plan.table.problem.hoists[hoist].name or ""


def _at(plan: Plan, position: Fraction) -> str:
    for station in plan.table.problem.stations:
        if station.position is not None and Fraction(station.position) == position:
            return station.name
    return brief(position)
