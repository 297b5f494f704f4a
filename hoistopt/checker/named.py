"""The straight way: a table that says which load every step carries, and from which stage.

Such a table is the solver's own, or one that was written by this package; there is
nothing to find out. It is held to its word only where that can be true: every load is
taken from stage to stage of its recipe, once each, and carriers stand where there is a
place for them. Any other table goes the way of all tables that have to be made sense of
(:mod:`hoistopt.checker.reading`), where a wrong name is told from a wrong time. Either
way gives a plan, and the same rules judge it.
"""

from __future__ import annotations

from .grid.route import Leg, Window
from .grid.table import Table
from .plan import Plan, plan_from
from .queueing import Link, missed, overfull

Named = tuple[str, int, int]
"""Recipe, number of the load in the cycle, stage left."""


def named_plan(table: Table) -> Plan | None:
    """The plan a table names step by step; None where it does not, or cannot be right."""
    legs = _legs(table)
    if legs is None:
        return None
    links = _links(table, legs)
    if links is None or not _room_for_all(table, legs, links):
        return None
    return plan_from(table, list(legs.values()), links)


def _legs(table: Table) -> dict[Named, Leg] | None:
    """The leg of each step, in order of the steps, all loads going all their way."""
    routes = table.routes
    legs: dict[Named, Leg] = {}
    recipes: dict[int, str] = {}
    for number, step in enumerate(table.steps):
        if step.recipe is None or step.load is None or step.stage is None:
            return None
        last = routes.last(step.recipe)
        reaches = 0 if routes.by_hoist and step.stage == last else step.stage + 1
        leg = Leg(step.recipe, step.stage, reaches)
        name = (step.recipe, step.load, step.stage)
        if name in legs or leg not in routes.legs(step.source, step.target):
            return None
        if table.parts(number, leg) is None:
            return None
        if recipes.setdefault(step.load, step.recipe) != step.recipe:
            return None
        legs[name] = leg
    for load, recipe in recipes.items():
        moves = routes.last(recipe) + routes.by_hoist
        if any((recipe, load, stage) not in legs for stage in range(moves)):
            return None
    return legs


def _links(table: Table, legs: dict[Named, Leg]) -> dict[int, Link] | None:
    """What each step lifts; None where the places or the boundaries do not fit."""
    numbers = {name: number for number, name in enumerate(legs)}
    links: dict[int, Link] = {}
    for (recipe, load, stage), number in numbers.items():
        if stage == 0:
            continue
        before = numbers[recipe, load, stage - 1]
        step = table.steps[number]
        if table.steps[before].target != step.source:
            return None
        end = table.end(before, legs[recipe, load, stage - 1])
        boundaries = step.boundaries
        if boundaries is None:
            window = table.routes.window(recipe, stage, step.source)
            boundaries = _only_boundaries(table, number, end, window)
        if boundaries is None or (boundaries, number) <= (0, before):
            return None
        dwell = table.starts[number] - end + boundaries * table.cycle
        if dwell < 0:
            return None
        links[number] = Link(before, boundaries, dwell)
    return links


def _only_boundaries(table: Table, number: int, end: int, window: Window) -> int | None:
    """The boundaries that an untold stay must cross; None where several would do, or none.

    In a station of one place a carrier stands for less than a cycle. Elsewhere only the
    table can say how many cycles it stays.
    """
    station = table.problem.station_by_name[table.steps[number].source]
    boundaries = -((table.starts[number] - end) // table.cycle)
    dwell = table.starts[number] - end + boundaries * table.cycle
    only = station.capacity == 1 and dwell > 0
    return boundaries if only and not missed(dwell, window.least, window.most) else None


def _room_for_all(table: Table, legs: dict[Named, Leg], links: dict[int, Link]) -> bool:
    """Whether no station ever holds more carriers than it has places for."""
    stays: dict[str, list[tuple[int, int]]] = {}
    ways = list(legs.values())
    for number, link in links.items():
        end = table.end(link.before, ways[link.before])
        stays.setdefault(table.steps[number].source, []).append((end, link.dwell))
    stations = table.problem.station_by_name
    return all(
        capacity == "unlimited" or not overfull(standing, table.cycle, capacity)
        for name, standing in stays.items()
        for capacity in [stations[name].capacity]
    )
