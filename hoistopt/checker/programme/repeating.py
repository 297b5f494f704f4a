"""Whether a programme that says so can go on as a cycle for ever.

What it shows of its cycles is the same in each; it is carried on until the line is, at the
end of a cycle, in the very state in which it was a cycle before. Then nothing can happen later
that has not happened yet.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil
from typing import Any

from ...base.errors import InputError
from ...schedule import LineState, Schedule, Step
from ...schedule.programme import Repeats, carried_on
from .course import Course, Table
from .findings import Findings
from .follow import follow
from .states import state_at

MOST_CYCLES = 60
"""By which the state of the line must have come back, after all that went before is forgotten."""


def goes_on(findings: Findings, rules: Sequence[Callable[[Findings], None]]) -> None:
    """The moves that repeat are the same in each cycle, and break no rule however often."""
    course = findings.course
    programme = course.table.programme
    repeats = programme.repeats
    if repeats is None or not _alike(findings, repeats):
        return
    # Which carriers stand ready at a time is told by the moves that lift them, later on.
    longest = max(Fraction(one.min_occupation) for one in course.table.problem.stations)
    ahead = 1 + ceil(longest / programme.time(repeats.every))
    known = max(course.state.loads, default=0)
    cycles = 1
    while True:
        try:
            longer = carried_on(programme, cycles + ahead, known)
        except InputError as error:
            text = f"cannot be told how it goes on: expected {error.expected}"
            _note(findings, _blocks(course, repeats)[-1][0], text)
            return
        onward = Findings(follow(Table(course.table.problem, longer), course.state), findings.lost)
        for rule in rules:
            rule(onward)
        if later := onward.in_order():
            first = later[0]
            if not findings.in_order():
                _note(findings, 0, f"going on as a cycle: {first.message}")
            return
        last = longer.steps[-1].start
        ends = repeats.since + ((last - repeats.since) // repeats.every + 1) * repeats.every
        states = [
            _seen(onward.course, programme.time(ends - back * repeats.every))
            for back in (ahead, ahead + 1)
        ]
        if states[0] == states[1]:
            return
        if cycles >= MOST_CYCLES:
            text = "the line does not come back to the same state from one cycle to the next"
            _note(findings, 0, text)
            return
        cycles *= 2


def _seen(course: Course, at: Fraction) -> LineState:
    """The state of the line, without what names loads, in an order that tells nothing."""
    table = course.table
    state = state_at(course, table.clock.exact(at))
    standing = [replace(entry, load=None, carrier=None) for entry in state.standing]
    held = []
    for entry in standing:
        if entry.recipe is None:  # longer than its least time is no different
            least = Fraction(table.problem.station_by_name[entry.station].min_occupation)
            stood = entry.stood
            entry = replace(
                entry,
                stood=replace(stood, least=min(least, stood.least), most=min(least, stood.most)),
            )
        held.append(entry)
    hoist = state.hoist
    if hoist is not None and hoist.carries is not None:
        hoist = replace(hoist, carries=replace(hoist.carries, load=None, carrier=None))
    back = tuple(sorted(state.returning, key=lambda span: (span.least, span.most)))
    rests = sorted(state.resting, key=lambda one: (one.station, one.empty_for.least))
    return LineState(tuple(sorted(held, key=_sorted)), hoist, back, tuple(rests))


def _sorted(entry: Any) -> tuple[object, ...]:
    return entry.station, entry.recipe or "", entry.stage, entry.stood.least, entry.stood.most


def _blocks(course: Course, repeats: Repeats) -> list[list[int]]:
    """The steps of each cycle shown, by number."""
    steps = course.table.steps
    blocks: list[list[int]] = []
    for number, step in enumerate(steps):
        if step.start >= repeats.since:
            place = (step.start - repeats.since) // repeats.every
            while len(blocks) <= place:
                blocks.append([])
            blocks[place].append(number)
    return blocks


def _alike(findings: Findings, repeats: Repeats) -> bool:
    """Whether the cycles shown are the same, and each load follows on the same one."""
    course = findings.course
    steps = course.table.steps
    at = {(step.load, step.stage): step for step in steps}
    blocks = _blocks(course, repeats)
    for place, block in enumerate(blocks[1:], start=1):
        for one, other in zip(blocks[place - 1], block, strict=False):
            first, second = steps[one], steps[other]
            if _shape(first, repeats.every) != _shape(second, 0):
                _note(findings, other, "is not the move that was made a cycle before")
                return False
            before, after = (at.get((s.load, (s.stage or 0) - 1)) for s in (first, second))
            if before is None or after is None or before.start < repeats.since:
                continue
            if before.start + repeats.every != after.start:
                text = "lifts another load than a cycle before, counted from when it was set down"
                _note(findings, other, text)
                return False
        if len(block) != len(blocks[place - 1]):
            text = f"the cycle that begins with it has {len(block)} moves, the one before "
            _note(findings, block[0] if block else 0, f"{text}{len(blocks[place - 1])}")
            return False
    return True


def _shape(step: Step, later: int) -> tuple[object, ...]:
    return step.start + later, step.source, step.target, step.recipe, step.stage, step.hoist


def _note(findings: Findings, number: int, text: str) -> None:
    table = findings.course.table
    findings.add(
        "repetition",
        number,
        table.starts[number],
        text,
        station=table.steps[number].source,
        kind=text,
    )


def same_cycle(course: Course, schedule: Schedule) -> bool:
    """Whether what a programme repeats is a given cycle, from whichever move on.

    Parameters
    ----------
    course : Course
        Of a programme that breaks no rule.
    schedule : Schedule
        Every step of which names recipe, load, stage and boundaries.
    """
    programme = course.table.programme
    repeats = programme.repeats
    if repeats is None or programme.time(repeats.every) != schedule.time(schedule.cycle):
        return False
    steps = programme.steps
    last = [steps[number] for number in _blocks(course, repeats)[-1]]
    at = {(step.load, step.stage): step.start for step in steps}
    every = programme.time(repeats.every)

    def shown(step: Step) -> tuple[object, ...]:
        waited = at.get((step.load, (step.stage or 0) - 1))
        return (
            programme.time(step.start) % every,
            *(step.source, step.target, step.recipe, step.stage, step.hoist),
            None if waited is None or not step.stage else programme.time(step.start - waited),
        )

    by_load = {(step.load, step.stage): step for step in schedule}

    def given(step: Step, origin: Fraction) -> tuple[object, ...]:
        waited = None
        if step.stage:
            before = by_load[step.load, step.stage - 1]
            restarts = (step.boundaries or 0) * schedule.cycle
            waited = schedule.time(step.start + restarts - before.start)
        time = (schedule.time(step.start) + origin) % every
        return time, step.source, step.target, step.recipe, step.stage, step.hoist, waited

    if len(last) != len(schedule):
        return False
    begins = repeats.since + (len(_blocks(course, repeats)) - 1) * repeats.every
    ways = sorted(
        (programme.time(travel.start) % every, travel.hoist, travel.to)
        for travel in programme.travels
        if begins <= travel.start < begins + repeats.every
    )
    seen = sorted(map(shown, last), key=repr)
    first = programme.time(last[0].start)
    origins = {
        (first - schedule.time(step.start)) % every
        for step in schedule
        if (step.source, step.target, step.stage) == (last[0].source, last[0].target, last[0].stage)
    }
    return any(
        sorted((given(step, origin) for step in schedule), key=repr) == seen
        and sorted(
            ((schedule.time(travel.start) + origin) % every, travel.hoist, travel.to)
            for travel in schedule.travels
        )
        == ways
        for origin in origins
    )
