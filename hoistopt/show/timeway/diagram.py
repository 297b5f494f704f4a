"""The time-way diagram: time against track position, the hoist's path and every stay."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ...checker.record import Replay
from ...problem import Problem
from ...schedule import Schedule
from ..drawing.axes import LEADING, new_figure
from ..drawing.faults import mark_faults, stamp
from ..drawing.look import own_look
from ..drawing.palette import paint
from ..drawing.saving import check_picture, save_figure
from .bars import draw_bars, draw_windows
from .frame import draw_footer, draw_lanes, draw_time, draw_title, label_lanes
from .labels import label_bars
from .lanes import Lane, lay_out, places
from .legend import draw_legend
from .path import draw_near, draw_path
from .scene import Scene, scene_of

if TYPE_CHECKING:
    from matplotlib.axes import Axes

# Sizes in inches.
LEAST_WIDTH, MOST_WIDTH, WIDTH_PER_MOVE = 10.5, 34.0, 0.17
LEAST_LANE, MOST_LANE, WANTED_HEIGHT = 0.40, 0.62, 4.6
MARGIN = 0.25
# In points: the time axis with its ticks, what the last line at the foot needs below.
TIME_AXIS, LAST_LINE = 40.0, 5.0


def draw_timeway(
    problem: Problem,
    schedule: Schedule,
    replay: Replay,
    ax: Axes | None = None,
    cycles: int = 2,
) -> Axes:
    """Draw the repeating cycle of a schedule, `cycles` times side by side.

    Time runs to the right. Each station has a lane, in track order from the top down,
    all of one height however close the stations stand; a station in which several
    carriers stand at once has a row for each. Where rules are broken the picture is
    stamped as refused; they are marked where they happen and listed by number.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        The moves.
    replay : Replay
        What the checker saw when it replayed `schedule`.
    ax : matplotlib.axes.Axes, optional
        Where to draw; labels, title and legend go outside of it. Left out, a figure of
        a fitting size is made, which does not belong to pyplot.
    cycles : int, optional
        How many cycles to show.

    Returns
    -------
    matplotlib.axes.Axes
        What was drawn on; its figure is ``ax.figure``.

    Raises
    ------
    InputError
        When the replay saw no move, or `cycles` is not 1 to 20.
    ValueError
        When `schedule` and `replay` do not belong together.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> ax = hoistopt.draw_timeway(problem, result.schedule, result.replay)
    >>> ax.get_xlim() == (0, 2 * result.cycle_time)
    True
    """
    if schedule.time(schedule.cycle) != replay.cycle_time:
        raise ValueError("the replay is of another schedule: the cycle times differ")
    scene = scene_of(problem, replay, cycles)
    rows = places(scene.bars)
    lanes = lay_out(problem, scene.bars, rows)
    paints = {recipe.name: paint(number) for number, recipe in enumerate(problem.recipes)}
    with own_look(_names(problem)):
        made = ax is None
        if ax is None:
            ax = _new_axes(scene, lanes)
        draw_lanes(ax, lanes, float(scene.span))
        left = label_lanes(ax, problem, lanes)
        draw_windows(ax, scene.bars, rows, lanes)
        draw_bars(ax, scene.bars, rows, lanes, paints)
        draw_path(ax, scene.legs, lanes)
        draw_near(ax, scene, lanes)
        label_bars(ax, scene, rows, lanes, paints)
        _mark_wrong(ax, scene, lanes)
        if replay.violations:
            stamp(ax)
        draw_time(ax, scene, problem.unit, len(lanes))
        above = draw_title(ax, problem, scene, replay.carriers_needed, replay.violations)
        below = TIME_AXIS + draw_legend(ax, scene, paints, TIME_AXIS) + 10
        lines = draw_footer(ax, problem, below, replay.violations)
        if made:
            _fit_figure(ax, left, above, below + lines * LEADING + LAST_LINE)
    return ax


def save_timeway(
    problem: Problem, schedule: Schedule, replay: Replay, path: str | Path, cycles: int = 2
) -> None:
    """Write the time-way diagram to a PNG, SVG or PDF file.

    The same schedule gives the same file, byte for byte, with the same version of
    matplotlib.

    Parameters
    ----------
    problem, schedule, replay, cycles
        As of :func:`draw_timeway`.
    path : str or Path
        The file to write; its ending says in which format.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written, before any work; or
        when there is nothing to draw. The file is written whole or not at all.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> hoistopt.save_timeway(problem, result.schedule, result.replay, "line.svg")
    """
    check_picture(path)
    ax = draw_timeway(problem, schedule, replay, cycles=cycles)
    save_figure(ax.figure, problem, path)


def _names(problem: Problem) -> list[str]:
    return [
        problem.name,
        problem.note,
        problem.length_unit,
        *(station.name for station in problem.stations),
        *(recipe.name for recipe in problem.recipes),
        *(hoist.name or "" for hoist in problem.hoists),
    ]


def _new_axes(scene: Scene, lanes: Mapping[str, Lane]) -> Axes:
    """Axes of the final size on a figure that is fitted around them afterwards."""
    moves = scene.moves * float(scene.span / scene.cycle_time)
    width = min(MOST_WIDTH, max(LEAST_WIDTH, moves * WIDTH_PER_MOVE))
    units = max(lane.top + lane.height for lane in lanes.values())
    height = units * min(MOST_LANE, max(LEAST_LANE, WANTED_HEIGHT / units))
    return new_figure(width, height).add_axes((0, 0, 1, 1))


def _fit_figure(ax: Axes, left: float, above: float, below: float) -> None:
    """Make room around the axes, in points, without changing their size."""
    from matplotlib.figure import Figure

    figure = ax.figure
    assert isinstance(figure, Figure)
    width, height = figure.get_size_inches()
    left, above, below = (points / 72 + MARGIN for points in (left, above, below))
    whole = (left + width + MARGIN, below + height + above)
    figure.set_size_inches(*whole)
    ax.set_position((left / whole[0], below / whole[1], width / whole[0], height / whole[1]))


def _mark_wrong(ax: Axes, scene: Scene, lanes: Mapping[str, Lane]) -> None:
    """A numbered cross wherever a rule is broken."""
    mark_faults(
        ax,
        (
            (float(time), lanes[station].middle, number)
            for time, station, number in scene.wrong
            if station in lanes
        ),
    )
