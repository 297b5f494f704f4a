"""The moves that are planned, in their order: of a cycle, over and over, or of a programme."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from ...checker import ProgrammeReplay, Replay

if TYPE_CHECKING:
    import numpy as np


@dataclass(frozen=True)
class PlannedMove:
    """One move; times in the problem's unit from the beginning of cycle or programme.

    Attributes
    ----------
    step : int
        Its number, from 1.
    source, target, recipe : str
    load, stage : int
    start, takes : float
    brought_by : tuple of (int, int) or None
        Which planned move, from 0, set down what this one lifts, and how many cycles before;
        None where it lifts a new load, or one of the state that a programme began with.
    enters : bool
        Whether it lifts a new load.
    hoist : str or None
    """

    step: int
    source: str
    target: str
    recipe: str
    load: int
    stage: int
    start: float
    takes: float
    brought_by: tuple[int, int] | None
    enters: bool
    hoist: str | None = None

    @property
    def between(self) -> str:
        """Source and target in words."""
        return f"{self.source} to {self.target}"


@dataclass(frozen=True)
class Planned:
    """What is planned.

    Attributes
    ----------
    moves : tuple of PlannedMove
        In order of their starts.
    cycle : float or None
        Cycle time, in the problem's unit; None of a programme.
    """

    moves: tuple[PlannedMove, ...]
    cycle: float | None

    @cached_property
    def by_hoist(self) -> tuple[tuple[str | None, tuple[int, ...]], ...]:
        """The name of each hoist and its moves, from 0, in their order."""
        names = dict.fromkeys(move.hoist for move in self.moves)
        return tuple(
            (name, tuple(n for n, move in enumerate(self.moves) if move.hoist == name))
            for name in names
        )

    def starts(self, positions: np.ndarray) -> np.ndarray:
        """Planned starts at positions of the order, which runs on through the cycles."""
        import numpy as np

        once = np.array([move.start for move in self.moves])
        round_, place = np.divmod(positions, len(self.moves))
        return once[place] + round_ * (self.cycle or 0.0)

    @property
    def usual(self) -> float:
        """Mean time from one start of a hoist to its next."""
        if self.cycle is not None:
            return self.cycle * len(self.by_hoist) / len(self.moves)
        span = self.moves[-1].start - self.moves[0].start
        return span / max(1, len(self.moves) - 1)


def planned_cycle(seen: Replay) -> Planned:
    """The moves of a cycle that the checker has replayed."""
    plan = seen.plan
    fraction = plan.table.clock.fraction
    schedule = seen.schedule
    moves = []
    for number, step in enumerate(schedule):
        leg, parts = plan.legs[number], plan.parts[number]
        assert leg is not None and parts is not None  # as the checker accepts it
        link = plan.links.get(number) if leg.leaves else None
        moves.append(
            PlannedMove(
                number + 1,
                step.source,
                step.target,
                leg.recipe,
                plan.loads[number],
                leg.leaves,
                float(schedule.time(step.start)),
                float(fraction(parts.total)),
                None if link is None else (link.before, link.boundaries),
                leg.leaves == 0,
                step.hoist,
            )
        )
    return Planned(tuple(moves), float(seen.cycle_time))


def planned_once(seen: ProgrammeReplay) -> Planned:
    """The moves of a programme that the checker has replayed."""
    at: dict[tuple[int, int], int] = {}
    moves: list[PlannedMove] = []
    for run in seen.runs:
        before = at.get((run.load, run.stage - 1))
        at[run.load, run.stage] = len(moves)
        moves.append(
            PlannedMove(
                run.step,
                run.source,
                run.target,
                run.recipe,
                run.load,
                run.stage,
                float(run.start),
                float(run.end - run.start),
                None if before is None else (before, 0),
                run.stage == 0,
            )
        )
    return Planned(tuple(moves), None)
