"""The table as a variable: handed to the block, checked, changed without a download."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest

from hoistopt.exports import (
    SequencerStep,
    SequencerStyle,
    SequencerTable,
    check_sum,
    export_text,
)
from hoistopt.exports.checksum import FACTOR, MODULUS, SPLIT, numbers, sum_of
from hoistopt.exports.members import MEMBERS
from hoistopt.exports.units import UNITS
from tests.helpers.block.block_model import Model
from tests.helpers.block.late_block import cycle_of, whole_run
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import (
    LINES,
    SEQUENCER,
    as_variable,
    dryer,
    machine_of,
    plant,
    program,
    solved,
    table_of,
)
from tests.helpers.block.st_machine import Program


def loaded(line: str = "dryer") -> tuple[dict[str, Any], Any]:
    """A table and a block, reset once with it."""
    _, machine = machine_of(line)
    machine.call(Reset=True)
    return machine["Table"], machine


# -- check sum ------------------------------------------------------------------------------


@pytest.mark.parametrize("line", LINES)
def test_block_and_file_work_out_the_same_check_sum(line: str) -> None:
    table, machine = loaded(line)
    make, unit, _, hostile = LINES[line]
    assert machine["TableFault"] == 0
    assert machine["Sum"] == table["CheckSum"] == check_sum(table_of(make, unit, hostile))


def test_the_check_sum_is_the_polynomial_that_its_words_say() -> None:
    # Worked out in whole numbers without any remainder on the way.
    values = numbers(table_of(dryer, "ds"))
    parts = [part for value in values for part in divmod(value, SPLIT)]
    total = sum(part * FACTOR**power for power, part in enumerate(reversed(parts)))
    assert sum_of(values) == total % MODULUS
    assert (MODULUS - 1) * FACTOR + MODULUS - 1 < 2**31


def test_the_same_table_in_another_unit_has_the_same_check_sum() -> None:
    tenths = table_of(dryer, "ds")

    def in_ms(step: SequencerStep) -> SequencerStep:
        times = {
            name: None if (value := getattr(step, name)) is None else 100 * value
            for name in ("start", "latest", "alarm", "clock_limit", "lasting_limit", "least",
                         "most", "drip", "move", "busy", "approach")
        }  # fmt: skip
        return replace(step, **times)

    steps = tuple(in_ms(step) for step in tenths.steps)
    fine = replace(tenths, unit=UNITS["ms"], cycle=100 * tenths.cycle, steps=steps)
    assert check_sum(tenths) == check_sum(fine)


@pytest.mark.parametrize("member", [member.name for member in MEMBERS])
def test_any_number_that_is_another_is_noticed(member: str) -> None:
    for change in (1, 65_521, 32_768):
        table, machine = loaded()
        row = table["Steps"][2]
        row[member] = not row[member] if isinstance(row[member], bool) else row[member] + change
        if isinstance(row[member], int) and row[member] > 32_767 and not member.endswith("_ms"):
            continue  # no such INT
        machine.call(Reset=True)
        assert machine["TableFault"] in (2, 3)
        machine.call(Reset=False, Enable=True, AdmitLoads=True, HoistIdle=True)
        assert not machine["StartMove"]
        assert not machine["GoToPick"]


@pytest.mark.parametrize(
    ("where", "value", "fault"),
    [
        ("LastStep", 0, 1),
        ("LastStep", 41, 1),
        ("LastStep", 4, 2),  # a step feeds one that is none
        ("LastSlot", -1, 1),
        ("LastSlot", 4, 1),
        ("CycleTime_ms", 0, 1),
        ("CycleTime_ms", 200_000_001, 1),
        ("CycleTime_ms", 234_001, 3),
        ("CheckSum", 0, 3),
    ],
)
def test_a_table_that_cannot_be_is_refused(where: str, value: int, fault: int) -> None:
    table, machine = loaded()
    table[where] = value
    machine.call(Reset=True)
    assert machine["TableFault"] == fault


def test_a_number_out_of_range_is_refused_though_the_sum_is_right() -> None:
    for member, value in (("PickStation", 5), ("FedByStep", 6), ("Boundaries", 2), ("Busy_ms", -1)):
        _, machine = machine_of("dryer")
        machine["Table"]["Steps"][3][member] = value
        machine.call(Reset=True)
        assert machine["TableFault"] == 2


def test_a_table_changed_while_the_line_runs_stops_it() -> None:
    running = plant("dryer")
    running.run(2 * cycle_of(running))
    running.model = None
    table = running.machine["Table"]
    table["Steps"][3]["PlannedStart_ms"] += 5_000
    running.run(running.now + 10_000)
    assert running.machine["TableFault"] == 3  # found within as many calls as there are steps
    assert not running.machine["StartMove"]
    running.machine["Table"]["CheckSum"] += 1
    table["Steps"][3]["PlannedStart_ms"] -= 5_000
    running.run(running.now + 10_000)
    assert running.machine["TableFault"] > 0


def test_another_recipe_without_a_download() -> None:
    # The same block, not parsed again: another line's table, then the first one's.
    _, machine = machine_of("dryer")
    problem, _ = solved(dryer)
    slower = _with_longer_cycle(table_of(dryer, "ds"))
    first = Plant(machine, problem, slower, model=Model(slower))
    machine.values["Table"] = as_variable(slower)
    first.run(3 * slower.cycle * 100)
    assert [now for step, now in first.started if step == 1] == [
        c * slower.cycle * 100 for c in range(4)
    ]
    table = table_of(dryer, "ds")
    machine.call(Table=as_variable(table), Reset=True)
    again = Plant(machine, problem, table)
    again.run(3 * cycle_of(again))
    assert again.started == whole_run("dryer", 3 * cycle_of(again))[: len(again.started)]


def _with_longer_cycle(table: SequencerTable) -> SequencerTable:
    return replace(table, cycle=table.cycle + 200)


# -- how it comes there -----------------------------------------------------------------------


def test_an_initialising_routine_fills_the_same_table() -> None:
    problem, _ = solved(dryer)
    table = table_of(dryer, "ds")
    texts = [
        export_text(problem, table, "st", SequencerStyle(values=values))  # type: ignore[arg-type]
        for values in ("initial", "routine")
    ]
    assert "Steps := [" not in texts[1]
    assert "Table.Steps[5].Approach_ms := " in texts[1]
    filled = []
    for text in texts:
        parsed = Program(text[: text.index(SEQUENCER)])
        empty = deepcopy(parsed.structure_values["Hoist_Table"])
        parsed.blocks["Hoist_Fill"].call(Table=empty)
        filled.append(empty)
    assert filled[0] == filled[1] == as_variable(table)


def test_the_clock_runs_in_ms_whatever_the_unit() -> None:
    # Whole seconds in the table, 10 ms from call to call.
    table, machine = machine_of("crowded")
    assert table.unit.key == "s"
    everywhere = dict.fromkeys(dict(table.stations), True)
    common: dict[str, Any] = {
        "Enable": True, "AdmitLoads": True, "HoistIdle": True, "HoistAt": 0,
        "CarrierAt": everywhere, "PlaceFreeAt": everywhere, "LoadReleasedAt": {0: 1},
    }  # fmt: skip
    for _ in range(2):
        machine.call(Elapsed_ms=10, **common)
    assert machine["StartMove"]
    before = machine["Clock_ms"]
    for _ in range(7):
        machine.call(Elapsed_ms=10, **common)
    assert machine["Clock_ms"] == before + 70


def test_room_says_how_many_steps_the_block_takes() -> None:
    problem, _ = solved(dryer)
    table = table_of(dryer, "ds")
    assert "ARRAY [1..40] OF Hoist_Step" in export_text(problem, table, "st")
    wide = export_text(problem, table, "st", SequencerStyle(room=75))
    assert "ARRAY [1..75] OF Hoist_Step" in wide
    assert "MaxStep : INT := 75" in wide
    assert program().blocks["Hoist_Sequencer"].types["Table"].name == "Hoist_Table"
