"""What makes a limit on lateness right: at it all is well, a tick beyond it is not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from hoistopt import InputError, solve, verify
from hoistopt.margin.slack import MoveSlack, SlackLimits
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.sequencer import Sequencer, Watched
from tests.reference.lines import FAMILIES

CYCLES = 12
NOISE = Fraction(1, 10**25)


def solved(family: str, seed: int) -> tuple[Problem, Schedule] | None:
    """A random line and its shortest schedule, if it has one.

    Not one with a fixed dwell kept to within a tick only: the simulated sequencer knows the
    maxima as they are stated.
    """
    problem, degree = FAMILIES[family](seed)
    try:
        result = solve(problem, degree, workers=1, time_limit=20)
    except InputError:  # a window without a whole tick
        return None
    if result.schedule is None or result.replay is None:
        return None
    if any(stay.eased for stay in result.replay.stays):
        return None
    return problem, result.schedule


def later(schedule: Schedule, number: int, by: int) -> Schedule:
    """The schedule with one planned start `by` ticks later for good."""
    steps = list(schedule.steps)
    moved = steps[number]
    over, start = divmod(moved.start + by, schedule.cycle)
    boundaries = None if moved.boundaries is None else moved.boundaries + over
    steps[number] = replace(moved, start=start, boundaries=boundaries)
    for other, step in enumerate(steps):
        follows = (step.load, step.stage) == (moved.load, (moved.stage or 0) + 1)
        if other != number and follows and step.boundaries is not None:
            steps[other] = replace(step, boundaries=step.boundaries - over)
    return replace(schedule, steps=tuple(steps))


def wrong_for_good(problem: Problem, schedule: Schedule, limits: SlackLimits) -> Iterator[str]:
    """Limits for good that the checker does not agree with."""
    for number, move in enumerate(limits.moves):
        if broken := verify(problem, later(schedule, number, move.for_good)):
            yield f"step {move.step} {move.for_good} later for good: {broken[0]}"
        if not verify(problem, later(schedule, number, move.for_good + 1)):
            yield f"step {move.step} could start more than {move.for_good} later for good"


def wrong_alone(problem: Problem, schedule: Schedule, limits: SlackLimits) -> Iterator[str]:
    """Limits on a single late start that the simulated sequencer does not agree with."""
    line = Sequencer(problem, schedule)
    for number, move in enumerate(limits.moves):
        for words in _wrong_move(_Trial(line, number), move):
            yield f"step {move.step}: {words}"


class _Trial:
    """One step of one cycle started late by so many ticks."""

    def __init__(self, line: Sequencer, number: int) -> None:
        self.line = line
        self.number = number
        self._seen: dict[int, Watched] = {}

    def late(self, ticks: int) -> Watched:
        if ticks not in self._seen:
            by = self.line.schedule.time(ticks)
            self._seen[ticks] = self.line.run(
                CYCLES, late=lambda s, c: by if (s, c) == (self.number, 0) else Fraction(0)
            )
        return self._seen[ticks]

    def too_long(self, ticks: int) -> list[tuple[str, str, int, int]]:
        """Where loads then stand too long."""
        stood = self.late(ticks).stood
        return [(s.station, s.recipe, s.stage, s.cycle) for s in stood if s.too_long]

    def delayed(self, ticks: int) -> set[tuple[int, int]]:
        """Other starts, as cycle and step, that are late then."""
        schedule, found = self.line.schedule, set()
        for (step, cycle), start in self.late(ticks).starts.items():
            due = schedule.time(schedule.steps[step].start + cycle * schedule.cycle)
            if start > due + NOISE and (step, cycle) != (self.number, 0):
                found.add((cycle, step))
        return found


def _wrong_move(trial: _Trial, move: MoveSlack) -> Iterator[str]:
    if move.alone is None:
        if broken := trial.too_long(3 * trial.line.schedule.cycle):
            yield f"should never hurt, but {broken[0]} breaks"
    else:
        assert move.breaks is not None
        if broken := trial.too_long(move.alone):
            yield f"{move.alone} late: {broken[0]} breaks"
        first = move.breaks
        told = (first.station, first.recipe, first.stage, first.cycles)
        if told not in (broken := trial.too_long(move.alone + 1)):
            yield f"{move.alone + 1} late: {told} should break, not {broken}"
    if trial.delayed(move.free) or not trial.delayed(move.free + 1):
        yield f"another start should be late above {move.free}"

    def slipped(ticks: int) -> bool:
        return any(at >= (1, trial.number) for at in trial.delayed(ticks))

    if slipped(move.slips) or not slipped(move.slips + 1):
        yield f"the cycle should slip above {move.slips}"
    if move.lasts is not None:
        # The carriers may hold up only every second or third cycle.
        if not any(cycle >= CYCLES - 4 for cycle, _ in trial.delayed(move.lasts + 1)):
            yield f"{move.lasts + 1} late: the line should not recover"
        if move.lasts < move.slips:
            yield "what lasts has slipped"
