"""What a file of moves states of the degrees compared, and of the choice among them."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal, cast, get_args

from ..base.errors import InputError
from ..problem import Problem
from .raw_move import LONGEST, exact_figure
from .schedule import readable

Proved = Literal["any degree", "degrees compared", "open"]
Ended = Literal["proved", "time limit", "stopped", "no progress"]
StatedStatus = Literal["optimal", "feasible", "infeasible", "unknown"]

LARGEST_DEGREE = 1000
LONGEST_REASON = 300
WAY_OUT = "Correct the file, or leave its degrees and choice out."


@dataclass(frozen=True)
class StatedDegree:
    """What a file states of one degree; times in the problem's unit.

    Attributes
    ----------
    degree : int
    status : {"optimal", "feasible", "infeasible", "unknown"}
        "optimal" where the file says so and its bound is the cycle time.
    cycle_time, lower_bound : Decimal or None
    searched : bool
        False where the file says that it was not, or that no time was spent on it.
    """

    degree: int
    status: StatedStatus
    cycle_time: Decimal | None
    lower_bound: Decimal | None
    searched: bool = True


@dataclass(frozen=True)
class StatedChoice:
    """How a file says that its degree was chosen; nobody has proved it again.

    Attributes
    ----------
    proved : {"any degree", "degrees compared", "open"}
        As stated, where the bounds that are stated bear it; else less.
    ended : {"proved", "time limit", "stopped", "no progress"}
    least_per_load, least_of_compared : Decimal
        No cycle of any degree, or of those compared, takes less time per load.
    patience : Decimal or None
        Seconds without progress, in the same words as of a search.
    left_out : tuple of (int, str)
        Degrees that were not searched, and why.
    """

    proved: Proved
    ended: Ended
    least_per_load: Decimal
    least_of_compared: Decimal
    patience: Decimal | None
    left_out: tuple[tuple[int, str], ...]


@dataclass(frozen=True)
class StatedDegrees:
    """The degrees that a file compares.

    Attributes
    ----------
    rows : tuple of StatedDegree
        The lowest first; that of the moves is among them. Its cycle is the least one, also where
        the moves are those of a longer schedule in the same file.
    choice : StatedChoice or None
        How the degree was chosen; None where degrees were given.
    """

    rows: tuple[StatedDegree, ...]
    choice: StatedChoice | None


def stated_degrees(data: dict[str, Any], degree: int, problem: Problem) -> StatedDegrees | None:
    """Read the degrees compared, and the choice among them.

    Parameters
    ----------
    data : dict
        What stands in the file of the moves.
    degree : int
        That of the moves.
    problem : Problem

    Raises
    ------
    InputError
        When what is stated makes no sense, such as a degree that does better than the best.
    """
    choice, listed = data.get("choice"), data.get("degrees")
    if choice is None and listed is None:
        return None
    least = _degree(data, "")
    if least.cycle_time is None:
        raise InputError("a schedule, as there are moves", field="status", value=least.status)
    rows = (least,) if listed is None else _rows(listed, least, problem)
    loads = degree * len(problem.load_set)
    mean, bound = (
        Decimal(str(readable(Fraction(time or 0) / loads)))  # files hold the nearest float
        for time in (least.cycle_time, least.lower_bound)
    )
    return StatedDegrees(rows, None if choice is None else _choice(choice, mean, bound))


def _rows(given: object, least: StatedDegree, problem: Problem) -> tuple[StatedDegree, ...]:
    if not isinstance(given, list) or len(given) > LARGEST_DEGREE:
        raise InputError(f"a list of at most {LARGEST_DEGREE} degrees", field="degrees")
    found = [_degree(entry, f"degrees, entry {n}") for n, entry in enumerate(given, start=1)]
    numbers = [row.degree for row in found]
    if numbers != sorted(set(numbers)):
        raise InputError("each degree once, the lowest first", field="degrees")
    if least.degree not in numbers:
        raise InputError(f"degree {least.degree}, that of the moves, among them", field="degrees")
    for number, row in enumerate(found, start=1):
        if row.cycle_time is None or least.cycle_time is None:
            continue
        if row.cycle_time * least.degree < least.cycle_time * row.degree:
            raise InputError(
                f"no less time per load than at degree {least.degree}, that of the moves",
                field=f"degrees, entry {number}, cycle_time",
                value=row.cycle_time,
                way_out=WAY_OUT,
            )
    return tuple(least if row.degree == least.degree else row for row in found)


def _degree(given: object, place: str) -> StatedDegree:
    data = _object(given, place)
    cycle, bound = (
        None if data.get(key) is None else _time(data, key, place)
        for key in ("cycle_time", "lower_bound")
    )
    status = _word(data, "status", get_args(StatedStatus), place)
    if (cycle is not None) != (status in ("optimal", "feasible")):
        raise InputError(
            "a cycle time where a schedule was found, and only there",
            field=_field(place, "cycle_time"),
        )
    if cycle is not None and bound is not None and bound > cycle:
        raise InputError(
            "a bound from 0 to the cycle time", field=_field(place, "lower_bound"), value=bound
        )
    if status == "optimal" and bound != cycle:
        status = "feasible"
    searched = data.get("runtime") is None or _time(data, "runtime", place) > 0
    if data.get("searched") is not None:  # files of before it have the time alone
        searched = data["searched"]
    if not isinstance(searched, bool):
        raise InputError("true or false", field=_field(place, "searched"), value=searched)
    return StatedDegree(
        stated_degree(data, place), cast(StatedStatus, status), cycle, bound, searched
    )


def _choice(given: object, mean: Decimal, bound: Decimal) -> StatedChoice:
    """The choice of a degree, of which mean time per load and bound on it are known."""
    data = _object(given, "choice")
    any_degree, compared = (
        _per_load(data, key) for key in ("least_per_load", "least_per_load_compared")
    )
    for key, low, high in (
        ("least_per_load", any_degree, compared),
        ("least_per_load_compared", compared, mean),
    ):
        if low > high:
            raise InputError(
                f"at most {high:f}, as no bound is above what it bounds",
                field=f"choice, {key}",
                value=low,
            )
    compared = min(compared, bound)  # where the file has its bound made lower
    any_degree = min(any_degree, compared)
    proved = _word(data, "proved", get_args(Proved), "choice")
    if proved == "any degree" and any_degree < mean:
        proved = "degrees compared"
    if proved == "degrees compared" and compared < mean:
        proved = "open"
    return StatedChoice(
        cast(Proved, proved),
        cast(Ended, _word(data, "ended", get_args(Ended), "choice")),
        any_degree,
        compared,
        None if data.get("patience") is None else _time(data, "patience", "choice"),
        _left_out(data.get("left_out") or []),
    )


def _left_out(given: object) -> tuple[tuple[int, str], ...]:
    if not isinstance(given, list) or len(given) > LARGEST_DEGREE:
        raise InputError(f"a list of at most {LARGEST_DEGREE} degrees", field="choice, left_out")
    found = []
    for number, entry in enumerate(given, start=1):
        place = f"choice, left_out, entry {number}"
        data = _object(entry, place)
        reason = data.get("reason")
        if not isinstance(reason, str) or len(reason) > LONGEST_REASON:
            raise InputError(
                f"a text of at most {LONGEST_REASON} characters", field=f"{place}, reason"
            )
        found.append((stated_degree(data, place), reason))
    return tuple(found)


def _field(place: str, key: str) -> str:
    return f"{place}, {key}" if place else key


def _object(given: object, place: str) -> dict[str, Any]:
    if not isinstance(given, dict):
        raise InputError("an object", field=place)
    return given


def _word(data: dict[str, Any], key: str, known: tuple[str, ...], place: str) -> str:
    word = data.get(key)
    if word not in known:
        raise InputError(f"one of {', '.join(known)}", field=_field(place, key), value=word)
    return cast(str, word)


def _time(data: dict[str, Any], key: str, place: str = "") -> Decimal:
    field, value = _field(place, key), data.get(key)
    if value is None or isinstance(value, dict | list):
        raise InputError("a single number", field=field)
    number = exact_figure(value, field)
    if number < 0:
        raise InputError("a number from 0", field=field, value=number)
    return number


def _per_load(data: dict[str, Any], key: str) -> Decimal:
    """A bound on a mean time per load, which need not have a short decimal."""
    value = data.get(key)
    if not isinstance(value, Decimal) or not value.is_finite() or not 0 <= value <= LONGEST:
        return _time(data, key, "choice")
    return Decimal(repr(float(value)))


def stated_degree(data: dict[str, Any], place: str = "") -> int:
    """The degree in an object of a file; `place` is where that stands."""
    number = _time(data, "degree", place)
    if number != number.to_integral_value() or not 1 <= number <= LARGEST_DEGREE:
        raise InputError(
            f"a whole number from 1 to {LARGEST_DEGREE}",
            field=_field(place, "degree"),
            value=data["degree"],
        )
    return int(number)
