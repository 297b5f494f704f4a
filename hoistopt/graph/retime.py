"""Between schedules and patterns: the instance a schedule belongs to, and new times for it."""

from __future__ import annotations

from collections.abc import Sequence

from ..base.errors import InputError
from ..instance import Instance
from ..problem import Problem
from ..schedule import Schedule, Step
from .pattern import Pattern


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


def moves_in_a_set(problem: Problem) -> int:
    """Moves that one set of loads takes, empty carriers carried back included."""
    back = problem.carriers.return_ == "hoist"
    return sum(len(problem.recipe_by_name[name].stages) + 1 + back for name in problem.load_set)


def schedule_of(
    instance: Instance,
    pattern: Pattern,
    starts: Sequence[int],
    cycle: int,
    first: int | None = None,
) -> Schedule:
    """The schedule of a pattern with the given start of each move, in ticks.

    Parameters
    ----------
    first : int, optional
        The move at which the cycle begins; by default the pattern's own first.
    """
    first = pattern.order[0] if first is None else first
    turn = pattern.order.index(first)
    order = pattern.order[turn:] + pattern.order[:turn]
    zero = starts[first]
    before = {move: starts[move] < zero for move in order}
    entering = [move for move in order if move in set(instance.first_moves)]
    numbers = {instance.moves[move].job: n for n, move in enumerate(entering, start=1)}
    crossed = {
        stay.departure: boundaries + before[stay.arrival] - before[stay.departure]
        for stay, boundaries in zip(instance.stays, pattern.boundaries, strict=True)
    }
    steps = []
    for index in order:
        move, route = instance.moves[index], pattern.routes[index]
        steps.append(
            Step(
                start=starts[index] - zero + before[index] * cycle,
                source=instance.places[route.source].name,
                target=instance.places[route.target].name,
                recipe=instance.recipes[move.job],
                load=numbers[move.job],
                stage=move.stage,
                boundaries=crossed.get(index),
            )
        )
    return Schedule(cycle, instance.ticks_per_unit, tuple(steps))
