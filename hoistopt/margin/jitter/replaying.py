"""Many runs of a line side by side, their hoist's times scattered: the lateness of it all.

Only lateness against the plan is followed, in whole grains, so that no scatter gives no
lateness, exactly. The recurrence is that of :mod:`hoistopt.graph.lateness`, with times that vary.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from ...base.clock import Clock
from ...base.errors import InputError
from ...base.numbers.decimals import told
from ...graph.timed_plan import TimedPlan
from ...problem.scatter import Scatter

if TYPE_CHECKING:
    import numpy as np

FINEST = Fraction(1, 1000)
"""Grains are at most this long, in seconds."""
MOST_GRAINS = 2**50


@dataclass(frozen=True)
class Lateness:
    """Lateness of starts and of ends of lowering, by cycle, step and run, in grains."""

    starts: np.ndarray
    ends: np.ndarray


def grain_of(plan: TimedPlan) -> Fraction:
    """The grain in grid steps: a decimal fraction of a tick."""
    tick = Fraction(plan.tick)
    seconds = Fraction(plan.problem.seconds_per_unit)
    parts = 1
    while tick / plan.per_unit * seconds / parts > FINEST:
        parts *= 10
    return tick / parts


def draw_changes(
    plan: TimedPlan,
    scatters: tuple[Scatter, ...],
    cycles: int,
    runs: int,
    seed: int,
    clock: Clock | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """By how much loaded moves, and empty travel to them, differ from plan, in grains.

    Parameters
    ----------
    cycles, runs : int
    seed : int
        The same seed, sizes and version of numpy give the same changes.
    clock : Clock, optional
        When it is over, drawing is given up.

    Returns
    -------
    loaded, empty : ndarray of int64, shape (cycles, steps, runs)

    Raises
    ------
    InputError
        When a scatter does not fit the line: a part of a move that only a table knows
        as a whole, or a time that would fall below 0.
    OutOfTime
        When the clock is over.
    """
    import numpy as np

    generator = np.random.default_rng(seed)
    grain = grain_of(plan)
    size = (cycles, len(plan), runs)
    loaded = np.zeros(size, dtype=np.int64)
    empty = np.zeros(size, dtype=np.int64)
    for scatter in scatters:
        if clock is not None:
            clock.check()
        nominal = [_nominal(plan, scatter, step) for step in range(len(plan))]
        _fits(plan, scatter, nominal)
        scale = np.array([float(time / grain) for time in nominal])[:, np.newaxis]
        drawn = scatter.draw(generator, size)
        if scatter.how == "times":
            change = (drawn - 1) * scale
        else:
            change = drawn * float(plan.per_unit / grain)
            if scatter.what == "empty":
                change *= scale > 0  # where the hoist is already there it does not travel
        (empty if scatter.what == "empty" else loaded)[...] += np.rint(change).astype(np.int64)
    # Several scatters together may take more off than there is; rounded down to stay so.
    least = np.array([-int((p.total - p.drip) // grain) for p in plan.parts])
    np.maximum(loaded, least[:, np.newaxis], out=loaded)
    least = np.array([-int(time // grain) for time in plan.empties])
    np.maximum(empty, least[:, np.newaxis], out=empty)
    return loaded, empty


def _nominal(plan: TimedPlan, scatter: Scatter, step: int) -> Fraction:
    """The planned time that a scatter is about."""
    parts = plan.parts[step]
    if scatter.what == "empty":
        return Fraction(plan.empties[step])
    if scatter.what == "move":
        return Fraction(parts.total - parts.drip)
    time = getattr(parts, scatter.what)
    if time is None:
        move = plan.steps[step]
        raise InputError(
            "a move whose parts are known",
            field="scatter",
            value=scatter,
            way_out=f"The time from {move.source} to {move.target} comes from a table, as a "
            "whole; let the whole move scatter instead.",
        )
    return Fraction(time)


def _fits(plan: TimedPlan, scatter: Scatter, nominal: list[Fraction]) -> None:
    if scatter.how == "times":
        return
    lowest = Fraction(scatter.lowest) * plan.per_unit
    for step, time in enumerate(nominal):
        if time + lowest < 0 and not (scatter.what == "empty" and not time):
            raise InputError(
                "no time below 0",
                field="scatter",
                value=scatter,
                way_out=f"Step {step + 1} takes {told(time / plan.per_unit)} "
                f"{plan.problem.unit} for it; that cannot become "
                f"{told(-lowest / plan.per_unit)} shorter.",
            )


def follow(
    plan: TimedPlan, loaded: np.ndarray, empty: np.ndarray, clock: Clock | None = None
) -> Lateness:
    """The lateness that given changes of the hoist's times lead to.

    Every run begins on plan, in the steady cycle. A step starts when due: not before
    its planned time, nor before what it waits for.

    Parameters
    ----------
    loaded, empty : ndarray of int64, shape (cycles, steps, runs)
        Changes of the loaded moves, and of the empty travel to them, in grains.
    clock : Clock, optional
        When it is over, all runs end with the cycle they are in.
    """
    import numpy as np

    grain = grain_of(plan)
    starts, ends = np.empty_like(loaded), np.empty_like(loaded)
    later = np.empty_like(loaded)
    into: list[list[tuple[int, int, int, np.ndarray, bool]]] = [[] for _ in range(len(plan))]
    for arc in plan.waits:
        slack = min(int(plan.slack(arc) // grain), MOST_GRAINS)
        source = ends if arc.from_end else later if arc.rule == "distance" else starts
        by_hoist = arc.rule == "hoist" or (bool(arc.parts) and arc.parts[-1].what == "empty")
        into[arc.head].append((arc.tail, arc.height, slack, source, by_hoist))
    for cycle in range(len(loaded)):
        if clock is not None and clock.over:
            return Lateness(starts[:cycle], ends[:cycle])
        for step, waits in enumerate(into):
            late = starts[cycle, step]
            late[...] = 0
            for tail, height, slack, source, by_hoist in waits:
                if by_hoist:
                    ready = empty[cycle, step] - slack
                    if cycle >= height:
                        ready += source[cycle - height, tail]
                elif cycle >= height:
                    ready = source[cycle - height, tail] - slack
                else:
                    continue  # on plan before the first cycle
                np.maximum(late, ready, out=late)
            np.add(late, loaded[cycle, step], out=ends[cycle, step])
            # Another hoist follows this one somewhere on its way.
            np.maximum(late, ends[cycle, step], out=later[cycle, step])
    return Lateness(starts, ends)
