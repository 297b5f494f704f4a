"""Many runs of a line side by side, their hoist's times scattered: the lateness of it all.

Only lateness against the plan is followed, in whole grains, so that no scatter gives no
lateness, exactly. The recurrence is that of :mod:`.lateness`, with times that vary.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ...graph.course import Course
from .scatter import Scatter

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


def grain_of(course: Course) -> Fraction:
    """The grain in grid steps: a decimal fraction of a tick."""
    tick = Fraction(course.tick)
    seconds = Fraction(course.problem.seconds_per_unit)
    parts = 1
    while tick / course.per_unit * seconds / parts > FINEST:
        parts *= 10
    return tick / parts


def draw_changes(
    course: Course, scatters: tuple[Scatter, ...], cycles: int, runs: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    """By how much loaded moves, and empty travel to them, differ from plan, in grains.

    Parameters
    ----------
    cycles, runs : int
    seed : int
        The same seed, sizes and version of numpy give the same changes.

    Returns
    -------
    loaded, empty : ndarray of int64, shape (cycles, steps, runs)

    Raises
    ------
    InputError
        When a scatter does not fit the line: a part of a move that only a table knows
        as a whole, or a time that would fall below 0.
    """
    import numpy as np

    generator = np.random.default_rng(seed)
    grain = grain_of(course)
    size = (cycles, len(course), runs)
    loaded = np.zeros(size, dtype=np.int64)
    empty = np.zeros(size, dtype=np.int64)
    for scatter in scatters:
        nominal = [_nominal(course, scatter, step) for step in range(len(course))]
        _fits(course, scatter, nominal)
        scale = np.array([float(time / grain) for time in nominal])[:, np.newaxis]
        drawn = scatter.draw(generator, size)
        if scatter.how == "times":
            change = (drawn - 1) * scale
        else:
            change = drawn * float(course.per_unit / grain)
            if scatter.what == "empty":
                change *= scale > 0  # where the hoist is already there it does not travel
        (empty if scatter.what == "empty" else loaded)[...] += np.rint(change).astype(np.int64)
    # Several scatters together may take more off than there is; rounded down to stay so.
    least = np.array([-int((p.total - p.drip) // grain) for p in course.parts])
    np.maximum(loaded, least[:, np.newaxis], out=loaded)
    least = np.array([-int(time // grain) for time in course.empties])
    np.maximum(empty, least[:, np.newaxis], out=empty)
    return loaded, empty


def _nominal(course: Course, scatter: Scatter, step: int) -> Fraction:
    """The planned time that a scatter is about."""
    parts = course.parts[step]
    if scatter.what == "empty":
        return Fraction(course.empties[step])
    if scatter.what == "move":
        return Fraction(parts.total - parts.drip)
    time = getattr(parts, scatter.what)
    if time is None:
        move = course.steps[step]
        raise InputError(
            "a move whose parts are known",
            field="scatter",
            value=scatter,
            way_out=f"The time from {move.source} to {move.target} comes from a table, as a "
            "whole; let the whole move scatter instead.",
        )
    return Fraction(time)


def _fits(course: Course, scatter: Scatter, nominal: list[Fraction]) -> None:
    if scatter.how == "times":
        return
    lowest = Fraction(scatter.lowest) * course.per_unit
    for step, time in enumerate(nominal):
        if time + lowest < 0 and not (scatter.what == "empty" and not time):
            raise InputError(
                "no time below 0",
                field="scatter",
                value=scatter,
                way_out=f"Step {step + 1} takes {float(time / course.per_unit):g} "
                f"{course.problem.unit} for it; that cannot become "
                f"{-float(lowest / course.per_unit):g} shorter.",
            )


def follow(course: Course, loaded: np.ndarray, empty: np.ndarray) -> Lateness:
    """The lateness that given changes of the hoist's times lead to.

    Every run begins on plan, in the steady cycle. A step starts when due: not before
    its planned time, nor before what it waits for.

    Parameters
    ----------
    loaded, empty : ndarray of int64, shape (cycles, steps, runs)
        Changes of the loaded moves, and of the empty travel to them, in grains.
    """
    import numpy as np

    grain = grain_of(course)
    starts, ends = np.empty_like(loaded), np.empty_like(loaded)
    into: list[list[tuple[int, int, int, np.ndarray, bool]]] = [[] for _ in range(len(course))]
    for wait in course.waits:
        slack = min(int(wait.slack // grain), MOST_GRAINS)
        source = ends if wait.on_end else starts
        into[wait.after].append((wait.before, wait.cycles, slack, source, wait.why == "hoist"))
    for cycle in range(len(loaded)):
        for step, waits in enumerate(into):
            late = starts[cycle, step]
            late[...] = 0
            for before, cycles, slack, source, by_hoist in waits:
                if by_hoist:
                    ready = empty[cycle, step] - slack
                    if cycle >= cycles:
                        ready += source[cycle - cycles, before]
                elif cycle >= cycles:
                    ready = source[cycle - cycles, before] - slack
                else:
                    continue  # on plan before the first cycle
                np.maximum(late, ready, out=late)
            np.add(late, loaded[cycle, step], out=ends[cycle, step])
    return Lateness(starts, ends)
