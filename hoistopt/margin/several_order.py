"""An order of moves of several hoists whose times are still to be found, and runs of it.

As of one hoist (:mod:`.order`), but for what the hoists ask of one another: they keep their
travels and their turns on every part of the track, and what follows another hoist anywhere has
the time to spare of its moves before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from ..base.clock import Clock
from ..checker import Replay, accepted, replay
from ..graph.arc import EventGraph
from ..graph.from_replay import timed_plan
from ..graph.several_retiming import TickArcs, on_grid
from ..graph.timed_plan import Dwell, TimedPlan
from ..instance import Instance
from ..problem import Problem, Scattering
from ..schedule import Schedule, Step
from ..solver.model.decode import jobs_of
from .jitter.replaying import draw_changes, grain_of
from .order import CYCLES, RUNS, WARM_UP, Overrun, Run, run_of
from .spare import Spare, Times, halfway

if TYPE_CHECKING:
    import numpy as np


class SeveralOrder:
    """The order of moves, the hoists and the travels of a schedule of several hoists.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    schedule : Schedule
        Of the solver, and such as the checker accepts.
    scatter : Scattering
    clock : Clock
        Gives the seed.
    floats : sequence of int
        Ticks of float that are asked for, by move.

    Raises
    ------
    InputError
        When the scatter does not fit the line.
    """

    def __init__(
        self,
        problem: Problem,
        instance: Instance,
        schedule: Schedule,
        scatter: Scattering,
        clock: Clock,
        floats: Sequence[int],
    ) -> None:
        self.problem, self.instance = problem, instance
        self._scatter, self._seed = scatter, clock.seed
        # Which way a load comes differs with the times, so that the most is taken.
        shaved = [max(route.shaved for route in move.routes) for move in instance.moves]
        self._spare = Spare(instance, floats, shaved)
        jobs = jobs_of(instance, schedule)
        of = {(move.job, move.stage): move.index for move in instance.moves}
        self._move = {
            (step.recipe, step.load, step.stage): of[jobs[step.load], step.stage or 0]
            for step in schedule
        }
        self._seen = accepted(problem, schedule, made_here=True)
        self._arcs = TickArcs(self._seen.plan) if on_grid(self._seen.plan) else None

    @property
    def key(self) -> tuple[object, ...]:
        """What identifies the order: equal for two orders that do not differ."""
        steps = self._seen.schedule.steps
        return tuple((step.hoist, self.move_of(step), step.source, step.target) for step in steps)

    def move_of(self, step: Step) -> int:
        """The move of the instance that a step makes."""
        return self._move[step.recipe, step.load, step.stage]

    def schedule(self, times: Times) -> Schedule:
        """The schedule of the order at given times, which are by step of its own schedule."""
        assert self._arcs is not None
        return self._arcs.schedule(times.starts, times.cycle)

    @cached_property
    def overruns(self) -> tuple[Overrun, ...]:
        """What the scatter may do to each move of the instance and to the travels after it."""
        plan = timed_plan(self._seen)
        loaded, empty = self._changes(plan)
        ticks = float(grain_of(plan) / plan.tick)
        after = _next_of_hoist(plan.steps)
        found = [Overrun(0, 0, 0)] * len(self.instance.moves)
        for number, step in enumerate(plan.steps):
            moved, travelled = loaded[:, number], empty[:, after[number]]
            late = moved + travelled
            found[self.move_of(step)] = Overrun(
                mean=max(0.0, float(late.mean()) * ticks),
                most=max(0.0, float(moved.max() + travelled.max()) * ticks),
                early=max(0.0, -float(moved.min()) * ticks),
            )
        return tuple(found)

    def shortest(self, pads: Sequence[float], rooms: Sequence[float]) -> Times | None:
        """The shortest cycle in which every move may end late and every dwell has room.

        Parameters
        ----------
        pads : sequence of float
            Ticks that each move may end late, by move of the instance.
        rooms : sequence of float
            Ticks that each dwell keeps below its maximum, by stay of the instance.

        Returns
        -------
        Times or None
            None where no cycle time of this order leaves so much.
        """
        if self._arcs is None:
            return None
        moves = [self.move_of(step) for step in self._seen.schedule.steps]
        arcs = self._spare.arcs(self._arcs.arcs, moves, pads, rooms)
        return halfway(EventGraph(len(moves), 0, arcs))

    def run(self, times: Times) -> Run | None:
        """Run the order at given times with scattered times of the hoists.

        None where the checker does not accept it at these times.
        """
        seen = replay(self.problem, self.schedule(times))
        return self._run(seen) if seen.clean else None

    def _run(self, seen: Replay) -> Run:
        plan = timed_plan(seen)
        moves = [self.move_of(step) for step in plan.steps]

        def stay(dwell: Dwell) -> int:
            return self._spare.stays[moves[dwell.departure], moves[dwell.arrival]]

        return run_of(plan, self._changes(plan), stay)

    def _changes(self, plan: TimedPlan) -> tuple[np.ndarray, np.ndarray]:
        # What hoists do first within the cycle differs from one cycle time to the next, so
        # there are draws for each; the seed is the same. The clock of the search that met the
        # order may be over by the time it is asked for.
        return draw_changes(plan, self._scatter.scatters, WARM_UP + CYCLES, RUNS, self._seed)


def _next_of_hoist(steps: Sequence[Step]) -> list[int]:
    """The number of the step that the same hoist makes next, by step."""
    found = [0] * len(steps)
    for hoist in {step.hoist for step in steps}:
        own = [number for number, step in enumerate(steps) if step.hoist == hoist]
        for number, after in zip(own, [*own[1:], own[0]], strict=True):
            found[number] = after
    return found
