"""What was changed in a line and its recipes, key by key and stage by stage."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from hoistopt.analysis.compare import check_units
from hoistopt.analysis.compare.inputs import changes
from hoistopt.analysis.compare.stages import StagePair, Stages, paired
from hoistopt.base.errors import InputError
from hoistopt.show.compare.data import comparison_data
from hoistopt.show.compare.rows import comparison_tables
from tests.helpers.lines.compared_lines import compared, dryer, insert, remove, stages_of

pytestmark = pytest.mark.quick


def rename(data: dict[str, Any]) -> None:
    stages_of(data)[2]["name"] = "Swill"


def test_an_inserted_stage_shifts_no_other() -> None:
    found = compared(dryer(), dryer(insert))
    assert [(c.place, c.before, c.after) for c in found.changes] == [
        ('recipe "Cases", stage 4 after ("Again")', None, "there")
    ]
    assert [(pair.label, pair.before is None) for pair in found.dwells] == [
        ("Wash", False), ("Passivate", False), ("Rinse", False), ("Again", True), ("Dryer", False)
    ]  # fmt: skip
    new = [row.after for row in found.moves if row.before is None]
    assert [(row.source, row.target) for row in new if row] == [("Wash", "Dryer")]
    assert [row.after.target for row in found.moves if row.other_tank and row.after] == ["Wash"]


def test_a_removed_stage_shifts_no_other() -> None:
    found = compared(dryer(), dryer(remove))
    assert [(c.place, c.before, c.after) for c in found.changes] == [
        ('recipe "Cases", stage 3 before ("Rinse")', "there", None)
    ]
    gone = [pair.label for pair in found.dwells if pair.after is None]
    assert gone == ["Rinse"]
    left = [row.before for row in found.moves if row.after is None]
    assert [row.source for row in left if row] == ["Rinse"]


def test_a_number_that_was_changed_is_a_number_in_a_table() -> None:
    def slower(data: dict[str, Any]) -> None:
        stages_of(data)[2]["min"] = 33

    found = compared(dryer(), dryer(slower))
    (row,) = comparison_tables(found)[-1].rows
    assert row[1] == "min" and all(isinstance(cell, Decimal) for cell in row[2:]), row
    assert row[3] == 33
    assert comparison_data(found)["changes"][0]["after"] == "33"


def test_a_renamed_stage_is_the_same_stage() -> None:
    found = compared(dryer(), dryer(rename))
    assert [(c.place, c.key, c.before, c.after) for c in found.changes] == [
        ('recipe "Cases", stage 3', "name", None, "Swill")
    ]
    assert found.same_order
    assert all(pair.before and pair.after for pair in found.dwells)


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("abc", "abc", [(1, 1), (2, 2), (3, 3)]),
        ("abc", "axc", [(1, 1), (2, 2), (3, 3)]),
        ("abc", "ac", [(1, 1), (2, None), (3, 2)]),
        ("ac", "abc", [(1, 1), (None, 2), (2, 3)]),
        ("aba", "baa", None),
        ("abc", "xyzc", [(1, None), (2, None), (None, 1), (None, 2), (None, 3), (3, 4)]),
        ("", "a", [(None, 1)]),
    ],
)
def test_stages_are_paired_by_name_and_order(
    before: str, after: str, expected: list[tuple[int | None, int | None]] | None
) -> None:
    found = paired(before, after)
    if expected is not None:
        assert found == [StagePair(*pair) for pair in expected]
    assert sorted(p.before for p in found if p.before) == list(range(1, len(before) + 1))
    assert sorted(p.after for p in found if p.after) == list(range(1, len(after) + 1))
    both = [(p.before, p.after) for p in found if p.before and p.after]
    assert both == sorted(both)


def one(part: str, **keys: Any) -> Any:
    def change(data: dict[str, Any]) -> None:
        if part == "station":
            data["station"][1].update(keys)
        elif part == "stage":
            stages_of(data)[0].update(keys)
        elif part == "line":
            data.update(keys)
        else:
            data.setdefault(part, {}).update(keys)

    return change


CHANGES: list[tuple[Any, tuple[str, str, str | None, str | None]]] = [
    (one("line", tick=0.5), ("line", "tick", None, "0.5")),
    (one("line", note="other", name="Other", source="elsewhere"), ()),  # type: ignore[list-item]
    (one("hoist", lift=7), ("hoist", "lift", "6", "7")),
    (
        one("hoist", empty={"speed": 0.5, "acceleration": 0.4}),
        ("hoist", "empty, speed", "0.4", "0.5"),
    ),
    (one("hoist", payload=90), ("hoist", "payload", None, "90")),
    (one("station", position=0.9), ('station "Wash"', "position", "0.8", "0.9")),
    (one("station", capacity=2), ('station "Wash"', "capacity", None, "2")),
    (one("stage", min=95), ('recipe "Cases", stage 1', "min", "90", "95")),
    (one("stage", drip=0), ('recipe "Cases", stage 1', "drip", "4", None)),
    (
        one("stage", station=["Wash", "Rinse"], name="Wash"),
        ('recipe "Cases", stage 1', "station", "Wash", "Wash, Rinse"),
    ),
    (one("cycle", max=500), ("cycle", "max", None, "500")),
    (one("carriers", count=4), ("carriers", "count", None, "4")),
    (
        one("times", empty=[{"from": "Bench", "to": "Wash", "time": 9}]),
        ("times, empty, Bench to Wash", "", None, "there"),
    ),
    (
        one("line", crossing=[{"from": ["Wash"], "over": ["Rinse"]}]),
        ("crossing 1", "", None, "there"),
    ),
]


@pytest.mark.parametrize(("change", "expected"), CHANGES)
def test_every_key_that_matters_is_told(change: Any, expected: tuple[Any, ...]) -> None:
    before, after = dryer(), dryer(change)
    for one_way, other, turned in ((before, after, False), (after, before, True)):
        found = changes(one_way, other, Stages(one_way, other))
        told = [(c.place, c.key, *c.texts) for c in found]
        if not expected:
            assert told == []
            continue
        place, key, old, new = expected
        assert (place, key, new, old) if turned else (place, key, old, new) in told
        named = [one for one in told if one[1] != "name"]
        assert named == [(place, key, *((new, old) if turned else (old, new)))]


def test_times_in_other_units_are_not_compared() -> None:
    with pytest.raises(InputError, match=r'unit = min.*"s"'):
        check_units(dryer(), dryer(one("line", unit="min")))
