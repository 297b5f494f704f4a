"""A start where several tanks serve one stage: merge them, solve, and unroll.

A group of g tanks that take each other's loads is nearly the same as one station of g
places that is left in the order of arrival. Merged so, a line has one way to make every
move and needs one set of loads a cycle, which is solved far sooner than g sets with a
choice of tanks. Run g times over, with the tanks in turn, its cycle is one of the line as
it is: carriers leave the station in the order they came, so tank number n mod g is empty
again when the carrier number n + g comes. The merged line takes the times to and from the
middle tank of the group; unrolled, with the tanks fixed, the moves are given times again, in
the same order. Where no times keep that order, a careful merged line takes for every move the
longest of the times to and from the tanks, and for the dwell after it the maximum less what the
shortest would leave over, so that nothing is lost by going to one tank rather than another.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from ....base.clock import Clock, OutOfTime
from ....instance import Instance, Move, Place, Route, Stay
from ....instance.several import Matrix
from ....schedule import Schedule
from ...cpsat import new_solver, run_solver
from ...model.build import build_model
from ...model.decode import decode, jobs_of, starts_of
from .copies import copied

MOST_SETS = 3
"""Sets of loads in a cycle of the merged line; with more it is hardly easier than the line."""

LONGER = 1.1
"""A cycle given times again may be so many times as long."""

REACHES, RETIMING_WORK = (0, 2), 3.0
"""Moves so near in the order may change places when they are given times; CP-SAT's work on
each, in its own measure (about a second), which is the same on every machine."""


@dataclass(frozen=True)
class Group:
    """Tanks that serve the same stages; the first `used` of them are given loads in turn."""

    places: tuple[int, ...]
    used: int

    def counted(self, *, careful: bool) -> tuple[int, ...]:
        """The tanks whose times the merged station has: all that are used, or the middle one."""
        return self.places[: self.used] if careful else (self.places[self.used // 2],)


def groups_of(instance: Instance) -> tuple[Group, ...]:
    """The groups of an instance, and how many tanks of each can be used in turn.

    Every stay that may be at one tank of a group may be at all of them and nowhere else,
    with a move to and from each. With v visits a cycle, only a divisor of v tanks can take
    turns, as every cycle uses the same ones.
    """
    found = []
    for places in {stay.places for stay in instance.stays if len(stay.places) > 1}:
        stays = [stay for stay in instance.stays if set(stay.places) & set(places)]
        like = {instance.places[place].capacity for place in places}
        alike = all(set(stay.places) == set(places) for stay in stays) and len(like) == 1
        if not alike or None in like or not _every_way(instance, stays):
            continue
        used = max(n for n in range(1, len(places) + 1) if len(stays) % n == 0)
        found.append(Group(_nearest(instance, places, stays), used))
    return tuple(sorted(found, key=lambda group: group.places))


def tanks_left_idle(instance: Instance) -> int:
    """Return how many tanks of its groups a cycle cannot use if they take turns.

    More where fewer loads of a cycle visit a group than it has tanks, and where they are no
    multiple of them.
    """
    return sum(len(group.places) - group.used for group in groups_of(instance))


def _every_way(instance: Instance, stays: Sequence[Stay]) -> bool:
    moves = [instance.moves[m] for stay in stays for m in (stay.arrival, stay.departure)]
    return all(
        len({(route.source, route.target) for route in move.routes})
        == len(move.sources) * len(move.targets)
        for move in moves
    )


def _nearest(instance: Instance, places: Sequence[int], stays: Sequence[Stay]) -> tuple[int, ...]:
    """The tanks of a group, those with the shortest moves to and from them first."""

    def work(place: int) -> int:
        ends = [
            min(r.duration for r in instance.moves[stay.arrival].routes if r.target == place)
            + min(r.duration for r in instance.moves[stay.departure].routes if r.source == place)
            for stay in stays
        ]
        return sum(ends)

    return tuple(sorted(places, key=lambda place: (work(place), place)))


def merged(instance: Instance, groups: Sequence[Group], *, careful: bool) -> Instance:
    """The line with each group as one station of as many places.

    Parameters
    ----------
    careful : bool
        Take the longest times of a group's tanks, and from the maximum after a move what
        the shortest leaves over; else the times of its middle tank.
    """
    used = {place for group in groups for place in group.counted(careful=careful)}
    into = {place: group.places[0] for group in groups for place in group.places}
    moves = tuple(_one_way(move, used, into) for move in instance.moves)
    spread = {
        move.index: _spread(move, used, into) for move in instance.moves if len(move.routes) > 1
    }
    places = list(instance.places)
    for group in groups:
        place = places[group.places[0]]
        assert place.capacity is not None
        rest = max(places[number].rest for number in group.places[: group.used])
        places[group.places[0]] = Place(place.name, place.capacity * group.used, True, rest)

    def between(travels: Matrix) -> Matrix:
        """Empty travel between stations, that of the furthest tanks where they are merged."""
        ends = [[p for p in used if into[p] == u] or [u] for u in range(len(places))]
        return tuple(tuple(max(travels[p][q] for p in u for q in v) for v in ends) for u in ends)

    several = instance.several
    if several is not None:
        several = replace(several, empties=tuple(map(between, several.empties)))
    stays = tuple(_careful(stay, into, spread.get(stay.arrival, 0)) for stay in instance.stays)
    return replace(
        instance,
        places=tuple(places),
        moves=moves,
        empty=between(instance.empty),
        stays=stays,
        several=several,
    )


def _ways(move: Move, used: set[int], into: dict[int, int]) -> list[Route]:
    return [
        route
        for route in move.routes
        if all(end not in into or end in used for end in (route.source, route.target))
    ]


def _one_way(move: Move, used: set[int], into: dict[int, int]) -> Move:
    ways: dict[tuple[int, int, int], Route] = {}
    for route in _ways(move, used, into):
        ends = into.get(route.source, route.source), into.get(route.target, route.target)
        other = ways.get((*ends, route.hoist), route)
        ways[(*ends, route.hoist)] = replace(
            route,
            source=ends[0],
            target=ends[1],
            duration=max(route.duration, other.duration),
            excess=max(route.excess, other.excess),
            shaved=max(route.shaved, other.shaved),
            pad=max(route.pad, other.pad),
        )
    return replace(move, routes=tuple(ways.values()))


def _spread(move: Move, used: set[int], into: dict[int, int]) -> int:
    durations = [route.duration for route in _ways(move, used, into)]
    return max(durations) - min(durations)


def _careful(stay: Stay, into: dict[int, int], spread: int) -> Stay:
    places = tuple(dict.fromkeys(into.get(place, place) for place in stay.places))
    most = stay.most
    if most is not None and most - spread >= stay.least:
        most -= spread
    return replace(stay, places=places, most=most)


def unrolled(
    instance: Instance, groups: Sequence[Group], schedule: Schedule, times: int
) -> Schedule:
    """A cycle of the merged line, `times` over, with the tanks of each group in turn."""
    whole = copied(schedule, times)
    source = {step: step.source for step in whole}
    target = {step: step.target for step in whole}
    leaving = {(step.load, step.stage): step for step in whole}
    for group in groups:
        name = instance.places[group.places[0]].name
        arriving = [step for step in whole if step.target == name]
        for number, step in enumerate(arriving):
            tank = instance.places[group.places[number % group.used]].name
            target[step] = tank
            source[leaving[step.load, (step.stage or 0) + 1]] = tank
    steps = tuple(replace(step, source=source[step], target=target[step]) for step in whole)
    return Schedule(whole.cycle, whole.ticks_per_unit, steps)


def held_to(instance: Instance, schedule: Schedule) -> Instance:
    """The instance with every load's tanks as in a schedule.

    The hoists are those of the schedule, too, where they reach the tanks.
    """
    jobs = jobs_of(instance, schedule)
    steps = {(jobs[step.load], step.stage): step for step in schedule}
    moves = []
    for move in instance.moves:
        step = steps[move.job, move.stage]
        routes = [
            route
            for route in move.routes
            if instance.places[route.source].name == step.source
            and instance.places[route.target].name == step.target
        ]
        if instance.several is not None:
            names = instance.several.names
            routes = [r for r in routes if names[r.hoist] == step.hoist] or routes
        moves.append(replace(move, routes=tuple(routes)))
    return instance.with_moves(moves)


def retimed(
    instance: Instance,
    schedule: Schedule,
    clock: Clock,
    reaches: Sequence[int] = REACHES,
    *,
    hasty: bool = False,
) -> Schedule | None:
    """The same tanks and much the same order of moves, with a cycle as short as can be.

    Same instance and schedule, same outcome, unless the clock is over first.

    Parameters
    ----------
    reaches : sequence of int
        How near each other in the order moves may be that change places, one after the other,
        until there is a schedule; with 0 none does.
    hasty : bool
        Take the first schedule found, which others will make shorter.

    Returns
    -------
    Schedule or None
        A schedule of the line; None where none that keeps the rules was found in time.
    """
    held = held_to(instance, schedule)
    starts = starts_of(instance, schedule)
    order = sorted(range(len(starts)), key=starts.__getitem__)
    place = {move: number for number, move in enumerate(order)}
    try:
        variables = build_model(held, round(LONGER * schedule.cycle), clock=clock)
    except OutOfTime:
        return None
    variables.model.minimize(variables.cycle)
    for reach in reaches:
        model = variables.model.clone()
        model.add_bool_and(
            variables.before(a, b)
            for a, b in combinations(order, 2)
            if min(place[b] - place[a], place[a] - place[b] + len(order)) > reach
        )
        solver = new_solver(clock, work=RETIMING_WORK, plainly=True)
        solver.parameters.stop_after_first_solution = hasty
        if run_solver(solver, model, clock) in ("optimal", "feasible"):
            return decode(variables, solver.value)
    return None


def sets_when_merged(instance: Instance) -> list[int]:
    """How many sets of loads a cycle of the merged line may have, the fewest first.

    The first two proper divisors of the degree, up to `MOST_SETS`; at degree 1, that.
    """
    degree = instance.degree
    proper = [n for n in range(1, min(degree, MOST_SETS + 1)) if degree % n == 0]
    return proper[:2] or [1]
