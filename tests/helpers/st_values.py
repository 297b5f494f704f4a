"""Values of structured text as a strict controller keeps them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

RANGES = {"INT": (-(2**15), 2**15 - 1), "DINT": (-(2**31), 2**31 - 1), "TIME": (0, 2**31 - 1)}
"""A controller may keep TIME without a sign, in 32 bits of ms."""
Type = Any  # "BOOL", "INT", "DINT", "TIME", "number", an ArrayType or a dict of members


class Fault(Exception):
    """What a strict compiler, or the running program, refuses."""


@dataclass(frozen=True)
class ArrayType:
    bounds: tuple[tuple[int, int], ...]
    of: Type


class Array:
    """An array that refuses an index outside its bounds."""

    def __init__(self, kind: ArrayType, values: list[Any] | None = None) -> None:
        self.kind = kind
        self._values: dict[tuple[int, ...], Any] = {}
        indices = [()]
        for low, high in kind.bounds:
            indices = [(*i, n) for i in indices for n in range(low, high + 1)]
        if values is not None and len(values) != len(indices):
            raise Fault("as many initial values as elements")
        for place, index in enumerate(indices):
            self._values[index] = default(kind.of) if values is None else values[place]

    def __getitem__(self, index: int | tuple[int, ...]) -> Any:
        key = index if isinstance(index, tuple) else (index,)
        if key not in self._values:
            raise Fault(f"index {key} outside {self.kind.bounds}")
        return self._values[key]

    def __setitem__(self, index: int | tuple[int, ...], value: Any) -> None:
        self[index]
        self._values[index if isinstance(index, tuple) else (index,)] = value


def default(kind: Type) -> Any:
    if isinstance(kind, ArrayType):
        return Array(kind)
    return False if kind == "BOOL" else 0


def fits(value: Any, kind: Type) -> Any:
    """A value on its way into a variable of a type."""
    if kind == "BOOL":
        if not isinstance(value, bool):
            raise Fault(f"{value} is no BOOL")
    elif kind in RANGES:
        low, high = RANGES[kind]
        if isinstance(value, bool) or not low <= value <= high:
            raise Fault(f"{value} is no {kind}")
    return value
