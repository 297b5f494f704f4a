"""The pattern of a schedule: everything about it but the times."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from ..base.errors import InputError
from ..checker import Replay, accepted
from ..instance import Instance, Route, moves_in_a_set
from ..problem import Problem
from ..schedule import Schedule
from .turns import Turn, turns_of


@dataclass(frozen=True)
class Pattern:
    """What is left of a schedule when its times are taken away.

    Attributes
    ----------
    order : tuple of int
        The moves of the instance in order of starting within the cycle; the first is
        job 0's move out of its load station.
    routes : tuple of Route
        The way each move is made, by move.
    heights : tuple of int
        Cycles from the start of the move that begins a stay to the start of the one
        that ends it, by stay.
    turns : tuple of tuple of Turn
        Who follows whom at the ends of the line, by turnround of the instance; empty
        where it is no rule (a buffer of any size, and carriers enough).
    steps : tuple of int
        Number of each move among the steps of the schedule, from 0, by move.
    """

    order: tuple[int, ...]
    routes: tuple[Route, ...]
    heights: tuple[int, ...]
    turns: tuple[tuple[Turn, ...], ...]
    steps: tuple[int, ...]


def pattern_of(
    problem: Problem, instance: Instance, schedule: Schedule, seen: Replay | None = None
) -> Pattern:
    """Take the pattern out of a schedule that breaks no rule.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    schedule : Schedule
        From the solver, or any table that the checker accepts. Where steps do not say
        which load they carry, the checker's replay does.
    seen : Replay, optional
        That replay, if there is one already.

    Raises
    ------
    Refused
        When the steps do not say which load they carry and break a rule.
    InputError
        When the steps are not the moves of the instance.
    """
    named = _named(problem, schedule, seen)
    jobs = _jobs(instance, named)
    steps = [-1] * len(instance.moves)
    for move in instance.moves:
        steps[move.index] = jobs[move.job].get(move.stage, -1)
    if -1 in steps or len(steps) != len(schedule.steps):
        raise _not_of_this_line(len(schedule.steps), len(steps))
    routes = tuple(
        _route(instance, move, schedule.steps[step].source, schedule.steps[step].target)
        for move, step in enumerate(steps)
    )
    starts = [Fraction(schedule.steps[step].start) for step in steps]
    scale = instance.ticks_per_unit / schedule.ticks_per_unit
    zero = starts[instance.first_moves[0]]
    cycle = schedule.cycle * scale
    starts = [(start - zero) * scale % cycle for start in starts]
    stated = [named[step].height for step in steps]
    heights = tuple(
        _height(stay.least, stay.most, routes[stay.arrival], starts, cycle, pair, given)
        for stay in instance.stays
        for pair in [(stay.arrival, stay.departure)]
        for given in [_since(stated, zero, scale, pair, starts, cycle)]
    )
    order = _order(instance, routes, heights, starts)
    turns = turns_of(instance, order, routes, heights, starts, cycle)
    return Pattern(order, routes, heights, turns, tuple(steps))


def degree_of(problem: Problem, schedule: Schedule) -> int:
    """How many sets of loads a cycle of the schedule carries.

    Raises
    ------
    InputError
        When its moves do not make up whole sets.
    """
    moves = moves_in_a_set(problem)
    degree, left = divmod(len(schedule.steps), moves)
    if left or not degree:
        raise InputError(
            f"a multiple of {moves} moves, which is what one set of loads takes",
            field="moves",
            value=len(schedule.steps),
        )
    return degree


@dataclass(frozen=True)
class _Named:
    recipe: str
    load: int
    stage: int
    height: int | None


def _named(problem: Problem, schedule: Schedule, seen: Replay | None) -> list[_Named]:
    """Recipe, load and stage of every step, asking the checker where not stated."""
    if all(step.load and step.stage is not None and step.recipe for step in schedule):
        return [
            _Named(step.recipe or "", step.load or 0, step.stage or 0, step.boundaries)
            for step in schedule
        ]
    plan = accepted(problem, schedule, seen).plan
    named = []
    for number, leg in enumerate(plan.legs):
        if leg is None:
            raise _not_of_this_line(len(schedule.steps), len(schedule.steps) - 1)
        link = None if leg.leaves == 0 else plan.links.get(number)
        height = None if link is None else link.boundaries
        named.append(_Named(leg.recipe, plan.loads[number], leg.leaves, height))
    return named


def _jobs(instance: Instance, named: Sequence[_Named]) -> list[dict[int, int]]:
    """For each job of the instance the steps of its load, by stage."""
    loads: dict[tuple[str, int], dict[int, int]] = {}
    for number, step in enumerate(named):
        loads.setdefault((step.recipe, step.load), {})[step.stage] = number
    entering = sorted(loads.items(), key=lambda item: item[1].get(0, -1))
    names = [recipe for (recipe, _), _ in entering]
    if sorted(names) != sorted(instance.recipes):
        raise _not_of_this_line(len(named), len(instance.moves))
    turn = 0
    if instance.order_given:
        turns = [t for t in range(len(names)) if (*names[t:], *names[:t]) == instance.recipes]
        if not turns:
            raise _not_of_this_line(len(named), len(instance.moves))
        turn = turns[0]
    else:
        turn = names.index(instance.recipes[0])
    entering = entering[turn:] + entering[:turn]
    jobs: list[dict[int, int]] = []
    for recipe in instance.recipes:
        found = next(i for i, ((name, _), _) in enumerate(entering) if name == recipe)
        jobs.append(entering.pop(found)[1])
    return jobs


def _not_of_this_line(steps: int, moves: int) -> InputError:
    return InputError(
        f"a cycle of the line's own moves: {moves} of them at this degree",
        value=f"{steps} moves",
        way_out="See to it that the degree is that of the schedule.",
    )


def _route(instance: Instance, move: int, source: str, target: str) -> Route:
    for route in instance.moves[move].routes:
        if (instance.places[route.source].name, instance.places[route.target].name) == (
            source,
            target,
        ):
            return route
    raise InputError("a move the hoist can make for this recipe", value=f"{source} to {target}")


def _since(
    stated: Sequence[int | None],
    zero: Fraction,
    scale: Fraction,
    pair: tuple[int, int],
    starts: Sequence[Fraction],
    cycle: Fraction,
) -> int | None:
    """Stated cycle restarts, counted anew for a cycle that begins at `zero`."""
    given = stated[pair[1]]
    if given is None:
        return None
    shift = [int((starts[move] + zero * scale) // cycle) for move in pair]
    return given + shift[0] - shift[1]


def _height(
    least: int,
    most: int | None,
    route: Route,
    starts: Sequence[Fraction],
    cycle: Fraction,
    pair: tuple[int, int],
    given: int | None,
) -> int:
    if given is not None:
        return given
    stood = starts[pair[1]] - starts[pair[0]] - route.duration
    return max(0, -int((stood - least) // cycle))


def _order(
    instance: Instance,
    routes: Sequence[Route],
    heights: Sequence[int],
    starts: Sequence[Fraction],
) -> tuple[int, ...]:
    """Moves by start; those that take no time and start together, as they must follow."""
    first = instance.first_moves[0]
    within = {
        (stay.arrival, stay.departure)
        for stay, height in zip(instance.stays, heights, strict=True)
        if height == 0
    }

    def after(a: int, b: int) -> bool:
        """Whether a has to come after b, both starting at once."""
        gap = routes[a].duration + instance.empty[routes[a].target][routes[b].source]
        return gap > 0 or (b, a) in within or b == first

    order: list[int] = []
    ordered = sorted(range(len(starts)), key=lambda move: starts[move])
    for _, tied in groupby(ordered, key=lambda move: starts[move]):
        left = list(tied)
        while left:
            free = (a for a in left if not any(after(a, b) for b in left if b != a))
            order.append(next(free, left[0]))
            left.remove(order[-1])
    return tuple(order)
