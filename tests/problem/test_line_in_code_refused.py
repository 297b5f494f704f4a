"""What makes no sense in a line built in code: one error that names the field."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction

import pytest

from hoistopt import (
    Carriers,
    Crossing,
    Cycle,
    Hoist,
    InputError,
    Motion,
    Problem,
    Recipe,
    Stage,
    Station,
    Times,
)
from tests.helpers.lines.lines_in_code import line

WRONG: Mapping[str, tuple[Callable[[], object], str]] = {
    "misspelt argument": (
        lambda: Station("Rinse", positon=3),  # type: ignore[call-arg]
        'station "Rinse", positon: expected no such argument. Did you mean position?',
    ),
    "unknown argument": (
        lambda: Motion(1, colour="red"),  # type: ignore[call-arg]
        "motion, colour: expected no such argument. It takes speed, acceleration, settling.",
    ),
    "missing argument": (
        lambda: Stage("Rinse"),  # type: ignore[call-arg]
        'stage "Rinse", min: expected this argument to be given.',
    ),
    "text that is no number": (
        lambda: Station("Rinse", position="abc"),
        'station "Rinse", position = "abc": expected a number.',
    ),
    "no number at all": (
        lambda: Station("Rinse", position=[3]),  # type: ignore[arg-type]
        'station "Rinse", position: expected a number.',
    ),
    "not finite": (
        lambda: Stage("Rinse", min=float("nan")),
        'stage "Rinse", min = nan: expected a finite number.',
    ),
    "a third": (
        lambda: Stage("Rinse", min=Fraction(1, 3)),
        'stage "Rinse", min = 1/3: expected a number with at most 6 decimals.',
    ),
    "below nought": (
        lambda: Stage("Rinse", min=0, max=-1),
        'stage "Rinse", max = -1: expected a number of at least 0.',
    ),
    "no speed": (lambda: Motion(0), "motion, speed = 0: expected a number above 0."),
    "capacity": (
        lambda: Station("Rinse", capacity=0),
        'station "Rinse", capacity = 0: expected a whole number from 1 to 200, or "unlimited".',
    ),
    "kind": (
        lambda: Station("Rinse", kind="bath"),  # type: ignore[arg-type]
        "station \"Rinse\", kind = \"bath\": expected one of 'tank', 'dryer', 'load', 'unload', "
        "'load-unload' or 'park'.",
    ),
    "no stages": (
        lambda: Recipe("A", []),
        'recipe "A", stages: expected a list of 1 or more stages.',
    ),
    "a name for a stage": (
        lambda: Recipe("A", ["Rinse"]),  # type: ignore[list-item]
        'recipe "A", stages 1 = "Rinse": expected a Stage.',
    ),
    "a number for a motion": (
        lambda: Hoist(loaded=3),  # type: ignore[arg-type]
        "hoist, loaded = 3: expected a Motion.",
    ),
    "a negative table entry": (
        lambda: Times(loaded={("A", "B"): -1}),
        'table entry "A" to "B", time = -1: expected a number of at least 0.',
    ),
    "a file name": (
        lambda: Times(loaded_file="a.csv"),  # type: ignore[call-arg]
        'times, loaded_file = "a.csv": expected no file name here: only load_problem reads '
        "tables from other files.",
    ),
    "carriers": (
        lambda: Carriers(count=True),
        "carriers, count = True: expected a whole number.",
    ),
    "mix": (
        lambda: Cycle(mix={"A": 0}),
        "cycle, mix, A = 0: expected a whole number of at least 1.",
    ),
    "crossing": (
        lambda: Crossing([], over=["B"]),
        "crossing, from_: expected a list of 1 or more stations.",
    ),
    "no recipe": (
        lambda: Problem("A", stations=[Station("B"), Station("C")]),  # type: ignore[call-arg]
        "recipes: expected this argument to be given.",
    ),
    "a number for a station": (
        lambda: line(stations=[Station("A"), 3]),
        "stations 2 = 3: expected a Station.",
    ),
    "a plain table with an unknown key": (
        lambda: line(stations=[{"name": "A", "colour": "red"}, Station("B")]),
        'stations 1 ("A"), colour: expected no such argument.',
    ),
    "minimum above maximum": (
        lambda: line(recipes=[Recipe("A", [Stage("Bath", min=30, max=20)])]),
        'recipe "A", stage 1 ("Bath"), max = 20: expected at least min, which is 30. '
        "Raise max or lower min; leave max out for no maximum.",
    ),
    "a station there is not": (
        lambda: line(recipes=[Recipe("A", [Stage("Pool", min=30)])]),
        'recipe "A", stage 1 ("Pool"), station = Pool: expected the name of a station of this '
        "line. Known stations: In, Bath, Out.",
    ),
}


@pytest.mark.parametrize(("make", "told"), WRONG.values(), ids=WRONG)
def test_what_makes_no_sense_is_one_error_that_names_the_field(
    make: Callable[[], object], told: str
) -> None:
    with pytest.raises(InputError) as caught:
        make()
    assert str(caught.value) == told
    # No trace of the library underneath.
    assert caught.value.__suppress_context__ or caught.value.__context__ is None


def test_a_slip_in_calling_is_the_usual_type_error() -> None:
    with pytest.raises(TypeError, match="without a name: station"):
        Stage("Rinse", 20)  # type: ignore[misc]
    with pytest.raises(TypeError, match="several values for 'name'"):
        Station("Rinse", name="Rinse")  # type: ignore[misc]


def test_parts_do_not_change() -> None:
    with pytest.raises(ValueError, match="frozen"):
        Station("Rinse").position = Decimal(3)  # type: ignore[misc]
