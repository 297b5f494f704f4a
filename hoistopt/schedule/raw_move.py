"""Moves as a file states them, and the checks any file of moves must pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from ..base.errors import InputError
from ..base.numbers.duration import time_in_unit
from ..base.numbers.exact import exact_number
from ..base.text import nearest_or_known
from ..problem import Problem
from .programme import Programme, Repeats
from .schedule import Schedule, Step, Travel

MOST_MOVES = 5_000
"""No line has so many moves in a cycle; a table of more is another kind of file."""
LONGEST = Decimal(10) ** 11
"""Greatest time in a table of moves: a cycle may be longer than any single time of a problem."""
MOST_LOADS = 10_000
COUNTS = {"load": (1, MOST_LOADS), "stage": (0, 301), "boundaries": (0, MOST_LOADS)}


@dataclass(frozen=True)
class RawMove:
    """One move as stated.

    `fields` names for the user where each value stands, such as
    ``row 5, column "start"``; its keys are ``start``, ``from``, ``to`` and so on.
    """

    start: Decimal
    source: str
    target: str
    recipe: str | None
    load: int | None
    stage: int | None
    boundaries: int | None
    fields: dict[str, str]
    hoist: str | None = None


@dataclass(frozen=True)
class RawTravel:
    """One travel of one of several hoists as stated; `fields` as of a move."""

    start: Decimal
    hoist: str | None
    to: Decimal
    fields: dict[str, str]


def build_schedule(
    problem: Problem,
    cycle: Decimal,
    moves: Sequence[RawMove],
    travels: Sequence[RawTravel] = (),
) -> Schedule:
    """Check stated moves against the line and put them on the coarsest decimal grid.

    Parameters
    ----------
    problem : Problem
        The line; stations and recipes must be its own.
    cycle : Decimal
        Cycle time in the problem's unit.
    moves : sequence of RawMove
        At least one, in any order.
    travels : sequence of RawTravel, optional
        How several hoists give way to one another.

    Returns
    -------
    Schedule
        With the least power of ten as ticks per unit at which every time is whole.

    Raises
    ------
    InputError
        For the first value that cannot be right.
    """
    _check_all(problem, cycle, moves)
    scale = _ticks_per_unit([cycle, *(move.start for move in moves)])
    return Schedule(
        int(cycle * scale),
        Fraction(scale),
        _steps(moves, scale),
        tuple(_travel(problem, cycle, travel, scale) for travel in travels),
    )


def _travel(problem: Problem, cycle: Decimal | None, travel: RawTravel, scale: int) -> Travel:
    allowed = "a time of at least 0"
    if cycle is not None:
        allowed = f"a time from 0 and below the cycle time, which is {cycle:f}"
    if travel.start < 0 or (cycle is not None and travel.start >= cycle):
        raise InputError(allowed, field=travel.fields["start"], value=travel.start)
    _check_hoist(problem, travel.hoist, travel.fields["hoist"])
    if travel.hoist is None:
        raise InputError("the name of the hoist that travels", field=travel.fields["hoist"])
    return Travel(Fraction(travel.start) * scale, travel.hoist, Fraction(travel.to))


def _check_hoist(problem: Problem, name: str | None, field: str) -> None:
    known = [hoist.name for hoist in problem.hoists if hoist.name is not None]
    if name is None or name in known:
        return
    if len(problem.hoists) == 1:
        raise InputError(
            "no name of a hoist, as the line has one that has none"
            if not known
            else f'"{known[0]}", the one hoist of this line',
            field=field,
            value=name,
        )
    raise unknown_name("hoist", known, field, name)


def build_programme(
    problem: Problem,
    moves: Sequence[RawMove],
    repeats: tuple[Decimal, Decimal] | None = None,
    travels: Sequence[RawTravel] = (),
) -> Programme:
    """Check stated moves in absolute time against the line; on the coarsest decimal grid.

    Parameters
    ----------
    repeats : tuple of Decimal, optional
        From when on the moves repeat, and every how long.
    travels : sequence of RawTravel, optional
        How several hoists give way to one another.

    Raises
    ------
    InputError
        For the first value that cannot be right.
    """
    _check_all(problem, None, moves)
    scale = _ticks_per_unit([*(move.start for move in moves), *(repeats or ())])
    given = tuple(_travel(problem, None, travel, scale) for travel in travels)
    if repeats is None:
        return Programme(Fraction(scale), _steps(moves, scale), travels=given)
    since, every = (int(time * scale) for time in repeats)
    if every <= 0:
        raise InputError("a number above 0", field="repeats_every", value=repeats[1])
    if all(move.start != repeats[0] for move in moves):
        raise InputError(
            "the start of a move, the first of those that repeat",
            field="repeats_from",
            value=repeats[0],
        )
    for move in moves:
        if move.start >= repeats[0] and None in (move.load, move.stage, move.recipe):
            raise InputError(
                "recipe, load and stage of every move that repeats",
                field=move.fields["start"],
                value=move.start,
            )
    return Programme(Fraction(scale), _steps(moves, scale), Repeats(since, every), given)


def _steps(moves: Sequence[RawMove], scale: int) -> tuple[Step, ...]:
    return tuple(
        Step(
            start=int(move.start * scale),
            source=move.source,
            target=move.target,
            recipe=move.recipe,
            load=move.load,
            stage=move.stage,
            boundaries=move.boundaries,
            hoist=move.hoist,
        )
        for move in moves
    )


def build_order(problem: Problem, moves: Sequence[RawMove]) -> Schedule:
    """Check stated moves against the line and keep their order only.

    Returns
    -------
    Schedule
        With the moves at 0, 1, 2, ... in order of their starts, one tick each; moves of
        equal start stay in the order given.

    Raises
    ------
    InputError
        For the first value that cannot be right.
    """
    number = len(moves)
    ordered = sorted(moves, key=lambda move: move.start)
    spaced = [replace(move, start=Decimal(place)) for place, move in enumerate(ordered)]
    return build_schedule(problem, Decimal(max(1, number)), spaced)


def _check_all(problem: Problem, cycle: Decimal | None, moves: Sequence[RawMove]) -> None:
    if not moves:
        raise InputError("at least one move")
    if len(moves) > MOST_MOVES:
        raise InputError(f"at most {MOST_MOVES} moves", value=f"{len(moves)} moves")
    for move in moves:
        _check(problem, cycle, move)


def _check(problem: Problem, cycle: Decimal | None, move: RawMove) -> None:
    if move.start < 0:
        raise InputError("a time of at least 0", field=move.fields["start"], value=move.start)
    if cycle is not None and move.start >= cycle:
        raise InputError(
            f"a start below the cycle time, which is {cycle:f}",
            field=move.fields["start"],
            value=move.start,
            way_out="Count starts from the beginning of the cycle.",
        )
    for key, name in (("from", move.source), ("to", move.target)):
        if name not in problem.station_by_name:
            raise unknown_name("station", list(problem.station_by_name), move.fields[key], name)
    if move.recipe is not None and move.recipe not in problem.recipe_by_name:
        raise unknown_name(
            "recipe", list(problem.recipe_by_name), move.fields["recipe"], move.recipe
        )
    _check_hoist(problem, move.hoist, move.fields.get("hoist", "hoist"))
    if move.stage is not None:
        _check_stage(problem, move)


def _check_stage(problem: Problem, move: RawMove) -> None:
    back = problem.carriers.return_ == "hoist"
    recipes = [problem.recipe_by_name[move.recipe]] if move.recipe else list(problem.recipes)
    most = max(len(recipe.stages) for recipe in recipes) + back
    if move.stage is not None and move.stage > most:
        raise InputError(
            f"the number of the stage the load leaves, 0 to {most}",
            field=move.fields["stage"],
            value=move.stage,
            way_out="0 is the load station; leave it out if in doubt.",
        )


def unknown_name(what: str, known: list[str], field: str, name: str) -> InputError:
    """The error for a name that is none of the line's, with the nearest one or a list."""
    return InputError(
        f"the name of a {what} of this line",
        field=field,
        value=name,
        way_out=nearest_or_known(name, known),
    )


def _ticks_per_unit(times: Sequence[Decimal]) -> int:
    exponents = (time.normalize().as_tuple().exponent for time in times)
    return 10 ** max(0, *(-e for e in exponents if isinstance(e, int)))


def exact_time(value: object, field: str, unit: str) -> Decimal:
    """A time in the unit as an exact decimal; a duration such as "25 min" is turned into it.

    Raises
    ------
    InputError
        When `value` is neither, or too large or too finely divided to be a time.
    """
    try:
        return time_in_unit(value, unit, LONGEST)
    except ValueError as error:
        raise InputError(str(error), field=field, value=value) from None


def exact_figure(value: object, field: str) -> Decimal:
    """A number that is no time, such as a position along the track, as an exact decimal.

    Raises
    ------
    InputError
        When `value` is no number, or too large or too finely divided.
    """
    try:
        return exact_number(value, LONGEST)
    except ValueError as error:
        raise InputError(str(error), field=field, value=value) from None


def whole_number(value: object, key: str, field: str) -> int:
    """The value of a counting column within the limits of :data:`COUNTS`.

    Raises
    ------
    InputError
        When `value` is no whole number, or out of range.
    """
    least, most = COUNTS[key]
    expected = f"a whole number from {least} to {most}"
    try:
        number = exact_number(value)
    except ValueError:
        raise InputError(expected, field=field, value=value) from None
    if number != number.to_integral_value() or not least <= number <= most:
        raise InputError(expected, field=field, value=value)
    return int(number)
