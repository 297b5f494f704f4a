"""An order of moves whose times are still to be found, and runs of it with scattered times.

Every question about an order with its times open is one about longest paths: the shortest
cycle with so much to spare after every move and below every maximum is the largest ratio of
a circuit of an event graph (:mod:`hoistopt.graph.algorithms.cycle_ratio`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from ..base.clock import Clock
from ..base.numbers.shares import Share
from ..checker import accepted
from ..graph.arc import EventGraph
from ..graph.from_instance import instance_graph
from ..graph.from_replay import timed_plan
from ..graph.pattern import pattern_of
from ..graph.retiming import schedule_of
from ..graph.timed_plan import Dwell, TimedPlan
from ..instance import Instance
from ..instance.margins import padded
from ..problem import Problem, Scattering
from ..schedule import Schedule
from .figures import pace_of
from .jitter.judging import any_stage, longer_than_planned, paced_by, too_long
from .jitter.replaying import draw_changes, follow, grain_of
from .spare import Spare, Times, halfway, whole

if TYPE_CHECKING:
    import numpy as np

RUNS, CYCLES, WARM_UP = 100, 60, 10
"""What is simulated to judge one set of times."""


@dataclass(frozen=True)
class Overrun:
    """By how much a move may differ from plan under the scatter, in ticks.

    `mean` and `most` count the empty travel after it; `early` is how much sooner than
    planned it may end.
    """

    mean: float
    most: float
    early: float


@dataclass(frozen=True)
class Run:
    """What many runs came to: loads out of window; the most each dwell was longer, in ticks
    and by stay of the instance; whether the planned pace was kept on average."""

    share: Share
    longer: dict[int, float]
    keeps_pace: bool


class Order:
    """The order of moves of a schedule, with the changes its runs are made with.

    Parameters
    ----------
    problem, instance : Problem, Instance
        The line, and its instance of the degree of the schedule.
    schedule : Schedule
        One that the checker accepts, on the grid of the instance.
    scatter : Scattering
    clock : Clock
        Gives the seed.
    floats : sequence of int
        Ticks of float that are asked for, by move.

    Raises
    ------
    InputError
        When the scatter does not fit the line.
    OutOfTime
        When the clock is over.
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
        self.pattern = pattern_of(problem, instance, schedule)
        self.graph = instance_graph(instance, self.pattern)
        shaved = [route.shaved for route in self.pattern.routes]
        self._spare = Spare(instance, floats, shaved)
        starts = [schedule.steps[step].start for step in self.pattern.steps]
        turned = self.schedule(Times(schedule.cycle, tuple(starts)))
        self._plan = timed_plan(accepted(problem, turned, made_here=True))
        self._changes = draw_changes(
            self._plan, scatter.scatters, WARM_UP + CYCLES, RUNS, clock.seed, clock
        )

    @property
    def key(self) -> tuple[object, ...]:
        """Order, routes and heights of the moves: equal for two orders that do not differ."""
        return self.pattern.order, self.pattern.routes, self.pattern.heights

    def schedule(self, times: Times) -> Schedule:
        """The schedule of the order at given times."""
        return schedule_of(self.instance, self.pattern, times.starts, times.cycle)

    @cached_property
    def overruns(self) -> tuple[Overrun, ...]:
        """What the scatter may do to each move of the instance."""
        loaded, empty = self._changes
        ticks = float(grain_of(self._plan) / self._plan.tick)
        means = _per_step(loaded.mean(axis=(0, 2)), empty.mean(axis=(0, 2)))
        most = _per_step(loaded.max(axis=(0, 2)), empty.max(axis=(0, 2)))
        least = loaded.min(axis=(0, 2))
        found: list[Overrun] = [Overrun(0, 0, 0)] * len(self.pattern.order)
        for step, move in enumerate(self.pattern.order):
            found[move] = Overrun(
                mean=max(0.0, float(means[step]) * ticks),
                most=max(0.0, float(most[step]) * ticks),
                early=max(0.0, -float(least[step]) * ticks),
            )
        return tuple(found)

    def shortest(self, pads: Sequence[float], rooms: Sequence[float]) -> Times | None:
        """The shortest cycle in which every move may end late and every dwell has room.

        Of all starts at that cycle time those halfway between the earliest and the latest,
        so that what is left to spare is shared out.

        Parameters
        ----------
        pads : sequence of float
            Ticks that each move may end late without making any other start late. They need
            not be whole: starts are rounded to ticks in the end, which makes a pad shorter by
            less than a tick, and those of a circuit together too.
        rooms : sequence of float
            Ticks that each dwell keeps below its maximum, by stay of the instance.

        Returns
        -------
        Times or None
            None where no cycle time of this order leaves so much.
        """
        arcs = self._spare.arcs(self.graph.arcs, range(self.graph.nodes), pads, rooms)
        return halfway(EventGraph(self.graph.nodes, self.graph.anchor, arcs, self.graph.per_unit))

    def spared(self, pads: Sequence[float], rooms: Sequence[float]) -> Instance:
        """The instance with so much to spare as :meth:`shortest` leaves, in whole ticks."""
        whole_pads = [int(pad) for pad in pads]
        found = padded(self.instance, whole_pads, [int(room) for room in rooms])
        upwards = [whole(room) for room in rooms]
        stays = []
        for stay in found.stays:
            pad = whole_pads[stay.arrival]
            less = pad - int(self._spare.before_minimum(stay.departure, stay.arrival, pad, upwards))
            stays.append(replace(stay, least=stay.least - less))
        return replace(found, stays=tuple(stays))

    def run(self, times: Times) -> Run:
        """Run the order at given times with scattered times of the hoist."""
        return run_of(
            self._timed(times),
            self._changes,
            lambda dwell: self._spare.stays[
                self.pattern.order[dwell.departure], self.pattern.order[dwell.arrival]
            ],
        )

    def _timed(self, times: Times) -> TimedPlan:
        """The plan at other times; its steps are in the order of the pattern."""
        plan = self._plan
        starts = [times.starts[move] * plan.tick for move in self.pattern.order]
        cycle = times.cycle * plan.tick
        dwells = tuple(
            replace(
                dwell,
                planned=starts[dwell.departure]
                + dwell.height * cycle
                - starts[dwell.arrival]
                - plan.parts[dwell.arrival].total,
            )
            for dwell in plan.dwells
        )
        return replace(plan, starts=tuple(starts), cycle=cycle, dwells=dwells)


def run_of(
    plan: TimedPlan, changes: tuple[np.ndarray, np.ndarray], stay: Callable[[Dwell], int]
) -> Run:
    """What runs of a plan come to, with changes drawn for it.

    Parameters
    ----------
    stay : callable
        Gives the number of the stay of the instance that a dwell is.
    """
    grain = grain_of(plan)
    late = follow(plan, *changes)
    longer = [longer_than_planned(dwell, late, WARM_UP) for dwell in plan.dwells]
    pairs = list(zip(plan.dwells, longer, strict=True))
    out = [too_long(dwell, more, grain) for dwell, more in pairs]
    ticks = float(grain / plan.tick)
    most = {stay(dwell): float(more.max()) * ticks for dwell, more in pairs}
    starts = late.starts[WARM_UP:, paced_by(plan, late.starts[WARM_UP:])]
    pace = pace_of(len(plan.problem.hoists))
    drift = float((starts[-1] - starts[0]).mean()) / (CYCLES - 1)
    return Run(any_stage(plan, out, RUNS), most, drift <= pace * float(plan.cycle / grain))


def _per_step(loaded: np.ndarray, empty: np.ndarray) -> np.ndarray:
    """What a move and the empty travel to the next come to together."""
    import numpy as np

    return loaded + np.roll(empty, -1)
