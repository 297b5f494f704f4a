"""What the numbers and names of any list of moves must be, whatever the rules of the line."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import Step

LARGEST = 10**16
"""Of ticks, and of whatever else counts in a list of moves."""


def whole(value: object, least: int, most: int, field: str) -> None:
    """Refuse what is no whole number in a range.

    Raises
    ------
    InputError
        Naming the field.
    """
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise InputError(f"a whole number from {least} to {most}", field=field, value=value)


def fair_rate(rate: object, field: str) -> None:
    """Refuse what cannot be the number of ticks in a unit of time.

    Raises
    ------
    InputError
        Naming the field.
    """
    if not isinstance(rate, Fraction) or not (
        0 < rate.numerator <= LARGEST and rate.denominator <= LARGEST
    ):
        raise InputError("a fraction above 0", field=field, value=rate)


def known_names(problem: Problem, steps: Iterable[Step]) -> None:
    """Refuse moves of recipes, or to and from stations, that the line does not have.

    Raises
    ------
    InputError
        Naming the first such step.
    """
    for number, step in enumerate(steps, start=1):
        for key, name in (("from", step.source), ("to", step.target)):
            if name not in problem.station_by_name:
                raise InputError(
                    "the name of a station of this line",
                    field=f"step {number}, {key}",
                    value=name,
                )
        if step.recipe is not None and step.recipe not in problem.recipe_by_name:
            raise InputError(
                "the name of a recipe of this line",
                field=f"step {number}, recipe",
                value=step.recipe,
            )
