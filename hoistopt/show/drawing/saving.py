"""A figure as a picture: which kinds there are, the bytes, the file."""

from __future__ import annotations

import io
from math import sqrt
from pathlib import Path
from typing import Any

from ...base.errors import InputError
from ...base.files import check_target, write_atomically
from ...problem import Problem
from .look import own_look

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


def check_picture(path: str | Path) -> None:
    """Ask before drawing whether a picture can be written there.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written.
    """
    picture_format(path)
    check_target(path)


def save_figure(figure: Any, problem: Problem, path: str | Path) -> None:
    """Write any figure of this package to a PNG, SVG or PDF file, whole or not at all.

    Raises
    ------
    InputError
        For an unknown extension or a place that cannot be written.
    """
    check_picture(path)
    write_atomically(path, picture(figure, problem, picture_format(path)))


def picture(figure: Any, problem: Problem, kind: str) -> bytes:
    """A figure as the bytes of a PNG, SVG or PDF file.

    Equal figures give equal bytes, with the same version of matplotlib.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
    problem : Problem
        What it shows; its names decide which fonts are needed.
    kind : {"png", "svg", "pdf"}
    """
    names = [problem.name, problem.note, *(station.name for station in problem.stations)]
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
