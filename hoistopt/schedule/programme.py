"""A programme: moves in absolute time, made once. Nothing here knows a rule of the line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count
from typing import Any

from ..base.errors import InputError
from ..base.text import counted
from .schedule import InTime, Schedule, Step, Travel, readable


@dataclass(frozen=True, slots=True)
class Repeats:
    """From when on a programme goes on as a cycle, for ever.

    Parameters
    ----------
    since : int
        Start of the first of the moves that repeat, in ticks of the programme.
    every : int
        The cycle time, in ticks of the programme.

    Examples
    --------
    >>> from hoistopt import Repeats
    >>> Repeats(since=1200, every=2340).every
    2340
    """

    since: int
    every: int


@dataclass(frozen=True, repr=False)
class Programme(InTime):
    """Moves in absolute time, from a state of the line on.

    Parameters
    ----------
    ticks_per_unit : Fraction
        Ticks in one time unit of the problem.
    steps : tuple of Step
        In order of `start`, which counts from the moment of the state.
    repeats : Repeats, optional
        Where the programme ends in a cycle: the moves from then on are those of whole
        cycles, as many as it takes until none of the loads they move was in the line at
        first, and the last of these cycles is made over and over.
    travels : tuple of Travel
        Of several hoists: how they give way to one another, with times from the moment of the
        state on, in ticks. A hoist whose place the state does not tell stands, until it does
        anything, where its first move begins, or where its first travel leads to. Where the
        programme ends in a cycle, those of the last cycle shown are made over and over; in the
        first ones hoists may still give way to what was before.

    Examples
    --------
    >>> from fractions import Fraction
    >>> from hoistopt import Programme, Step
    >>> Programme(Fraction(1), (Step(0, "Bench", "Wash"), Step(120, "Wash", "Bench")))
    <Programme: 2 moves, the last starts at 120>
    """

    ticks_per_unit: Fraction
    steps: tuple[Step, ...]
    repeats: Repeats | None = None
    travels: tuple[Travel, ...] = ()

    def __repr__(self) -> str:
        count = len(self.steps)
        last = f", the last starts at {readable(self.time(self.steps[-1].start))}" if count else ""
        return f"<Programme: {counted(count, 'move')}{last}>"


def unroll(schedule: Schedule, cycles: int, *, run_out: bool = True) -> Programme:
    """The programme of a cyclic schedule that starts with an empty line.

    Loads enter in `cycles` cycles, at the times of the cycle, and every one of them goes
    its way at the times of the cycle: the line fills, and runs out after the last.

    Of several hoists it has the moves only: how they give way to one another while some moves
    are not made yet is not in the cycle. A programme that enters the cycle, from an empty line
    too, has it (`hoistopt plan --to`).

    Parameters
    ----------
    schedule : Schedule
        Every step of which names recipe, load, stage and boundaries, such as that of a
        result or of :func:`hoistopt.checker.named_schedule`.
    cycles : int
        Cycles in which loads enter; loads are numbered through all of them.
    run_out : bool
        Without it the programme ends with the last of those cycles, loads in the line.

    Returns
    -------
    Programme
        Time 0 is the beginning of the first cycle.

    Raises
    ------
    InputError
        When there is no cycle to unroll, or a step does not name what it carries.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> len(hoistopt.unroll(hoistopt.solve(problem).schedule, cycles=3))
    15
    """
    if isinstance(cycles, bool) or not isinstance(cycles, int) or cycles < 1:
        raise InputError("a whole number of cycles, at least 1", field="cycles", value=cycles)
    ways = ways_of(schedule)
    steps = []
    for cycle in range(cycles):
        for load, way in ways.items():
            restarts = cycle
            for step in way:
                restarts += step.boundaries or 0
                start = step.start + restarts * schedule.cycle
                if run_out or start < cycles * schedule.cycle:
                    number = cycle * len(ways) + load
                    steps.append(replace(step, start=start, load=number, boundaries=None))
    return Programme(schedule.ticks_per_unit, tuple(steps))


def carried_on(programme: Programme, cycles: int, above: int = 0) -> Programme:
    """A programme that ends in a cycle, with the last cycle it shows made more often.

    Parameters
    ----------
    programme : Programme
        Every step from its `repeats.since` on names load and stage.
    cycles : int
        Further cycles.
    above : int
        Loads that enter then get numbers above this, and above those of the programme.

    Raises
    ------
    InputError
        When the programme does not repeat, or so few cycles are shown that a load of the
        last one cannot be told from its moves before.
    """
    repeats = programme.repeats
    if repeats is None:
        raise InputError("a programme that ends in a cycle", field="repeats")
    steps = list(programme.steps)
    fresh = count(max([above, *(step.load or 0 for step in steps)]) + 1)
    at = {(step.load, step.stage): step.start for step in steps}
    loads = {(step.start, step.stage): step.load for step in steps if step.start >= repeats.since}
    last = steps[-1].start if steps else 0
    shown = (last - repeats.since) // repeats.every + 1
    begins = repeats.since + (shown - 1) * repeats.every
    for cycle in range(1, cycles + 1):
        for step in [step for step in programme.steps if step.start >= begins]:
            start = step.start + cycle * repeats.every
            load: int | None = None
            if step.stage:
                before = at.get((loads[start - repeats.every, step.stage], step.stage - 1))
                if before is not None:
                    load = loads.get((before + repeats.every, step.stage - 1))
                if load is None:
                    raise InputError(
                        "more cycles shown, until every load moved in the last one has entered "
                        "in the cycles",
                        field="repeats",
                    )
            else:
                load = next(fresh)
            at[load, step.stage] = start
            loads[start, step.stage] = load
            steps.append(replace(step, start=start, load=load))
    travels = [*programme.travels]
    for cycle in range(1, cycles + 1):
        later = cycle * repeats.every
        travels += [
            replace(travel, start=travel.start + later)
            for travel in programme.travels
            if begins <= travel.start < begins + repeats.every
        ]
    return Programme(programme.ticks_per_unit, tuple(steps), repeats, tuple(travels))


def ways_of(schedule: Schedule) -> dict[int, list[Step]]:
    """The steps of each load in order of its stages, loads numbered as they enter.

    What the first step of a load says of boundaries concerns the carrier, not the load: it
    is 0 here.

    Raises
    ------
    InputError
        When a step does not name what it carries.
    """
    by_load: dict[int, list[Step]] = {}
    for number, step in enumerate(schedule, start=1):
        if step.recipe is None or step.load is None or step.stage is None:
            raise InputError(
                "recipe, load and stage of every step",
                field=f"step {number}",
                way_out="Let the checker name them: hoistopt.checker.named_schedule.",
            )
        if step.stage and step.boundaries is None:
            raise InputError("boundaries of every step", field=f"step {number}, boundaries")
        by_load.setdefault(step.load, []).append(step)
    ways = []
    for way in by_load.values():
        way.sort(key=lambda step: step.stage or 0)
        ways.append([replace(way[0], boundaries=0), *way[1:]])
    ways.sort(key=lambda way: way[0].start)
    return dict(enumerate(ways, start=1))


def programme_to_data(programme: Programme) -> list[dict[str, Any]]:
    """The moves as plain data: the list that stands under ``moves`` in JSON.

    Returns
    -------
    list of dict
        One per move in order of time, with ``step`` counted from 1, ``start`` in the
        problem's unit, ``from``, ``to``, ``recipe``, ``load`` and ``stage``; None where
        the programme does not say.
    """
    return [
        {
            "step": number,
            "start": readable(programme.time(step.start)),
            "from": step.source,
            "to": step.target,
            "recipe": step.recipe,
            "load": step.load,
            "stage": step.stage,
            **({} if step.hoist is None else {"hoist": step.hoist}),
        }
        for number, step in enumerate(programme, start=1)
    ]


def not_a_cycle() -> InputError:
    """The error where the moves of a cycle are asked for, and a file says it is a programme."""
    return InputError(
        "the moves of a cycle, which is made again and again; this is a programme, which runs once",
        way_out="Give the file of a cycle. Of commands that read moves, `verify`, `draw`, "
        "`report`, `sequencer` and `adherence` take programmes too.",
    )
