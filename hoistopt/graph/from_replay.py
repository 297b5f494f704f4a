"""The event graph of a schedule, from the checker's reading of it, in its exact times.

Nodes are the steps of the schedule. Built from what the checker sees happen, so that it
serves tables from anywhere, and on the checker's grid, so that nothing is lost to
rounding. The solver's instance has no part in it.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from ..checker import Replay
from ..checker.hoists.ways import empty_and_idle
from ..checker.plan import Plan
from .arc import Arc, EventGraph, Part, hoist_arc, hoist_arcs, limit_arcs
from .plan_ends import end_arcs
from .several import in_time, several_hoist_arcs
from .timed_plan import Dwell, TimedPlan
from .turns import served


def plan_graph(plan: Plan, *, spare: bool = True) -> EventGraph:
    """All constraints between the starts of the steps of a plan, its order kept.

    Parameters
    ----------
    plan : Plan
        The checker's reading of a schedule, of which only the order of the steps, their
        stations, and who is lifted how many cycles after it was set down counts here.
    spare : bool
        Whether carriers that the plan does not need may be counted on as well.

    Returns
    -------
    EventGraph
        In grid steps of the checker's clock; the anchor is the first step.
    """
    several = len(plan.table.problem.hoists) > 1
    hoists = several_hoist_arcs(plan).steps if several else _hoist_arcs(plan)
    arcs = (*hoists, *load_arcs(plan, spare=spare))
    return EventGraph(len(plan.table.steps), 0, arcs, Fraction(plan.table.clock.per_unit))


def load_arcs(plan: Plan, *, spare: bool = True) -> list[Arc]:
    """What loads, the ends of the line and limits on the cycle time ask of the steps of a plan.

    Parameters
    ----------
    plan, spare
        As for :func:`plan_graph`.
    """
    return [
        *_minima(plan),
        *_maxima(plan),
        *_rests(plan),
        *end_arcs(plan, spare=spare),
        *limit_arcs(0, *_limits(plan)),
    ]


def timed_plan(seen: Replay) -> TimedPlan:
    """Read off what waits for what, and when all of it is planned.

    Parameters
    ----------
    seen : Replay
        Of a schedule that the checker accepted: a line that cannot run has no margins.
    """
    plan = seen.plan
    table, clock = plan.table, plan.table.clock
    parts = tuple(part for part in plan.parts if part is not None)
    legs = [leg for leg in plan.legs if leg is not None]
    assert len(parts) == len(legs) == len(table.steps)
    rests, others = list(_rests(plan)), [*_minima(plan), *end_arcs(plan, spare=True)]
    if len(seen.problem.hoists) == 1:
        following, left_out = [*_following(plan), *rests], _left_out(plan)
        empties = [_empty(plan, number - 1, number) for number in range(len(parts))]
    else:
        own = [*several_hoist_arcs(plan).steps, *rests]
        following, left_out = in_time(own, others)
        empties = _all_travels(plan)
    return TimedPlan(
        problem=seen.problem,
        schedule=seen.schedule,
        cycle=table.cycle,
        tick=clock.ticks(1),
        tolerance=clock.tolerance,
        per_unit=clock.per_unit,
        starts=tuple(table.starts),
        parts=parts,
        empties=tuple(empties),
        waits=(*following, *others),
        left_out=tuple(left_out),
        dwells=tuple(_dwells(plan)),
        recipes=tuple(leg.recipe for leg in legs),
        loads=tuple(plan.loads),
        stages=tuple(leg.leaves for leg in legs),
    )


def _loaded(plan: Plan, number: int) -> int:
    parts = plan.parts[number]
    assert parts is not None
    return parts.total


def _empty(plan: Plan, before: int, after: int) -> int:
    """Empty travel from the end of one step to the start of another."""
    steps = plan.table.steps
    time = plan.table.times.empty(steps[before].target, steps[after].source)
    assert time is not None
    return time


def _all_travels(plan: Plan) -> list[int]:
    """The empty travel of its hoist before each step, where there are several hoists."""
    found: dict[int, int] = {}
    for hoist in range(len(plan.table.timetables)):
        between = empty_and_idle(plan.table, plan.parts, hoist)
        found |= {number: travelled for number, (travelled, _) in between.items()}
    return [found[number] for number in range(len(plan.table.steps))]


def _hoist(plan: Plan, before: int, after: int, height: int) -> Arc:
    return hoist_arc(before, after, _loaded(plan, before), _empty(plan, before, after), height)


def _hoist_arcs(plan: Plan) -> Iterator[Arc]:
    """Between any two steps the hoist has time to get from the one to the other."""
    order = range(len(plan.table.steps))
    return hoist_arcs(order, lambda a: _loaded(plan, a), lambda a, b: _empty(plan, a, b))


def _following(plan: Plan) -> list[Arc]:
    """In the steady cycle the hoist comes from the step before."""
    numbers = range(len(plan.table.steps))
    found = [_hoist(plan, before, after, 0) for before, after in pairwise(numbers)]
    return [*found, _hoist(plan, numbers[-1], 0, 1)]


def _left_out(plan: Plan) -> list[Arc]:
    following = set(_following(plan))
    return [arc for arc in _hoist_arcs(plan) if arc not in following]


def _minima(plan: Plan) -> Iterator[Arc]:
    """A carrier stands its minimum before it is lifted."""
    for number, leg in enumerate(plan.legs):
        link = plan.links.get(number)
        if leg is None or link is None or leg.leaves == 0:
            continue
        station = plan.table.steps[number].source
        least = plan.table.routes.window(leg.recipe, leg.leaves, station).least
        moving = _loaded(plan, link.before)
        parts = (
            Part("loaded", moving, move=link.before),
            Part("minimum", least, move=link.before, label=station),
        )
        yield Arc(link.before, number, moving + least, link.boundaries, "minimum", parts)


def _rests(plan: Plan) -> Iterator[Arc]:
    """A carrier comes to a place that has been empty for long enough: that left first has.

    Carriers are set down in the order in which their moves end, maybe in the cycle after that
    in which they began.
    """
    table, cycle = plan.table, plan.table.cycle
    for station in table.problem.stations:
        lifts = [
            number
            for number, leg in enumerate(plan.legs)
            if leg is not None and leg.leaves > 0 and number in plan.links
            if table.steps[number].source == station.name
        ]
        if not station.min_rest or not lifts:
            continue
        assert isinstance(station.capacity, int)
        links = [plan.links[number] for number in lifts]
        later = {link.before: plan.end(link.before) // cycle for link in links}
        standing = sum(link.boundaries - later[link.before] for link in links)
        when = dict(zip(lifts, (table.starts[number] for number in lifts), strict=True))
        came = {before: plan.end(before) % cycle for before in later}
        rest = table.clock.exact(station.min_rest)
        for turn in served(lifts, came, {**when, **came}.__getitem__, station.capacity - standing):
            moving = _loaded(plan, turn.target)
            parts = (
                Part("rest", rest, move=turn.source, to=turn.target, label=station.name),
                Part("loaded", -moving, move=turn.target),
            )
            height = turn.height - later[turn.target]
            yield Arc(turn.source, turn.target, rest - moving, height, "rest", parts)


def _maxima(plan: Plan) -> Iterator[Arc]:
    """A load is lifted before its maximum is over."""
    for dwell in _dwells(plan):
        if dwell.most is None:
            continue
        moving = _loaded(plan, dwell.arrival)
        parts = (
            Part("maximum", -dwell.most, move=dwell.arrival, label=dwell.station),
            Part("loaded", -moving, move=dwell.arrival),
        )
        length = -moving - dwell.most
        yield Arc(dwell.departure, dwell.arrival, length, -dwell.height, "maximum", parts)


def _dwells(plan: Plan) -> Iterator[Dwell]:
    table = plan.table
    for number, leg in enumerate(plan.legs):
        link = plan.links.get(number)
        if leg is None or link is None or not 0 < leg.leaves < table.routes.last(leg.recipe):
            continue
        station = table.steps[number].source
        window = table.routes.window(leg.recipe, leg.leaves, station)
        yield Dwell(
            arrival=link.before,
            departure=number,
            height=link.boundaries,
            recipe=leg.recipe,
            stage=leg.leaves,
            label=table.routes.label(leg.recipe, leg.leaves, station),
            station=station,
            load=plan.loads[number],
            planned=link.dwell,
            least=window.least,
            most=window.most,
        )


def _limits(plan: Plan) -> tuple[int, int | None]:
    """Least and greatest cycle time asked for: those of one set, times the sets carried."""
    problem, exact = plan.table.problem, plan.table.clock.exact
    loads = sum(map(plan.begins, range(len(plan.table.steps))))
    sets = Fraction(loads, len(problem.load_set))
    most = problem.cycle.max
    return (
        exact(Fraction(problem.cycle.min) * sets),
        None if most is None else exact(Fraction(most) * sets),
    )
