"""From the values of the variables to a schedule."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from ...instance import Instance, Move, Route, Stay
from ...schedule import Schedule, Step
from .variables import Variables


def decode(variables: Variables, value: Any) -> Schedule:
    """The schedule that a solution stands for.

    Parameters
    ----------
    value : callable
        Gives the value of a variable or linear expression of the model.
    """
    instance = variables.instance

    def route_of_move(move: Move) -> Route:
        if len(move.routes) == 1:
            return move.routes[0]
        return next(r for i, r in enumerate(move.routes) if value(variables.route(move.index, i)))

    def boundaries(stay: Stay) -> int:
        return int(value(variables.wraps(stay)) + value(variables.in_the_air(stay.arrival)))

    starts = [value(start) for start in variables.start]
    routes = [route_of_move(move) for move in instance.moves]
    return _schedule(instance, starts, value(variables.cycle), routes, boundaries)


def decode_starts(instance: Instance, starts: Sequence[int], cycle: int) -> Schedule:
    """The schedule that starts stand for, where every move has one route.

    Parameters
    ----------
    starts : sequence of int
        In ticks, counted on over cycles, by move.
    cycle : int
        Cycle time in ticks.
    """
    origin = starts[instance.first_moves[0]]
    rounds, within = zip(*(divmod(start - origin, cycle) for start in starts), strict=True)

    def boundaries(stay: Stay) -> int:
        return int(rounds[stay.departure] - rounds[stay.arrival])

    routes = [move.routes[0] for move in instance.moves]
    return _schedule(instance, within, cycle, routes, boundaries)


def _schedule(
    instance: Instance,
    starts: Sequence[int],
    cycle: int,
    routes: Sequence[Route],
    boundaries: Callable[[Stay], int],
) -> Schedule:
    """The schedule of moves that start within a cycle, on routes of theirs."""
    numbers = _loads_by_entry(instance, starts)
    steps = []
    for move, route in zip(instance.moves, routes, strict=True):
        stay = instance.stay_before.get(move.index)
        steps.append(
            Step(
                start=starts[move.index],
                source=instance.places[route.source].name,
                target=instance.places[route.target].name,
                recipe=instance.recipes[move.job],
                load=numbers[move.job],
                stage=move.stage,
                boundaries=None if stay is None else boundaries(stay),
                hoist=None if instance.several is None else instance.several.names[route.hoist],
            )
        )
    return Schedule(cycle, instance.ticks_per_unit, tuple(steps))


def starts_of(instance: Instance, schedule: Schedule) -> list[int]:
    """The start of each move of the instance in a schedule."""
    job_of = jobs_of(instance, schedule)
    starts = {(job_of[step.load], step.stage): step.start for step in schedule.steps}
    return [starts[move.job, move.stage] for move in instance.moves]


def starts_counted_on(instance: Instance, schedule: Schedule) -> list[int]:
    """The start of each move of the instance in a schedule, counted on over cycles."""
    job_of = jobs_of(instance, schedule)
    boundaries = {(job_of[step.load], step.stage): step.boundaries or 0 for step in schedule}
    starts = starts_of(instance, schedule)
    cycles = 0
    for move in instance.moves:
        cycles = 0 if move.stage == 0 else cycles + boundaries[move.job, move.stage]
        starts[move.index] += cycles * schedule.cycle
    return starts


def jobs_of(instance: Instance, schedule: Schedule) -> dict[int | None, int]:
    """The job of each load of a schedule.

    Loads are jobs of their recipe in the order in which they enter, as the model has it.
    """
    jobs: dict[str, list[int]] = {}
    for job, recipe in enumerate(instance.recipes):
        jobs.setdefault(recipe, []).append(job)
    entering = sorted((step.load, step.recipe or "") for step in schedule.steps if step.stage == 0)
    return {load: jobs[recipe].pop(0) for load, recipe in entering}


def _loads_by_entry(instance: Instance, starts: Sequence[int]) -> dict[int, int]:
    """Each job's number among the loads of a cycle, in order of entering."""
    order = sorted(range(instance.jobs), key=lambda job: starts[instance.first_moves[job]])
    return {job: number for number, job in enumerate(order, start=1)}


def route_of(instance: Instance, move: Move, step: Step) -> int:
    """The number of the route by which a step makes a move.

    Raises
    ------
    StopIteration
        When the move has no such route.
    """
    several = instance.several
    return next(
        number
        for number, route in enumerate(move.routes)
        if instance.places[route.source].name == step.source
        and instance.places[route.target].name == step.target
        and (several is None or several.names[route.hoist] == step.hoist)
    )
