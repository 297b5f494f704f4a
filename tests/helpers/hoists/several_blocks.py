"""The blocks of several hoists as their program declares them, and their tables as variables."""

from __future__ import annotations

from functools import cache
from typing import Any

from hoistopt.exports import several_text
from hoistopt.exports.several import SeveralTable
from hoistopt.exports.several.members import (
    MOTION,
    RELEASE,
    check_sum,
    head_values,
    motion_values,
    releases_of,
)
from tests.helpers.block.st_machine import Machine, Program
from tests.helpers.block.st_values import Array, ArrayType, StructType, default
from tests.helpers.hoists.several_tables import example_table

SEQUENCER = "FUNCTION_BLOCK Hoist_Sequencer"


@cache
def program() -> Program:
    """The program of the worked example. To parse it takes its time, so it stands for all."""
    problem, table = example_table()
    text = several_text(problem, table, "st")
    return Program(text[: text.index(SEQUENCER)], text[text.index(SEQUENCER) :])


def tables(table: SeveralTable) -> dict[int, dict[str, Any]]:
    """The table of every hoist, as a variable of the blocks' type."""
    parsed, per, found = program(), table.unit.milliseconds, {}
    for hoist in table.hoists:
        variable: dict[str, Any] = default(parsed.structures["Hoist_Table"])
        variable |= {**head_values(table, hoist), "CheckSum": check_sum(table, hoist)}
        for motion in hoist.rows:
            values = motion_values(motion, per)
            variable["Motions"][motion.motion] |= {
                m.name: bool(values[m.name]) if m.type == "BOOL" else values[m.name] for m in MOTION
            }
        for number, (_, _, values) in enumerate(releases_of(table, hoist), start=1):
            variable["Releases"][number] |= {
                m.name: bool(values[m.name]) if m.type == "BOOL" else values[m.name]
                for m in RELEASE
            }
        found[hoist.number] = variable
    return found


def machines(table: SeveralTable) -> tuple[dict[int, Machine], dict[str, Any]]:
    """A block for every hoist, and what they share, for the stations and slots of a table."""
    parsed, numbers = program(), [number for number, _ in table.stations]
    _, known = example_table()
    old = (known.stations[0][0], known.stations[-1][0])
    slots = max(3, table.slots - 1)
    hoists = [hoist.number for hoist in table.hoists]
    found = {}
    for hoist in table.hoists:
        machine = parsed.blocks["Hoist_Sequencer"].fresh()
        values = machine.values
        values |= {
            "FirstStation": min(numbers), "LastStation": max(numbers), "MaxSlot": slots,
            "FirstHoist": min(hoists), "LastHoist": max(hoists),
        }  # fmt: skip
        for name, kind in machine.types.items():
            if isinstance(kind, ArrayType) and kind.bounds == (old,):
                values[name] = Array(ArrayType(((min(numbers), max(numbers)),), kind.of))
        found[hoist.number] = machine
    line: dict[str, Any] = {}
    shared = parsed.structures["Hoist_Line"]
    assert isinstance(shared, StructType)
    for name, kind in shared.members:
        if isinstance(kind, ArrayType) and len(kind.bounds) == 2:
            line[name] = Array(ArrayType((kind.bounds[0], (0, slots)), kind.of))
        elif isinstance(kind, ArrayType) and kind.bounds == (old,):
            line[name] = Array(ArrayType(((min(numbers), max(numbers)),), kind.of))
        elif isinstance(kind, ArrayType) and kind.bounds == ((1, known.hoists[-1].number),):
            line[name] = Array(ArrayType(((1, max(hoists)),), kind.of))
        else:
            line[name] = default(kind)
    return found, line
