"""A problem file to start from: the invented line, or that of another file."""

from __future__ import annotations

from ..problem.files.template import TEMPLATE, invented
from ..problem.workbook.writing import problem_workbook
from .given import Line, problem_of


def template(line: Line | None = None) -> str:
    """A problem file as TOML.

    Parameters
    ----------
    line : Problem, str or Path, optional
        The line to write, without comments of its own; by default an invented one, with a comment
        on every field.

    Raises
    ------
    InputError
        When there is no such file, or it is no problem.
    """
    return TEMPLATE if line is None else problem_of(line, several=True).to_toml()


def template_workbook(line: Line | None = None) -> bytes:
    """The same as a workbook, ready to be written to a file.

    Parameters
    ----------
    line : Problem, str or Path, optional
        The line to write; by default an invented one, which the workbook then says.

    Raises
    ------
    InputError
        When there is no such file, or it is no problem, or the library that writes workbooks is
        missing.
    """
    if line is not None:
        return problem_workbook(problem_of(line, several=True))
    return problem_workbook(
        invented(), ["The figures are invented: replace every one of them by your own."]
    )
