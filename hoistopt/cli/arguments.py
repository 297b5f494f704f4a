"""Turn typed arguments into values, or into one clear error that names the option."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Literal, TypeVar

from ..base.errors import InputError

if TYPE_CHECKING:
    from ..base.numbers.duration import Duration
    from ..base.numbers.rate import Rate

MOST_DEGREE = 100
MOST_DEGREES = 20
LONGEST = 10_000_000


def degrees(text: str) -> list[int]:
    """The degrees meant by ``2``, ``1,2,4`` or ``1-4``, each once, in rising order."""
    found: set[int] = set()
    for part in text.split(","):
        ends = re.fullmatch(r"\s*([0-9]{1,9})\s*(?:-\s*([0-9]{1,9})\s*)?", part)
        if ends is None:
            raise _bad_degree(text)
        first = int(ends[1])
        last = first if ends[2] is None else int(ends[2])
        if not 1 <= first <= last <= MOST_DEGREE:
            raise _bad_degree(text)
        found.update(range(first, last + 1))
    if len(found) > MOST_DEGREES:
        raise InputError(f"at most {MOST_DEGREES} degrees", field="--degree", value=text)
    return sorted(found)


def degrees_or_best(text: str) -> list[int] | Literal["best"]:
    """The degrees meant, or "best" where the choice is left to the search."""
    if text.strip() == "best":
        return "best"
    try:
        return degrees(text)
    except InputError as error:
        if error.way_out:
            error.way_out = error.way_out.rstrip(".") + ", or best."
        raise


def label_of(degrees: list[int] | Literal["best"]) -> str:
    """What is being searched for, before there is any news of it."""
    return "best degree" if degrees == "best" else f"degree {degrees[0]}"


def _bad_degree(text: str) -> InputError:
    return InputError(
        f"whole numbers from 1 to {MOST_DEGREE}",
        field="--degree",
        value=text,
        way_out="Write one, such as 2, or several to compare, such as 1,2,4 or 1-4.",
    )


def seconds(text: str | None) -> float | None:
    """A time limit in seconds above 0; None where none was given."""
    if text is None:
        return None
    try:
        value = Decimal(text)
    except InvalidOperation:
        value = _seconds_in_words(text)
    if not value.is_finite() or value <= Decimal("0.000001") or value > LONGEST:
        raise InputError(f"seconds above 0 and at most {LONGEST}", field="--time-limit", value=text)
    return float(value)


def _seconds_in_words(text: str) -> Decimal:
    """The seconds of a duration such as "2 min"; no number where it is none."""
    from ..base.numbers.duration import duration

    try:
        return duration(text).in_unit("s")
    except ValueError:
        return Decimal("NaN")


def whole(text: str | None, option: str, least: int, most: int) -> int | None:
    """A whole number in a range; None where none was given."""
    if text is None:
        return None
    if not re.fullmatch(r"[0-9]{1,10}", text) or not least <= int(text) <= most:
        raise InputError(f"a whole number from {least} to {most}", field=option, value=text)
    return int(text)


def numbers(text: str | None, option: str) -> tuple[int, ...]:
    """Whole numbers above 0, such as ``2,5``; none where nothing was given."""
    if text is None:
        return ()
    parts = [part.strip() for part in text.split(",")]
    if not all(re.fullmatch(r"[1-9][0-9]{0,8}", part) for part in parts):
        raise InputError("whole numbers above 0, such as 2,5", field=option, value=text)
    return tuple(dict.fromkeys(map(int, parts)))


Word = TypeVar("Word", bound=str)


def one_of(text: str | None, option: str, known: Sequence[Word]) -> Word | None:
    """One of a few words; None where none was given."""
    if text is None:
        return None
    for word in known:
        if text == word:
            return word
    raise InputError(f"one of {', '.join(known)}", field=option, value=text)


def time_from_0(text: str | None, option: str) -> Decimal | Duration | None:
    """A time of at least 0, exactly as written; None where none was given."""
    from ..base.numbers.duration import duration

    if text is None:
        return None
    if (plain := _plain_number(text, option)) is not None:
        if plain < 0:
            raise InputError("a time of at least 0", field=option, value=text)
        return plain
    with _naming(option, text):
        found = duration(text)
    if found.seconds < 0:
        raise InputError("a time of at least 0", field=option, value=text)
    return found


def pace(text: str | None, option: str) -> Decimal | Duration | Rate | None:
    """A time above 0, or a rate in loads, exactly as written; None where none was given."""
    from ..base.numbers.duration import Duration
    from ..base.numbers.rate import pace as read

    if text is None:
        return None
    plain = _plain_number(text, option)
    if plain is None:
        with _naming(option, text):
            found = read(text)
        if not isinstance(found, Duration) or found.seconds > 0:
            return found
    elif plain > 0:
        return plain
    raise InputError("a number above 0", field=option, value=text)


def _plain_number(text: str, option: str) -> Decimal | None:
    """The number that a text spells; None where it spells none."""
    from ..base.numbers.exact import exact_number

    try:
        value = Decimal(text)
    except InvalidOperation:
        return None
    with _naming(option, text):
        return exact_number(value)


@contextmanager
def _naming(option: str, text: str) -> Iterator[None]:
    """Let what is wrong with a typed value name its option."""
    try:
        yield
    except ValueError as error:
        raise InputError(str(error), field=option, value=text) from None


def percent(text: str, option: str) -> Decimal:
    """A percentage, with or without its sign."""
    from ..analysis.robust.search import checked_percent

    try:
        return checked_percent(Decimal(text.strip().removesuffix("%")), option)
    except InvalidOperation:
        raise InputError("a percentage, such as 5", field=option, value=text) from None


@contextmanager
def option_named(*fields: str) -> Iterator[None]:
    """Let an error about one of these fields name the option it was typed after."""
    try:
        yield
    except InputError as error:
        if error.field in fields:
            error.field, error.file = f"--{error.field.replace('_', '-')}", None
        raise
