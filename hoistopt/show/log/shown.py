"""Times of a log as people read them: lengths in the problem's unit, moments on the clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from zoneinfo import ZoneInfo

from ...base.errors import InputError
from ...base.numbers.decimals import short_decimal, to_places
from ...problem import Problem

SECOND = 1_000_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def length(microseconds: int | None, problem: Problem) -> Decimal | None:
    """A length of time in the problem's unit: exact where it has at most six decimals, else the
    nearest with six."""
    if microseconds is None:
        return None
    exact = Fraction(microseconds, SECOND) / Fraction(problem.seconds_per_unit)
    short = short_decimal(exact)
    return short if short is not None else to_places(float(exact), 6)


def mean_length(microseconds: float | None, problem: Problem) -> Decimal | None:
    """A length that was computed, such as a mean, in the problem's unit with three decimals."""
    if microseconds is None:
        return None
    return to_places(microseconds / SECOND / float(problem.seconds_per_unit), 3)


def moment(microseconds: int | None, zone: str | None) -> str | None:
    """A moment as ISO 8601 has it, with its offset where the zone of the line is known."""
    if microseconds is None:
        return None
    time = _EPOCH + timedelta(microseconds=microseconds)
    time = time.replace(tzinfo=None) if zone is None else time.astimezone(ZoneInfo(zone))
    text = time.isoformat(sep="T")
    whole, point, rest = text.partition(".")
    if not point:
        return text
    return f"{whole}.{rest[:6].rstrip('0')}{rest[6:]}"


def moment_of(text: str, zone: str | None) -> int:
    """The moment, in microseconds UTC, that a text in ISO 8601 means.

    Raises
    ------
    InputError
        When it is none.
    """
    try:
        time = datetime.fromisoformat(text.strip())
    except ValueError:
        raise InputError(
            "date and time as in ISO 8601, such as 2025-03-29T06:00", field="--at", value=text
        ) from None
    if time.tzinfo is None:
        time = time.replace(tzinfo=UTC if zone is None else ZoneInfo(zone))
    return (time - _EPOCH) // timedelta(microseconds=1)


def hours(microseconds: int) -> Decimal:
    """A length in hours, with two decimals."""
    found = to_places(microseconds / SECOND / 3600, 2)
    assert found is not None
    return found
