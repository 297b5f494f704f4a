"""What is varied: one place in a problem, or several that change together, and the values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ...base.errors import InputError
from .keypath import KeyPath, read_paths
from .levels import WAY_OUT, Level, given_levels, read_levels


@dataclass(frozen=True)
class Parameter:
    """Places in a problem that all take the value of one level at a time."""

    paths: tuple[KeyPath, ...]
    levels: tuple[Level, ...]

    @property
    def name(self) -> str:
        """The paths as they are typed."""
        return " + ".join(map(str, self.paths))

    @property
    def priced(self) -> bool:
        """Whether the levels have costs."""
        return all(level.cost is not None for level in self.levels)

    @property
    def numeric(self) -> bool:
        """Whether every level is a number."""
        return all(not isinstance(level.value, str | None) for level in self.levels)


def read_parameter(text: str) -> Parameter:
    """A parameter as typed: ``hoist.empty.speed = 0.3, 0.4`` or ``parallel(Dryer) = 1@0, 2@9``.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    paths, rest = read_paths(text)
    if not rest.startswith("="):
        raise InputError('"=" and values after the key', value=text, way_out=WAY_OUT)
    return Parameter(paths, read_levels(rest[1:], " + ".join(map(str, paths))))


def read_name(text: str) -> tuple[KeyPath, ...]:
    """The paths of a parameter without values, as they head a column."""
    paths, rest = read_paths(text)
    if rest:
        raise InputError("a key of the problem file and nothing behind it", value=text)
    return paths


def parameters_of(given: Mapping[str, object] | Iterable[str | Parameter]) -> list[Parameter]:
    """Parameters however they are given: texts, or values by path.

    Raises
    ------
    InputError
        When one cannot be read, or two vary the same place.
    """
    found = []
    if isinstance(given, Mapping):
        for name, values in given.items():
            if not isinstance(values, Iterable):
                raise InputError("a list of values", field=name, value=values)
            found.append(Parameter(read_name(name), given_levels(values, name)))
    else:
        texts = [given] if isinstance(given, str) else given
        found = [each if isinstance(each, Parameter) else read_parameter(each) for each in texts]
    seen: set[str] = set()
    for path in (str(path) for parameter in found for path in parameter.paths):
        if path in seen:
            raise InputError("each key varied once", field=path)
        seen.add(path)
    return found
