"""Where results go: looked at before the search begins, written whole after it."""

from __future__ import annotations

import os
from dataclasses import dataclass

from ..base.errors import InputError, printable
from ..base.files import check_target, write_atomically
from .streams import put

STDOUT = "-"


@dataclass(frozen=True)
class Target:
    """A file to write, or standard output; `option` is what the user typed before it."""

    option: str
    path: str

    @property
    def shown(self) -> str:
        """The path as it can be printed."""
        return printable(self.path)

    def write(self, data: str | bytes) -> None:
        """Write the whole of it, or nothing."""
        if self.path == STDOUT:
            put(data if isinstance(data, str) else data.decode("utf-8"))
        else:
            write_atomically(self.path, data)


def targets(inputs: list[str], **given: str | None) -> dict[str, Target]:
    """Check that every file asked for can be written, and keep what was asked for.

    Parameters
    ----------
    inputs : list of str
        Files that are read; none of them may be written over.
    given : str or None
        File by option, such as ``json="out.json"``; ``OUT`` is a picture.

    Raises
    ------
    InputError
        For the first file that cannot be written.
    """
    found: dict[str, Target] = {}
    taken = {os.path.realpath(path): "what it is read from" for path in inputs}
    for name, path in given.items():
        if path is None:
            continue
        option = name if name.startswith("OUT") else f"--{name}"
        _check(option, path)
        place = path if path == STDOUT else os.path.realpath(path)
        if place in taken:
            raise InputError(
                f"a place of its own; this is {taken[place]} already",
                field=option,
                value=path,
                way_out="Choose another name.",
            )
        taken[place] = f"used by {option}"
        found[name] = Target(option, path)
    return found


def _check(option: str, path: str) -> None:
    from ..show.drawing.saving import picture_format

    try:
        if option in ("--diagram", "OUT"):
            picture_format(path)
        if path != STDOUT:
            check_target(path)
    except InputError as error:
        error.field = error.field or option
        raise
