"""Where in a problem a parameter lies: ``hoist.empty.speed`` or ``stage(Rinse).max``.

Key by key as in the problem file, with the name of a station, recipe or stage in
parentheses; in double quotes where it holds a parenthesis or a comma.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ...base.errors import InputError

_PART = re.compile(r"\s*([A-Za-z_]+)\s*(\()?")
_ARGUMENT = re.compile(r'\s*(?:"([^"]*)"|([^(),"]*?))\s*([,)])')

WAY_OUT = (
    "Write keys as in the problem file, such as hoist.empty.speed, stage(Rinse).max or "
    "station(Dryer).capacity; or degree, mix, hoists, parallel(Dryer)."
)


@dataclass(frozen=True)
class Part:
    """One key, with what stands in parentheses behind it."""

    key: str
    arguments: tuple[str, ...] = ()

    def __str__(self) -> str:
        if not self.arguments:
            return self.key
        return f"{self.key}({', '.join(map(_quoted, self.arguments))})"


@dataclass(frozen=True)
class KeyPath:
    """A place in a problem; prints as it is typed."""

    parts: tuple[Part, ...]

    def __str__(self) -> str:
        return ".".join(map(str, self.parts))


def _quoted(name: str) -> str:
    return f'"{name}"' if re.search(r"[(),]", name) else name


def read_paths(text: str) -> tuple[tuple[KeyPath, ...], str]:
    """The paths at the start of a text, joined by "+", and what follows them.

    Raises
    ------
    InputError
        When the text does not begin with a path.
    """
    paths, at = [], 0
    while True:
        path, at = _read_path(text, at)
        paths.append(path)
        rest = text[at:].lstrip()
        if not rest.startswith("+"):
            return tuple(paths), rest
        at = len(text) - len(rest) + 1


def _read_path(text: str, at: int) -> tuple[KeyPath, int]:
    parts = []
    while True:
        found = _PART.match(text, at)
        if found is None:
            raise InputError("a key of the problem file", value=text, way_out=WAY_OUT)
        at = found.end()
        arguments: tuple[str, ...] = ()
        if found[2]:
            arguments, at = _read_arguments(text, at)
        parts.append(Part(found[1], arguments))
        if not text[at:].lstrip().startswith("."):
            return KeyPath(tuple(parts)), at
        at = text.index(".", at) + 1


def _read_arguments(text: str, at: int) -> tuple[tuple[str, ...], int]:
    arguments = []
    while True:
        found = _ARGUMENT.match(text, at)
        if found is None:
            raise InputError(
                "a name and a closing parenthesis",
                value=text,
                way_out='Put a name with parentheses in double quotes: stage("Rinse (1)").max.',
            )
        arguments.append(found[1] if found[1] is not None else found[2])
        at = found.end()
        if found[3] == ")":
            return tuple(arguments), at
