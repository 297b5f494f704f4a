"""The changes of a line that might shorten its cycle, one limit each."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Literal

from ...base.decimals import told
from ...base.errors import InputError
from ...base.exact import LARGEST, exact_number
from ...instance import edits as changes
from ...problem import Problem, Recipe, Stage

Kind = Literal["min", "max", "occupation", "carriers", "return", "drip", "hoist"]


@dataclass(frozen=True)
class Amount:
    """How far limits give way: a time in the problem's unit, or a share of each."""

    time: Decimal | None = None
    share: Fraction | None = None

    def of(self, value: Decimal) -> Decimal:
        """The amount for a limit of that value."""
        if self.time is not None:
            return self.time
        assert self.share is not None
        return changes.at_least(Fraction(value) * self.share)


@dataclass(frozen=True)
class Pull:
    """One change of the line.

    Attributes
    ----------
    kind : str
        "min" or "max" of a stage, least "occupation" of a station at an end, one of the
        "carriers" more, their "return" time, a "drip", the "hoist" quicker.
    words : str
        For people.
    old, new : Decimal or None
        The figure before and after, where there is one.
    only_helps : bool
        Whether every schedule of today's line is one of the changed line as well.
    apply : callable
        Gives the changed line.
    """

    kind: Kind
    words: str
    old: Decimal | None
    new: Decimal | None
    only_helps: bool
    apply: Callable[[Problem], Problem]
    recipe: str = ""
    stage: int = 0
    station: str = ""


def pulls(
    problem: Problem,
    by: Amount | Decimal | int | str = "10%",
    hoist_by: Decimal | int | float | str = 10,
) -> tuple[Pull, ...]:
    """Every change of one limit of the line.

    Raises
    ------
    InputError
        When an amount is none.
    """
    amount = by if isinstance(by, Amount) else amount_of(by)
    share = share_of(hoist_by)
    found = [
        *_windows(problem, amount),
        *_ends(problem, amount),
        *_carriers(problem, amount),
        *_drips(problem, amount),
    ]
    if share:
        found.append(_hoist(share))
    return tuple(found)


def amount_of(value: Decimal | int | float | str, field: str = "by") -> Amount:
    """A number of units, or a text such as ``10`` or ``10%``.

    Raises
    ------
    InputError
        For anything else, or an amount not above 0.
    """
    given = value
    if isinstance(value, str):
        text = re.fullmatch(r"\s*([0-9]+(?:\.[0-9]+)?|\.[0-9]+)\s*(%?)\s*", value)
        if text is None:
            raise _bad_amount(field, given)
        number = Decimal(text[1])
        if text[2]:
            if not 0 < number <= 100:
                raise _bad_amount(field, given)
            return Amount(share=Fraction(number) / 100)
        value = number
    try:
        number = exact_number(value)
    except ValueError:
        raise _bad_amount(field, given) from None
    if number <= 0:
        raise _bad_amount(field, given)
    return Amount(time=number)


def _bad_amount(field: str, value: object) -> InputError:
    return InputError(
        "a time above 0, or a share above 0 % and at most 100 %",
        field=field,
        value=value,
        way_out="Write 10 for ten units of time, or 10% for a tenth of each limit.",
    )


def share_of(value: Decimal | int | float | str, field: str = "hoist_by") -> Fraction:
    """Per cent as a share of 1.

    Raises
    ------
    InputError
        When `value` is no number from 0 to 90.
    """
    try:
        number = exact_number(Decimal(value.strip("% ")) if isinstance(value, str) else value)
    except (ValueError, InvalidOperation):
        number = Decimal(-1)
    if not 0 <= number <= 90:
        raise InputError("per cent from 0 to 90", field=field, value=value)
    return Fraction(number) / 100


def _windows(problem: Problem, amount: Amount) -> Iterator[Pull]:
    for recipe, number, stage in _stages(problem):
        about = _about(problem, recipe, number, stage)
        if stage.min > 0:
            new = max(Decimal(0), stage.min - amount.of(stage.min))
            yield Pull(
                "min",
                f"minimum of {about} from {stage.min:f} to {new:f}",
                stage.min,
                new,
                True,
                _window(recipe.name, number, least=new),
                recipe.name,
                number,
            )
        if stage.max is not None and stage.max < LARGEST:
            new = min(LARGEST, stage.max + amount.of(stage.max))
            yield Pull(
                "max",
                f"maximum of {about} from {stage.max:f} to {new:f}",
                stage.max,
                new,
                True,
                _window(recipe.name, number, most=new),
                recipe.name,
                number,
            )


def _window(
    recipe: str, number: int, least: Decimal | None = None, most: Decimal | None = None
) -> Callable[[Problem], Problem]:
    def apply(problem: Problem) -> Problem:
        stage = problem.recipe_by_name[recipe].stages[number - 1]
        window = (stage.min if least is None else least, stage.max if most is None else most)
        return changes.with_windows(problem, {(recipe, number): window})

    return apply


def _ends(problem: Problem, amount: Amount) -> Iterator[Pull]:
    for station in problem.stations:
        matters = station.capacity != "unlimited" or problem.carriers.count is not None
        if not station.min_occupation or not matters:
            continue
        new = max(Decimal(0), station.min_occupation - amount.of(station.min_occupation))

        def apply(problem: Problem, name: str = station.name, new: Decimal = new) -> Problem:
            return changes.with_occupation(problem, name, new)

        yield Pull(
            "occupation",
            f"minimum occupation of {station.name} from {station.min_occupation:f} to {new:f}",
            station.min_occupation,
            new,
            True,
            apply,
            station=station.name,
        )


def _carriers(problem: Problem, amount: Amount) -> Iterator[Pull]:
    given = problem.carriers
    if given.count is None:
        return
    count = given.count + 1
    yield Pull(
        "carriers",
        f"carriers from {given.count} to {count}",
        Decimal(given.count),
        Decimal(count),
        True,
        lambda problem: changes.with_carriers(problem, count=count),
    )
    if given.return_time:
        new = max(Decimal(0), given.return_time - amount.of(given.return_time))
        yield Pull(
            "return",
            f"carriers' way back from {given.return_time:f} to {new:f}",
            given.return_time,
            new,
            True,
            lambda problem: changes.with_carriers(problem, return_time=new),
        )


def _drips(problem: Problem, amount: Amount) -> Iterator[Pull]:
    for recipe, number, stage in _stages(problem):
        if not stage.drip:
            continue
        new = max(Decimal(0), stage.drip - amount.of(stage.drip))

        def apply(
            problem: Problem, name: str = recipe.name, at: int = number, new: Decimal = new
        ) -> Problem:
            return changes.with_drip(problem, name, at, new)

        # The load reaches the next tank sooner and may overstay there.
        yield Pull(
            "drip",
            f"drip after {_about(problem, recipe, number, stage)} from {stage.drip:f} to {new:f}",
            stage.drip,
            new,
            False,
            apply,
            recipe.name,
            number,
        )


def _hoist(share: Fraction) -> Pull:
    percent = share * 100
    shown = told(percent)
    return Pull(
        "hoist",
        f"every time of the hoist {shown} % shorter",
        None,
        None,
        False,
        lambda problem: changes.with_quicker_hoist(problem, share),
    )


def _stages(problem: Problem) -> Iterator[tuple[Recipe, int, Stage]]:
    used = set(problem.load_set)
    for recipe in problem.recipes:
        if recipe.name in used:
            for number, stage in enumerate(recipe.stages, start=1):
                yield recipe, number, stage


def _about(problem: Problem, recipe: Recipe, number: int, stage: Stage) -> str:
    text = stage.label
    if sum(other.label == stage.label for other in recipe.stages) > 1:
        text += f" (stage {number})"
    if len(set(problem.load_set)) > 1:
        text += f" of {recipe.name}"
    return text
