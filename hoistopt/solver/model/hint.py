"""From a schedule to values of the variables, to begin a search from."""

from __future__ import annotations

from itertools import combinations

from ...schedule import Schedule
from .decode import jobs_of, starts_of
from .variables import Variables


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
    for a, b in combinations(range(len(starts)), 2):
        if variables.first not in (a, b):
            model.add_hint(variables.before(a, b), starts[a] < starts[b])
    jobs = jobs_of(instance, schedule)
    steps = {(jobs[step.load], step.stage): step for step in schedule}
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
