"""From a schedule to values of the variables, to begin a search from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from ...schedule import Schedule, Step
from .constraints.several import apart
from .decode import jobs_of, route_of, starts_of
from .variables import Linear, Variables


def hint(variables: Variables, schedule: Schedule) -> None:
    """Tell the model the starts, order, tanks and cycle boundaries of a schedule.

    What follows from these is left to the solver.
    """
    instance, model = variables.instance, variables.model
    model.add_hint(variables.cycle, schedule.cycle)
    starts = starts_of(instance, schedule)
    for move, start in enumerate(starts):
        if move != variables.first:
            model.add_hint(variables.start[move], start)
    jobs = jobs_of(instance, schedule)
    steps = {(jobs[step.load], step.stage): step for step in schedule}
    if instance.several is not None:
        _hint_hoists(variables, schedule.cycle, starts, steps)
        return
    for a, b in combinations(range(len(starts)), 2):
        if variables.first not in (a, b):
            model.add_hint(variables.before(a, b), starts[a] < starts[b])
    for stay in instance.stays:
        leaving = instance.moves[stay.departure]
        step = steps[leaving.job, leaving.stage]
        if len(stay.places) > 1:
            for place in stay.places:
                here = instance.places[place].name == step.source
                model.add_hint(variables.at(stay, place), here)
        crossed = variables.wrap_literals(stay)
        if len(crossed) > 2 and step.boundaries is not None:
            for boundaries, literal in crossed.items():
                model.add_hint(literal, boundaries == step.boundaries)


def _hint_hoists(
    variables: Variables,
    cycle: int,
    starts: Sequence[int],
    steps: Mapping[tuple[int, int | None], Step],
) -> None:
    """Tell the model which hoist makes which move, when it sets down, and which comes next."""
    instance = variables.instance
    told: dict[int, tuple[Linear, int]] = {}  # by variable, as some stand for two things

    def tell(variable: Linear, value: int) -> None:
        told.setdefault(max(variable.index, ~variable.index), (variable, value))

    taken = [route_of(instance, move, steps[move.job, move.stage]) for move in instance.moves]
    for move in instance.moves:
        for index in range(len(move.routes)) if len(move.routes) > 1 else ():
            tell(variables.route(move.index, index), index == taken[move.index])
        stay = instance.stay_before.get(move.index)
        if stay is not None and len(stay.places) > 1:
            for place in stay.places:
                here = move.routes[taken[move.index]].source == place
                tell(variables.at(stay, place), here)
    for number, down, later in variables.downs():
        ends = starts[number] + instance.moves[number].routes[taken[number]].duration
        tell(down, ends - cycle if ends > cycle else ends)
        tell(later, ends > cycle)
    several = instance.several
    assert several is not None
    for (a, b), turns in variables.turns.items():
        one, other = (instance.moves[m].routes[taken[m]] for m in (a, b))
        asked = apart(several, one, other)
        if asked is None:
            continue  # whenever they like
        turn = (starts[b] - starts[a] - asked[1]) // cycle
        if turn in turns:
            tell(turns[turn], True)
    for variable, value in told.values():
        variables.model.add_hint(variable, value)
