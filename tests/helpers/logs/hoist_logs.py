"""Event logs of an invented machine that follows a schedule: a hoist with times of its own.

The machine makes the moves of a cycle in their order. A move begins at its planned time, or as
soon as the hoist is there; what happens to the load is not looked at. All of it is drawn from
a seed, so a log is the same on every machine.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import count

from hoistopt import Problem, Schedule
from hoistopt.plant.fit.physics import Physics
from hoistopt.plant.readings import Timed
from hoistopt.schedule.programme import unroll

BEGINS = datetime(2026, 3, 2, 6, tzinfo=UTC)


@dataclass(frozen=True)
class Made:
    """One move that the machine made; times in seconds from the beginning of the log."""

    source: str
    target: str
    start: float
    end: float
    load: int


@dataclass
class Machine:
    """A hoist whose times are those of `problem` and the noise.

    Attributes
    ----------
    late : callable
        Seconds by which the move with this number, from 0, starts later than it could.
    """

    problem: Problem
    noise: float = 0.0
    seed: int = 0
    late: Callable[[int], float] = field(default=lambda number: 0.0)

    def runs(self, moves: list[tuple[str, str, float, float, int]]) -> Iterator[Made]:
        """Make moves of source, target, planned start, drip and load."""
        draw = random.Random(self.seed)
        free, at, behind = 0.0, "", 0.0
        for number, (source, target, start, drip, load) in zip(count(), moves, strict=False):
            empty = self.takes("empty", at, source) if at and at != source else 0.0
            empty += abs(draw.gauss(0, self.noise)) if empty else 0.0
            begins = max(start + behind, free + empty) + self.late(number)
            # A machine that was held up goes on from there, as one with a clock of steps does.
            behind = max(behind, begins - start)
            takes = self.takes("move", source, target) + drip + draw.gauss(0, self.noise)
            free, at = begins + takes, target
            yield Made(source, target, begins, free, load)

    def takes(self, what: str, source: str, target: str) -> float:
        """A time of the hoist without noise."""
        physics = Physics(self.problem, [Timed(what, source, target)])  # type: ignore[arg-type]
        return float(physics.times(physics.figures)[0])


def moves_of(problem: Problem, schedule: Schedule, cycles: int) -> list:  # type: ignore[type-arg]
    """The moves of so many cycles from an empty line, for :meth:`Machine.runs`."""
    found = []
    for step in unroll(schedule, cycles, run_out=False):
        recipe = problem.recipe_by_name[str(step.recipe)]
        stage = step.stage or 0
        drip = float(recipe.stages[stage - 1].drip) if stage else 0.0
        start = float(step.start / schedule.ticks_per_unit)
        found.append((step.source, step.target, start, drip, step.load or 0))
    return found


def log_text(made: list[Made], step: float = 0.1, *, carriers: bool = True) -> str:
    """A log in CSV, its clock read to so many seconds."""
    rows = ["time,event,station" + (",carrier" if carriers else "")]
    for move in made:
        for event, at, station in (
            ("lift", move.start, move.source),
            ("lower", move.end, move.target),
        ):
            stamp = BEGINS + timedelta(seconds=round(at / step) * step)
            row = f"{stamp.isoformat(timespec='milliseconds')},{event},{station}"
            rows.append(row + (f",C{move.load}" if carriers else ""))
    return "\n".join(rows) + "\n"
