"""What is given from Python must be of the kind that is expected; else one clear error."""

from __future__ import annotations

from operator import index

from .errors import InputError


def whole_number(value: object, least: int, most: int, *, field: str) -> int:
    """Return a whole number in a range, of whatever type it is (NumPy's, too).

    Raises
    ------
    InputError
        For what is no whole number, such as a text or a truth value, or out of the range.
    """
    try:
        number = None if isinstance(value, bool) else index(value)  # type: ignore[arg-type]
    except TypeError:
        number = None
    if number is None or not least <= number <= most:
        raise InputError(
            f"a whole number from {least} to {most}", field=field, value=as_given(value)
        )
    return int(number)


def of_kind(value: object, kind: type, *, field: str, way_out: str) -> None:
    """Refuse what is not an object of a class.

    Raises
    ------
    InputError
        Naming the class that was expected, and the way to get one.
    """
    if not isinstance(value, kind):
        name = kind.__name__
        given = "None" if value is None else as_given(value)
        raise InputError(f"a {name}", field=field, value=given, way_out=way_out)


def as_given(value: object) -> object:
    """A value as an error shows it: a text in quotes, so that "2" does not look like 2."""
    return f'"{value}"' if isinstance(value, str) else value
