"""A digest of everything that the machine code of a compiled function is made from.

Numba builds the code of other functions, and the values of constants, into the function that
uses them, wherever they were defined. A digest of the function's own file therefore does not
tell whether stored machine code is up to date. This one follows every name that a function
reads: its bytecode and constants, the functions it calls, and so on. It is taken from what is
in memory, which is what Numba compiles, not from files that may have changed since.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator
from types import CodeType, FunctionType, ModuleType
from typing import Any

import numpy as np


def fingerprint(function: Callable[..., Any], options: object) -> str:
    """Return a digest of a Python function, its compiler options and all that it uses.

    Parameters
    ----------
    function : callable
        The Python function, not compiled. Everything it refers to must be defined by now.
    options : object
        Compiler options; their ``repr`` counts.

    Returns
    -------
    str
        Hexadecimal digits. Equal digests mean equal machine code, apart from the version of
        Numba, the processor and the types of the arguments.
    """
    digest = hashlib.sha256(repr(options).encode())
    for text in _of_value(function, _package(function), set()):
        digest.update(text.encode())
        digest.update(b"\0")
    return digest.hexdigest()


def fields_of(kind: Any) -> tuple[Any, ...]:
    """Return the field names of all named tuples in a Numba type, or in a tuple of types.

    Compiled code knows fields by their place, and two named tuple types of one name with
    fields in another order are equal for Numba.
    """
    parts = kind if isinstance(kind, tuple) else getattr(kind, "types", ())
    own = getattr(getattr(kind, "instance_class", None), "_fields", ())
    return (*own, *(fields_of(part) for part in parts))


def _package(function: Any) -> str:
    return str(function.__module__).partition(".")[0]


def _of_value(value: Any, package: str, seen: set[int]) -> Iterator[str]:
    """Yield texts that change whenever a value does in a way that compiled code can notice."""
    value = getattr(value, "py_func", value)  # of a compiled function
    if isinstance(value, FunctionType):
        if _package(value) != package or id(value) in seen:
            yield value.__qualname__
            return
        seen.add(id(value))
        yield f"def {value.__qualname__} {value.__defaults__} {value.__kwdefaults__}"
        cells = [cell.cell_contents for cell in value.__closure__ or ()]
        yield from _of_code(value.__code__, value.__globals__, package, seen)
        for cell in cells:
            yield from _of_value(cell, package, seen)
    elif isinstance(value, np.ndarray | np.generic):
        yield f"{value.dtype} {value.shape} {value.tobytes().hex()}"
    elif isinstance(value, tuple):
        yield f"({len(value)}"
        for part in value:
            yield from _of_value(part, package, seen)
    elif isinstance(value, frozenset):
        yield repr(sorted(map(repr, value)))
    elif isinstance(value, int | float | complex | str | bytes | None):
        yield f"{type(value).__name__} {value!r}"
    else:  # a class, a built-in function, a NumPy function: known by name and by fields
        name = getattr(value, "__qualname__", type(value).__qualname__)
        yield f"{name} {getattr(value, '_fields', ())}"


def _of_code(code: CodeType, names: dict[str, Any], package: str, seen: set[int]) -> Iterator[str]:
    yield f"{code.co_code.hex()} {code.co_names} {code.co_varnames} {code.co_freevars}"
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            yield from _of_code(constant, names, package, seen)
        else:
            yield from _of_value(constant, package, seen)
    for name in code.co_names:
        value = names.get(name)
        if isinstance(value, ModuleType):
            # Any name of the code may be an attribute read from this module.
            if value.__name__.partition(".")[0] == package:
                for attribute in code.co_names:
                    yield from _of_value(getattr(value, attribute, None), package, seen)
        elif name in names:
            yield from _of_value(value, package, seen)
