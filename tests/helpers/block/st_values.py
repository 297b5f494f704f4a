"""Values of structured text as a strict controller keeps them."""

from __future__ import annotations

from collections.abc import Collection
from copy import deepcopy
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NoReturn

RANGES = {"INT": (-(2**15), 2**15 - 1), "DINT": (-(2**31), 2**31 - 1)}
Type = Any  # "BOOL", "INT", "DINT", "number", an ArrayType or a StructType


class Fault(Exception):
    """What a strict compiler, or the running program, refuses."""


@dataclass(frozen=True)
class ArrayType:
    bounds: tuple[tuple[int, int], ...]
    of: Type


@dataclass(frozen=True)
class StructType:
    name: str
    members: tuple[tuple[str, Type], ...]

    @cached_property
    def _by_name(self) -> dict[str, Type]:
        return dict(self.members)

    @cached_property
    def flat(self) -> bool:
        """Whether no member is an array or a structure itself."""
        return all(isinstance(of, str) for _, of in self.members)

    def member(self, name: str) -> Type:
        found = self._by_name
        if name not in found:
            raise Fault(f"{self.name} has no {name}")
        return found[name]


class Array(dict[Any, Any]):
    """An array that refuses an index outside its bounds; by index, or indices as a tuple."""

    def __init__(self, kind: ArrayType) -> None:
        self.kind = kind
        indices: list[tuple[int, ...]] = [()]
        for low, high in kind.bounds:
            indices = [(*i, n) for i in indices for n in range(low, high + 1)]
        keys = [i if len(i) > 1 else i[0] for i in indices]
        if isinstance(kind.of, str):
            super().__init__(dict.fromkeys(keys, default(kind.of)))
        else:
            super().__init__({key: default(kind.of) for key in keys})

    def __setitem__(self, index: Any, value: Any) -> None:
        if index not in self:
            outside(self, index)
        super().__setitem__(index, value)

    def __missing__(self, index: Any) -> Any:
        outside(self, index)

    def __deepcopy__(self, memo: Any) -> Array:
        other = Array.__new__(Array)
        other.kind, of = self.kind, self.kind.of
        if isinstance(of, str):  # numbers and truth values are no objects of their own
            dict.update(other, self)
        elif isinstance(of, StructType) and of.flat:
            dict.update(other, {key: dict(value) for key, value in self.items()})
        else:
            dict.update(other, {key: deepcopy(value, memo) for key, value in self.items()})
        return other


def default(kind: Type) -> Any:
    if isinstance(kind, ArrayType):
        return Array(kind)
    if isinstance(kind, StructType):
        return {name: default(of) for name, of in kind.members}
    return False if kind == "BOOL" else 0


def fits(value: Any, kind: Type) -> Any:
    """A value on its way into a variable of a type."""
    if kind == "BOOL":
        if not isinstance(value, bool):
            raise Fault(f"{value} is no BOOL")
    elif kind in RANGES:
        low, high = RANGES[kind]
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise Fault(f"{value} is no {kind}")
    return value


def all_fit(values: Collection[Any], kind: Type) -> bool:
    """Whether plain values fit a type, as `fits` has it; told of all of them at once."""
    kinds = {*map(type, values)}
    if kind == "BOOL":
        return kinds <= {bool}
    if kind not in RANGES or not kinds <= {int}:
        return False
    low, high = RANGES[kind]
    return not values or low <= min(values) <= max(values) <= high


def too_much(value: int, kind: str) -> NoReturn:
    """The result of an operation that is outside the range of its type."""
    raise Fault(f"{value} is no {kind}")


def outside(array: Array, index: Any) -> NoReturn:
    """An index of an array that it has not."""
    raise Fault(f"index {index} outside {array.kind.bounds}")


def quotient(a: int, b: int) -> int:
    """Whole division, towards 0."""
    if b == 0:
        raise Fault("division by 0")
    return abs(a) // abs(b) * (1 if (a < 0) == (b < 0) else -1)


def remainder(a: int, b: int) -> int:
    """MOD; only of numbers that are not negative, on which all editions agree."""
    if b <= 0 or a < 0:
        raise Fault(f"{a} MOD {b}")
    return a % b
