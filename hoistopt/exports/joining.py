"""A programme, and the cycle that goes on from it: one list of moves for the checker to replay."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import count
from math import lcm

from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..checker import LoadStay, ProgrammeReplay, Replay, accepted_programme, plan_of
from ..checker.plan import Plan
from ..problem import Problem
from ..schedule import Programme, Schedule, Step

_NEXT_TO_NOTHING = Fraction(1, 10**20)  # what a cut-off square root may be wrong, and more


@dataclass(frozen=True, slots=True)
class Place:
    """A step of the cycle, from 0, and in which cycle after the list, from 0."""

    step: int
    cycle: int


@dataclass(frozen=True)
class Joined:
    """A list of moves and, after it, cycles enough for the line to repeat itself.

    Attributes
    ----------
    seen : ProgrammeReplay
        Of all of it; accepted.
    joins : Fraction
        When the first cycle after the list begins, in the problem's unit.
    places : tuple of Place or None
        By run of `seen`: which step of the cycle it is; None of the list.
    """

    seen: ProgrammeReplay
    joins: Fraction
    places: tuple[Place | None, ...]


@dataclass(frozen=True, slots=True)
class _Move:
    start: Fraction
    step: Step
    place: Place | None


def parted(programme: Programme) -> tuple[Programme, Schedule, Fraction]:
    """A programme that goes on as a cycle: the moves before that, the cycle, when it begins."""
    repeats = programme.repeats
    assert repeats is not None
    before = tuple(step for step in programme if step.start < repeats.since)
    last = programme.steps[-1].start
    begins = last - (last - repeats.since) % repeats.every
    steps = tuple(
        Step(step.start - begins, step.source, step.target, step.recipe, stage=step.stage)
        for step in programme
        if step.start >= begins
    )
    rate = programme.ticks_per_unit
    return (
        Programme(rate, before),
        Schedule(repeats.every, rate, steps),
        programme.time(repeats.since),
    )


def line_of(problem: Problem, cycle: Schedule) -> Problem:
    """The line with the loads of a cycle as its mix: of programmes no other is asked for."""
    plan = plan_of(problem, cycle)
    entering = (leg.recipe for n, leg in enumerate(plan.legs) if leg and plan.begins(n))
    return Problem.from_data({**problem.to_data(), "cycle": {"mix": dict(Counter(entering))}})


def joined(given: ProgrammeReplay, cycle: Replay, joins: Fraction) -> Joined:
    """Let a cycle follow a programme, and have the checker accept all of it.

    A load that stands in the line when the cycle begins is lifted by a step that lifts loads
    of its recipe from its stage there, the oldest first. Where the programme leaves a load of
    the state where it is, the list goes on through the first cycles until that is lifted.

    Parameters
    ----------
    given : ProgrammeReplay
        Of a programme that the checker accepted.
    cycle : Replay
        Of a schedule that it accepted.
    joins : Fraction
        When the cycle begins.

    Raises
    ------
    InputError
        When a move of the programme starts later than that, or a load stands where no step of
        the cycle lifts it within its window.
    ProgrammeRefused
        When the cycle cannot begin then.
    """
    late = [run for run in given.runs if run.start >= joins]
    if late:
        raise InputError(
            f"a time after the last move of the programme starts, {told(late[-1].start)}",
            field="joins",
            value=told(joins),
        )
    known = [*given.course.state.loads, *(run.load for run in given.runs)]
    line = _Line(cycle, joins, max(known, default=0))
    moves = [_Move(run.start, given.programme.steps[run.step - 1], None) for run in given.runs]
    more = 0
    for stay, place in _lifted(given, line):
        more = max(more, place.cycle + 1) if stay.arrived_by is None else more
        moves += line.onward(stay.load, place)
    cycles = more + max((first for first in cycle.plan.firsts if first is not None), default=0) + 2
    for number in range(cycles):
        for step in range(len(cycle.schedule)):
            if cycle.plan.begins(step):
                moves += line.onward(next(line.numbers), Place(step, number))
    end = joins + cycles * line.length
    moves = sorted((move for move in moves if move.start < end), key=lambda move: move.start)
    seen = accepted_programme(given.problem, _programme(moves), given.state, lost=given.lost)
    return Joined(
        seen=seen,
        joins=joins + more * line.length,
        places=tuple(
            None
            if move.place is None or move.place.cycle < more
            else Place(move.place.step, move.place.cycle - more)
            for move in moves
        ),
    )


class _Line:
    """The steps of the cycle after the programme; `numbers` for loads that enter then."""

    def __init__(self, cycle: Replay, joins: Fraction, last: int) -> None:
        self.plan: Plan = cycle.plan
        self.schedule: Schedule = cycle.schedule
        self.joins, self.length = joins, self.schedule.time(self.schedule.cycle)
        self.numbers = count(last + 1)

    def start(self, place: Place) -> Fraction:
        """When a step starts, from the beginning of the programme."""
        start = self.schedule.time(self.schedule.steps[place.step].start)
        return self.joins + place.cycle * self.length + start

    def onward(self, load: int, place: Place | None) -> Iterator[_Move]:
        """The moves of a load from a step of the cycle on, until it is out."""
        while place is not None:
            step, leg = self.schedule.steps[place.step], self.plan.legs[place.step]
            assert leg is not None
            named = Step(0, step.source, step.target, leg.recipe, load, leg.leaves)
            yield _Move(self.start(place), named, place)
            after = self.plan.lifted_by.get(place.step)
            if after is None or self.plan.begins(after):
                return
            place = Place(after, place.cycle + self.plan.links[after].boundaries)

    def places(self, stay: LoadStay) -> list[Place]:
        """The steps that lift what the cycle before would have set down there, in order."""
        found = []
        for number, leg in enumerate(self.plan.legs):
            link = self.plan.links.get(number)
            if leg is None or link is None or self.plan.begins(number):
                continue
            source = self.schedule.steps[number].source
            if (leg.recipe, leg.leaves, source) == (stay.recipe, stay.stage, stay.station):
                found += [Place(number, cycle) for cycle in range(link.boundaries)]
        return sorted(found, key=self.start)


def _lifted(given: ProgrammeReplay, line: _Line) -> Iterator[tuple[LoadStay, Place]]:
    """Which step lifts each load that the programme leaves in the line."""
    taken: set[Place] = set()
    waiting = [stay for stay in given.stays if stay.until is None]
    for stay in sorted(waiting, key=lambda stay: (stay.since.most, stay.load)):
        for place in line.places(stay):
            start = line.start(place)
            long_enough = start - stay.since.most >= stay.least - _NEXT_TO_NOTHING
            if place not in taken and long_enough:
                taken.add(place)
                yield stay, place
                break
        else:
            raise InputError(
                f"a time at which the cycle lifts load {stay.load}, which the programme leaves "
                f"in {stay.station} (stage {stay.stage} of {stay.recipe})",
                field="joins",
                value=told(line.joins),
                way_out="Check the time, and that the cycle is the one the programme leads to.",
            )


def _programme(moves: list[_Move]) -> Programme:
    """All moves on a grid that has every start."""
    rate = lcm(*(move.start.denominator for move in moves))
    steps = (
        Step(
            int(move.start * rate),
            move.step.source,
            move.step.target,
            move.step.recipe,
            move.step.load,
            move.step.stage,
        )
        for move in moves
    )
    return Programme(Fraction(rate), tuple(steps))
