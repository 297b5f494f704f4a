"""Varied keys stand with the unit of their figures wherever people read them."""

from __future__ import annotations

import pytest

from hoistopt.problem.units import TIMES
from hoistopt.show.study.units import with_unit
from tests.helpers.studying import line

UNITLESS = {"count", "capacity", "mass", "payload", "mix", "degree", "parallel"}


@pytest.mark.quick
@pytest.mark.parametrize(
    ("key", "shown"),
    [
        ("stage(Wash).min", "stage(Wash).min [s]"),
        ("hoist.empty.speed", "hoist.empty.speed [m/s]"),
        ("hoist.empty.acceleration", "hoist.empty.acceleration [m/s²]"),
        ("station(Wash).position", "station(Wash).position [m]"),
        ("stage(Wash).min + stage(Rinse).max", "stage(Wash).min + stage(Rinse).max [s]"),
        ("hoist.lift + hoist.empty.speed", "hoist.lift + hoist.empty.speed"),
        ("carriers.count", "carriers.count"),
        ("parallel(Dryer)", "parallel(Dryer)"),
        ("degree", "degree"),
        ("cost of it all (1", "cost of it all (1"),
    ],
)
def test_a_key_has_its_unit(key: str, shown: str) -> None:
    assert with_unit(key, line()) == shown


def test_every_time_of_the_schema_is_known() -> None:
    """What the fields' own documentation calls a time has the unit of times."""
    from hoistopt.problem.line import Hoist, Motion, Station
    from hoistopt.problem.recipe import Stage

    fields = {name for part in (Stage, Motion, Station, Hoist) for name in part.model_fields}
    unnamed = {
        "name",
        "station",
        "kind",
        "order",
        "unreachable",
        "loaded",
        "empty",
        "margin",
        "hoist",
    }
    kinematic = {"position", "speed", "acceleration", "from_", "to"}
    assert fields - unnamed - kinematic - UNITLESS <= TIMES
