"""Lines whose schedules are exported, and their function blocks ready to run. Invented."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from functools import cache

import hoistopt
from hoistopt.checker import Replay
from hoistopt.exports import (
    SequencerStyle,
    SequencerTable,
    check_sum,
    export_text,
    sequencer_table,
)
from hoistopt.exports.checksum import sum_of
from hoistopt.exports.members import HEAD, MEMBERS, head_values, member_values
from hoistopt.exports.readback.proof import schedule_of
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.block.block_model import Model
from tests.helpers.block.plant import Plant
from tests.helpers.block.st_machine import Machine, Program
from tests.helpers.block.st_values import Array, ArrayType, default, fits
from tests.helpers.command import PROBLEMS

HOSTILE = {
    "In": "*) END_VAR (* {x} // /*",
    "Hot": "<x>&\"'; $00 $N ]]> --",
    "Rinse": '=cmd|"/C x"!A1; =1+1, \\u0041 \\',
    "Out": "@Ünït 浴槽 \U0001f9ea;-2+3",
    "A": "'=A*)",
    "B": "-- <!-- ; END_TYPE",
}
"""Names that would end a comment, a string, a cell or an element if they could."""


def crowded(names: dict[str, str] | None = None) -> Problem:
    """Two recipes share a bath of five places, in which a load stands for several cycles."""
    name = {key: key for key in HOSTILE} | (names or {})
    ends = {"capacity": "unlimited"}
    return Problem.from_data(
        {
            "name": f"Crowded {name['Hot']}",
            "hoist": {"lift": 4, "lower": 4, "loaded": {"speed": 1}, "empty": {"speed": 2}},
            "station": [
                {"name": name["In"], "kind": "load", "position": 0, **ends},
                {"name": name["Hot"], "position": 4, "capacity": 5, "order": "any"},
                {"name": name["Rinse"], "position": 8},
                {"name": name["Out"], "kind": "unload", "position": 12, **ends},
            ],
            "recipe": [
                {
                    "name": name["A"],
                    "stage": [
                        {"station": name["Hot"], "min": 240.4, "max": 290, "drip": 2.7},
                        {"station": name["Rinse"], "min": 10, "max": 60},
                    ],
                },
                {
                    "name": name["B"],
                    "stage": [
                        {"station": name["Hot"], "min": 150, "max": 210},
                        {"station": name["Rinse"], "min": 12, "max": 40.6},
                    ],
                },
            ],
            "cycle": {"mix": {name["A"]: 1, name["B"]: 1}},
        }
    )


def dryer() -> Problem:
    return hoistopt.load_problem(PROBLEMS / "three_tanks_dryer.toml")


def odd() -> Problem:
    """Fractions of seconds: a drip or a minimum dwell rounded up no longer fits as it is."""
    return Problem.from_data(
        {
            "name": "Odd",
            "times": {
                "loaded": [
                    {"from": "In", "to": "Bath", "time": 10.5},
                    {"from": "Bath", "to": "Out", "time": 8.3},
                ],
                "empty": [
                    {"from": a, "to": b, "time": 5}
                    for a in ("In", "Bath", "Out")
                    for b in ("In", "Bath", "Out")
                    if a != b
                ],
            },
            "station": [
                {"name": "In", "kind": "load"},
                {"name": "Bath"},
                {"name": "Out", "kind": "unload", "min_occupation": 20},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": "Bath", "min": 30.5, "max": 60.5, "drip": 2.2}],
                }
            ],
        }
    )


def returning() -> Problem:
    return hoistopt.load_problem(PROBLEMS / "carriers_by_hoist.toml")


@cache
def solved(make: Callable[..., Problem], hostile: bool = False) -> tuple[Problem, Schedule]:
    """A line and its least cycle."""
    problem = make(HOSTILE) if hostile else make()
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    return problem, schedule


@cache
def table_of(make: Callable[..., Problem], unit: str, hostile: bool = False) -> SequencerTable:
    return sequencer_table(*solved(make, hostile), unit)


def hostile_table() -> tuple[Problem, SequencerTable]:
    """A line whose names would break any format if they could."""
    problem, _ = solved(crowded, True)
    return problem, table_of(crowded, "s", True)


LINES = {
    "dryer": (dryer, "ds", "initial", False),
    "crowded": (crowded, "s", "initial", True),
    "returning": (returning, "ms", "routine", False),
}
"""Cycle boundaries, scaled times; a bath of several places, whole seconds, hostile names;
carriers returned by the hoist, an initialising routine."""
SEQUENCER = "FUNCTION_BLOCK Hoist_Sequencer"


def text_of(line: str) -> str:
    """A line's structured text."""
    make, unit, values, hostile = LINES[line]
    problem, _ = solved(make, hostile)
    style = SequencerStyle(values="routine" if values == "routine" else "initial")
    return export_text(problem, table_of(make, unit, hostile), "st", style)


@cache
def program(line: str = "dryer") -> Program:
    """The program of a line. To parse one sequencer takes its time, so only that of the dryer
    is: the others differ by the bounds of their arrays (a test sees to that)."""
    text = text_of(line)
    parts = text[: text.index(SEQUENCER)], text[text.index(SEQUENCER) :]
    return Program(*parts) if line == "dryer" else Program(parts[0])


@cache
def filled(line: str) -> dict[str, object]:
    """The table as the program of a line fills it."""
    parsed = program(line)
    table: dict[str, object] = default(parsed.structures["Hoist_Table"])
    parsed.blocks["Hoist_Fill"].fresh().call(Table=table)
    return table


def machine_of(line: str) -> tuple[SequencerTable, Machine]:
    """A line's table and its function block, fresh, with the table as its program fills it."""
    make, unit, _, hostile = LINES[line]
    table = table_of(make, unit, hostile)
    machine = refitted(table)
    machine.values["Table"] = deepcopy(filled(line))
    return table, machine


def refitted(table: SequencerTable) -> Machine:
    """The block for the stations and slots of a table, which it is handed."""
    machine = program().blocks["Hoist_Sequencer"].fresh()
    values, low, high = machine.values, *_bounds(table)
    values["FirstStation"], values["LastStation"] = low, high
    values["MaxSlot"] = max(3, table.slots - 1)
    for name, kind in machine.types.items():
        if not isinstance(kind, ArrayType):
            continue
        if machine.types[name].bounds == ((0, 4),):  # by station of the dryer
            values[name] = Array(ArrayType(((low, high),), kind.of))
        elif len(kind.bounds) == 2:
            values[name] = Array(ArrayType((kind.bounds[0], (0, values["MaxSlot"])), kind.of))
    values["Table"] = as_variable(table)
    return machine


def _bounds(table: SequencerTable) -> tuple[int, int]:
    numbers = [number for number, _ in table.stations]
    return min(numbers), max(numbers)


def as_variable(table: SequencerTable) -> dict[str, object]:
    """The table as a variable of the block's type."""
    parsed = program()
    kind = parsed.structures["Hoist_Table"]
    found: dict[str, object] = default(kind)
    for name, value in {**head_values(table), "CheckSum": check_sum(table)}.items():
        found[name] = fits(value, kind.member(name))
    flags = {member.name for member in MEMBERS if member.type == "BOOL"}
    row = parsed.structures["Hoist_Step"]
    for step in table.rows:
        values = member_values(step, table.unit.milliseconds)
        found["Steps"][step.step] = {  # type: ignore[index]
            name: fits(bool(value) if name in flags else value, row.member(name))
            for name, value in values.items()
        }
    return found


def changed(machine: Machine, step: int, **members: int | bool) -> None:
    """Give members of a step other values, in the table and in its check sum."""
    table = machine.values["Table"]
    table["Steps"][step] |= members
    values = [table[name] for name in HEAD]
    for number in range(1, table["LastStep"] + 1):
        values += [int(table["Steps"][number][member.name]) for member in MEMBERS]
    table["CheckSum"] = sum_of(values)


def plant(line: str) -> Plant:
    """A line switched on and empty, its function block in control, the model beside it."""
    make, _, _, hostile = LINES[line]
    problem, _ = solved(make, hostile)
    table, machine = machine_of(line)
    return Plant(machine, problem, table, model=Model(table))


@cache
def planned(line: str) -> Replay:
    """What the checker saw of the exported whole numbers."""
    make, unit, _, hostile = LINES[line]
    problem, _ = solved(make, hostile)
    return hoistopt.replay(problem, schedule_of(problem, table_of(make, unit, hostile)))


def planned_starts(line: str) -> list[tuple[int, int]]:
    """Step and start in ms of every run, from the empty line to the empty line."""
    make, _, _, hostile = LINES[line]
    return starts_in(planned(line), solved(make, hostile)[0])


def starts_in(seen: Replay, problem: Problem) -> list[tuple[int, int]]:
    """Step and start in ms of every run of a replay."""
    ms = int(problem.seconds_per_unit * 1000)
    return [(run.step, int(run.start * ms)) for run in seen.runs]


def last_load(seen: Replay, problem: Problem) -> int:
    """When the last load is lifted, in ms."""
    ms = int(problem.seconds_per_unit * 1000)
    return max(int(run.start * ms) for run in seen.runs if run.stage == 0)
