"""Copies: a cycle of several sets of loads from a cycle of fewer."""

from __future__ import annotations

from dataclasses import replace

from ....instance import Instance, Turnround
from ....schedule import Schedule, Step


def fewer_sets(instance: Instance, sets: int = 1) -> Instance:
    """Return the instance of the same line with fewer sets of loads in a cycle.

    Its limits on the cycle time are such that its schedules, copied, keep those of `instance`.

    Parameters
    ----------
    sets : int
        A divisor of the degree.
    """
    degree = instance.degree // sets
    jobs = instance.jobs // degree
    moves = tuple(move for move in instance.moves if move.job < jobs)
    count = len(moves)
    return replace(
        instance,
        moves=moves,
        stays=tuple(stay for stay in instance.stays if stay.departure < count),
        turnrounds=tuple(_within(chain, count) for chain in instance.turnrounds),
        first_moves=instance.first_moves[:jobs],
        unloading=tuple(move for move in instance.unloading if move < count),
        alike=tuple(tuple(job for job in group if job < jobs) for group in instance.alike),
        recipes=instance.recipes[:jobs],
        shortest=-(-instance.shortest // degree),
        longest=None if instance.longest is None else instance.longest // degree,
        degree=sets,
    )


def _within(chain: Turnround, count: int) -> Turnround:
    """Return what a turnround asks of the first moves."""
    rows = [i for i, move in enumerate(chain.sources) if move < count]
    columns = [j for j, move in enumerate(chain.targets) if move < count]
    return replace(
        chain,
        sources=tuple(chain.sources[i] for i in rows),
        targets=tuple(chain.targets[j] for j in columns),
        lags=tuple(tuple(chain.lags[i][j] for j in columns) for i in rows),
    )


def copied(schedule: Schedule, degree: int) -> Schedule:
    """Return a cycle that runs a schedule `degree` times over.

    The loads of a copy are those that enter in it. A carrier that a schedule lifts b cycles after
    it was set down is, lifted in copy c, set down in copy c - b, which may be in a cycle before.
    """
    loads = max(step.load or 1 for step in schedule)
    passed: dict[tuple[int, int], int] = {}
    steps = []
    for step in sorted(schedule, key=lambda step: (step.load or 1, step.stage or 0)):
        load, stage = step.load or 1, step.stage or 0
        behind = step.boundaries or 0
        since = passed[load, stage] = passed.get((load, stage - 1), 0) + behind
        steps += [
            Step(
                start=step.start + copy * schedule.cycle,
                source=step.source,
                target=step.target,
                recipe=step.recipe,
                load=(copy - since) % degree * loads + load,
                stage=step.stage,
                boundaries=None if step.boundaries is None else -((copy - behind) // degree),
                hoist=step.hoist,
            )
            for copy in range(degree)
        ]
    travels = tuple(
        replace(travel, start=travel.start + copy * schedule.cycle)
        for copy in range(degree)
        for travel in schedule.travels
    )
    return Schedule(schedule.cycle * degree, schedule.ticks_per_unit, tuple(steps), travels)
