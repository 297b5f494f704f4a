"""Names of things any of which will do, in few words that keep every one of them."""

from __future__ import annotations

import pytest

from hoistopt import Stage
from hoistopt.base.text import any_of


@pytest.mark.quick
@pytest.mark.parametrize(
    ("names", "words"),
    [
        (["Dip"], "Dip"),
        (["Plate 1", "Plate 2"], "Plate 1 or 2"),
        (["Nickel 3", "Nickel 1", "Nickel 2"], "Nickel 1 to 3"),
        (["Nickel 1", "Nickel 3"], "Nickel 1 or Nickel 3"),
        (["Dip", "Dip (2)", "Spray"], "Dip, Dip (2) or Spray"),
        (["T01", "T02"], "T01 or T02"),
        (["A", "B", "C", "D", "E"], "A or 4 others"),
        ([f"T{number}" for number in range(10, 40)], "T10 to 39"),
    ],
)
def test_names_together(names: list[str], words: str) -> None:
    assert any_of(names) == words


def test_a_stage_is_not_called_after_one_of_its_tanks() -> None:
    assert Stage(["Plate 1", "Plate 2"], min=1).label == "Plate 1 or 2"
    assert Stage(["Plate 1", "Plate 2"], min=1, name="Plate").label == "Plate"
