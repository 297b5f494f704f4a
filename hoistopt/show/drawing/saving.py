"""Save the time-way diagram as a picture."""

from __future__ import annotations

import io
from math import sqrt
from pathlib import Path
from typing import Any

from ...base.errors import InputError
from ...base.files import check_target, write_atomically
from ...checker.record import Replay
from ...problem import Problem
from ...schedule import Schedule
from .look import own_look
from .timeway import draw_timeway

FORMATS = ("png", "svg", "pdf")
SHARP, MOST_PIXELS = 160.0, 60e6


def picture_format(path: str | Path) -> str:
    """The picture format that the extension of `path` asks for.

    Raises
    ------
    InputError
        When there is none, or one that cannot be written.
    """
    extension = Path(path).suffix.lower().removeprefix(".")
    if extension not in FORMATS:
        raise InputError(
            "a file name ending in .png, .svg or .pdf",
            file=path,
            way_out="The ending says which kind of picture to write.",
        )
    return extension


def save_timeway(
    problem: Problem, schedule: Schedule, replay: Replay, path: str | Path, cycles: int = 2
) -> None:
    """Write the time-way diagram to a PNG, SVG or PDF file.

    The same schedule gives the same file, byte for byte, with the same version of
    matplotlib. Parameters are those of :func:`draw_timeway`.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written, before any work; or
        when there is nothing to draw. The file is written whole or not at all.
    """
    kind = picture_format(path)
    check_target(path)
    ax = draw_timeway(problem, schedule, replay, cycles=cycles)
    write_atomically(path, _picture(ax.figure, problem, kind))


def save_figure(figure: Any, problem: Problem, path: str | Path) -> None:
    """Write any figure of this package to a PNG, SVG or PDF file, whole or not at all.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written.
    """
    kind = picture_format(path)
    check_target(path)
    write_atomically(path, _picture(figure, problem, kind))


def _picture(figure: Any, problem: Problem, kind: str) -> bytes:
    names = [problem.name, *(station.name for station in problem.stations)]
    # A date or a version in the file would make equal pictures differ.
    metadata: dict[str, dict[str, str | None]] = {
        "png": {"Software": None},
        "svg": {"Date": None, "Creator": "hoistopt", "Title": problem.name},
        "pdf": {"CreationDate": None, "Creator": "hoistopt", "Producer": None},
    }
    width, height = figure.get_size_inches()
    sharp = min(SHARP, sqrt(MOST_PIXELS / (width * height)))
    stream = io.BytesIO()
    with own_look(names):
        figure.savefig(stream, format=kind, dpi=sharp, metadata=metadata[kind])
    return stream.getvalue()
