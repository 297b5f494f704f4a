"""A line solved over and over while some of its figures vary."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from pathlib import Path

from ..analysis.study import Parameter, Point
from ..analysis.study import study as run_study
from ..analysis.study.listing import read_designs
from ..base.effort import Effort
from ..base.errors import InputError
from ..show.study.answer import StudyAnswer
from .given import Line, naming, problem_of

Designs = Sequence[Mapping[str, object]] | str | Path
"""Designs, a mapping of keys to values each, or the table they are in."""


def designs_of(designs: Designs) -> list[dict[str, object]]:
    """The designs themselves.

    Raises
    ------
    InputError
        When their table cannot be used.
    """
    read = read_designs(designs) if isinstance(designs, str | Path) else designs
    return [dict(row) for row in read]


def check_against(
    against: str | None,
    varied: Sequence[Parameter],
    designs: Sequence[Mapping[str, object]] | None = None,
) -> None:
    """Refuse to take something for the cost that is no varied number.

    Raises
    ------
    InputError
        Its field is "against".
    """
    if against is None:
        return
    numeric = [parameter.name for parameter in varied if parameter.numeric]
    for name in dict.fromkeys(name for row in designs or [] for name in row):
        if all(not isinstance(row.get(name, 0), str | None) for row in designs or []):
            numeric.append(name)
    if against not in numeric:
        raise InputError(
            "the key of a number that varies",
            field="against",
            value=against,
            way_out=f"One of: {', '.join(numeric) or 'none here'}.",
        )


def study(
    line: Line,
    varied: Sequence[Parameter] = (),
    designs: Designs | None = None,
    degree: int | None = None,
    against: str | None = None,
    *,
    effort: Effort | None = None,
    executor: Executor | None = None,
    jobs: int | None = None,
    keep: str | Path | None = None,
    on_point: Callable[[Point, int, int], None] | None = None,
) -> StudyAnswer:
    """Solve every combination of what varies, or every design.

    Parameters
    ----------
    line : Problem, str or Path
    varied : sequence of Parameter
        What varies and how; every combination is solved.
    designs : sequence of mapping, str or Path, optional
        Designs instead.
    degree : int, optional
        Sets of loads per cycle. Left out: 1, and it is said where another may be quicker.
    against : str, optional
        The varied number to take for the cost.
    effort : Effort, optional
        Its time limit is for each point.
    executor, jobs, keep, on_point
        As for :func:`hoistopt.study`.

    Raises
    ------
    InputError
        When a file, a key or a value cannot be used.
    """
    problem = problem_of(line, several=True)
    listed = None if designs is None else designs_of(designs)
    check_against(against, varied, listed)
    with naming(designs if isinstance(designs, str | Path) else line):
        found = run_study(
            problem,
            varied,
            designs=listed,
            degree=degree or 1,
            effort=effort,
            executor=executor,
            jobs=jobs,
            keep=keep,
            on_point=on_point,
        )
    return StudyAnswer(found, against, degree is None)
