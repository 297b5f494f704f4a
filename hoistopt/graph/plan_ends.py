"""Arcs at the ends of the line, from the checker's reading of a plan.

The first and last moves of a load wait for a carrier, or a place for it. Carriers are
alike and are taken in the order in which they come back. A line that has more carriers
than its schedule needs, and one place to keep them, has that many waiting.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from ..checker.plan import Plan
from ..checker.queueing import Link
from .arc import Arc, Part, Rule

OUTSIDE = ""


@dataclass(frozen=True)
class _Pool:
    """Where empty carriers wait: a station, or outside; links by the step that lifts one."""

    station: str
    links: dict[int, Link]


def end_arcs(plan: Plan, *, spare: bool) -> list[Arc]:
    """All of them.

    Parameters
    ----------
    plan : Plan
        One that breaks no rule.
    spare : bool
        Whether to count on carriers that the plan itself does not need: each lift may
        then take a carrier that came back earlier than the one planned for it.
    """
    found = [*_spaced(plan)]
    pools = _pools(plan)
    for pool in pools:
        extra = _extra(plan, pool, alone=len(pools) == 1)
        if extra is not None:
            found += _returns(plan, pool, extra if spare else 0)
    return found


def _pools(plan: Plan) -> list[_Pool]:
    by_station: dict[str, dict[int, Link]] = {}
    for number, link in plan.links.items():
        if plan.begins(number):
            name = plan.table.steps[number].source
            kind = plan.table.problem.station_by_name[name].kind
            stands = plan.table.routes.by_hoist or kind == "load-unload"
            by_station.setdefault(name if stands else OUTSIDE, {})[number] = link
    return [_Pool(station, links) for station, links in by_station.items()]


def _extra(plan: Plan, pool: _Pool, *, alone: bool) -> int | None:
    """Carriers waiting beyond those the schedule needs; None where there is always one.

    Several pools would have to share what is to spare: then none is counted on.
    """
    problem = plan.table.problem
    count = problem.carriers.count
    places = problem.station_by_name[pool.station].capacity if pool.station else "unlimited"
    if places == "unlimited" and count is None:
        return None
    rooms = [] if count is None else [count - plan.carriers if alone else 0]
    if places != "unlimited":
        rooms.append(places - _most_standing(plan, pool))
    return max(0, min(rooms))


def _most_standing(plan: Plan, pool: _Pool) -> int:
    """The most carriers that stand at a pool's station at once."""
    cycle, starts = plan.table.cycle, plan.table.starts
    stays = [
        (plan.end(link.before), starts[number] + link.boundaries * cycle)
        for number, link in pool.links.items()
    ]
    # One that is lifted the moment another is set down is still there: the hoist does
    # one after the other.
    return max(
        sum((moment - since) // cycle + (until - moment) // cycle + 1 for since, until in stays)
        for moment, _ in stays
    )


def _returns(plan: Plan, pool: _Pool, extra: int) -> list[Arc]:
    """Each lift takes the carrier that came back `extra` carriers before the planned one."""
    table = plan.table
    station, cycle = table.problem.station_by_name, table.cycle
    back = table.clock.exact(table.problem.carriers.return_time)

    def away(before: int, after: int) -> int:
        """Least time between set down and lifting."""
        load = table.clock.exact(station[table.steps[after].source].min_occupation)
        if pool.station:
            return load
        unload = table.clock.exact(station[table.steps[before].target].min_occupation)
        return unload + back + load

    def ready(before: int) -> int:
        return plan.end(before) + away(before, next(iter(pool.links)))

    coming = sorted(
        (link.before for link in pool.links.values()), key=lambda n: (ready(n) % cycle, n)
    )
    found = []
    for number, link in pool.links.items():
        before, height = _earlier(coming, ready, cycle, link, extra)
        parts = (
            Part("loaded", _moving(plan, before), move=before),
            Part(
                "occupation" if pool.station else "return",
                away(before, number),
                move=before,
                to=number,
                label=table.steps[number].source,
            ),
        )
        length = sum(part.time for part in parts)
        rule: Rule = "station" if pool.station else "return"
        found.append(Arc(before, number, length, height, rule, parts))
    return found


def _earlier(
    coming: list[int], ready: Callable[[int], int], cycle: int, link: Link, by: int
) -> tuple[int, int]:
    """The carrier that comes `by` carriers before that of `link`: its step and height."""
    count = len(coming)
    index = coming.index(link.before)
    index += count * (ready(link.before) // cycle - link.boundaries) - by
    cycles, position = divmod(index, count)
    before = coming[position]
    return before, ready(before) // cycle - cycles


def _spaced(plan: Plan) -> Iterator[Arc]:
    """Separate ends served from outside: of the places there, one has to be ready again."""
    table = plan.table
    if table.routes.by_hoist:
        return
    for station in table.problem.stations:
        least = table.clock.exact(station.min_occupation)
        if station.kind not in ("load", "unload") or station.capacity == "unlimited" or not least:
            continue
        at_end = station.kind == "unload"
        numbers = [
            number
            for number, step in enumerate(table.steps)
            if (step.target if at_end else step.source) == station.name
        ]
        for position, before in enumerate(numbers):
            height, later = divmod(position + station.capacity, len(numbers))
            after = numbers[later]
            stands = Part("occupation", least, move=before, to=after, label=station.name)
            parts = [stands]
            if at_end:
                # From set down to set down, counted from start to start.
                first = Part("loaded", _moving(plan, before), move=before)
                last = Part("loaded", -_moving(plan, after), move=after)
                parts = [first, stands, last]
            length = sum(part.time for part in parts)
            yield Arc(before, after, length, height, "station", tuple(parts))


def _moving(plan: Plan, number: int) -> int:
    parts = plan.parts[number]
    assert parts is not None
    return parts.total
