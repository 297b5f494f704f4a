"""Varied keys stand with the unit of their figures wherever people read them."""

from __future__ import annotations

import pytest

from hoistopt.problem import Problem
from hoistopt.problem.units import TIMES
from hoistopt.problem.workbook.layout import layout
from hoistopt.show.study.data import with_unit
from tests.helpers.studying import line


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
    """What may be written as a duration in a file has the unit of times, and nothing else has."""
    found = layout(Problem)
    fields = [field for table in found.tables for field in table.columns]
    fields += [*found.entry, *(field for _, field in found.line)]
    times = {field.keys[-1] for field in fields if field.timed}
    assert {"lift", "min", "slack", "tick", "time"} <= times
    # The span of a pace may be stated as a rate as well, and is a time all the same.
    assert times == TIMES
