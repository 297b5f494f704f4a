"""A programme that goes over into a cycle, written out: the moves before, and whole cycles."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from math import ceil

from ...base.errors import InputError
from ...instance.build_join import JoinBuilder
from ...instance.finite import FiniteInstance
from ...instance.ways_of_joining import Joining
from ...problem import Problem
from ...schedule import Programme, Repeats, Step, Travel
from ...solver.finite import Timing, cycles_told, travels_once

MOST_SHOWN = 15_000
"""Most moves of a programme that is written out."""


def joined_programme(
    problem: Problem,
    builder: JoinBuilder,
    joining: Joining,
    instance: FiniteInstance,
    timing: Timing,
    loads_out: int,
) -> Programme:
    """The moves before the joining, and whole cycles after it."""
    names = [station.name for station in problem.stations]
    joined = min(timing.starts[move] for move in instance.tied)
    hoists = None if instance.several is None else instance.several.names
    of_role = _loads_of_roles(builder, joining, instance)
    given = len(joining.taken)  # loads of the state, and those that are ordered
    number = {job: load.number for job, load in enumerate(instance.loads[:given])}
    entering = [job for job in of_role.values() if job >= given]
    entering.sort(key=lambda job: timing.starts[instance.loads[job].moves[0]])
    fresh = max([*builder.state.loads, *number.values()], default=0)
    for job in entering:
        number[job] = fresh = fresh + 1
    steps = []
    for move in instance.moves:
        if move.index in instance.tied:
            continue
        route = timing.routes[move.index]
        steps.append(
            Step(
                timing.starts[move.index],
                names[route.source],
                names[route.target],
                instance.loads[move.job].recipe,
                number[move.job],
                move.stage,
                hoist=None if hoists is None else hoists[route.hoist],
            )
        )
    known = {role: number[job] for role, job in of_role.items()}
    span = _shown(builder, joining, instance, timing, loads_out)
    turns = sorted(_turns(builder, joining, span))
    if len(turns) + len(steps) > MOST_SHOWN:
        raise InputError(
            f"at most {MOST_SHOWN} moves to be written out",
            field="loads out",
            value=f"{loads_out}, which takes {len(turns) + len(steps)} moves",
        )
    for time, way, cycle, stage in turns:
        if (way, cycle) not in known:
            known[way, cycle] = fresh = fresh + 1
        turn = builder.ways[way].turns[stage]
        steps.append(
            Step(
                joined + time,
                names[turn.source],
                names[turn.target],
                builder.ways[way].recipe,
                known[way, cycle],
                stage,
                hoist=None if hoists is None else hoists[turn.hoist],
            )
        )
    travels = _travels(instance, timing, joined, span)
    return Programme(builder.grid, tuple(steps), Repeats(joined, builder.cycle), travels)


def _travels(
    instance: FiniteInstance, timing: Timing, joined: int, span: int
) -> tuple[Travel, ...]:
    """How several hoists give way before the joining, and in the cycles that are shown."""
    if instance.several is None:
        return ()
    found = travels_once(instance, timing)
    assert found is not None, "the search keeps none without"
    assert instance.join is not None and instance.join.onward is not None
    every, told = instance.join.onward.every, cycles_told(instance, timing)
    last = [travel for travel in found if travel.start >= joined + (told - 1) * every]
    more = [
        replace(travel, start=travel.start + turn * every)
        for turn in range(1, span // every - told + 1)
        for travel in last
    ]
    return tuple(travel for travel in (*found, *more) if travel.start < joined + span)


def _loads_of_roles(
    builder: JoinBuilder, joining: Joining, instance: FiniteInstance
) -> dict[tuple[int, int], int]:
    """The load of each role, by way and cycle, as its place in the instance."""
    found = {}
    for job, taken in enumerate(joining.taken):
        if taken is not None:
            found[joining.roles[taken][:2]] = job
    left = [n for n in range(len(joining.roles)) if n not in joining.taken]
    for job, place in enumerate(left, start=len(joining.taken)):
        found[joining.roles[place][:2]] = job
    return found


def _shown(
    builder: JoinBuilder,
    joining: Joining,
    instance: FiniteInstance,
    timing: Timing,
    loads_out: int,
) -> int:
    """Ticks of whole cycles until none of the loads in the line at the joining is left, and
    one cycle more; until so many loads are out; and until several hoists go the ways of the
    cycle."""
    ends = [0]
    for role in joining.roles:
        last = builder.ways[role.way].turns[-1].start + role.cycle * builder.cycle
        ends.append(last - joining.begins)
    cycles = max(ends) // builder.cycle + 2
    cycles = max(cycles, ceil(Fraction(loads_out, len(builder.ways))) + 1)
    if instance.several is not None:
        cycles = max(cycles, cycles_told(instance, timing))
    return cycles * builder.cycle


def _turns(
    builder: JoinBuilder, joining: Joining, span: int
) -> Iterator[tuple[int, int, int, int]]:
    """Moves of the cycle after the joining: time from it, way, cycle and stage."""
    for number, way in enumerate(builder.ways):
        for stage, turn in enumerate(way.turns):
            cycle = -((turn.start - joining.begins) // builder.cycle)
            time = turn.start - joining.begins + cycle * builder.cycle
            while time < span:
                yield time, number, cycle, stage
                time, cycle = time + builder.cycle, cycle + 1
