"""Lines whose schedules are exported, and their function blocks ready to run. Invented."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import hoistopt
from hoistopt.checker import Replay
from hoistopt.exports import SequencerStyle, SequencerTable, export_text, sequencer_table
from hoistopt.exports.readback.proof import schedule_of
from hoistopt.exports.st_types import Dialect
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.command import PROBLEMS
from tests.helpers.plant import Plant
from tests.helpers.st_machine import Machine
from tests.helpers.st_values import Array, ArrayType, fits

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
    """Fractions of seconds: a drip or a least dwell rounded up no longer fits as it is."""
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
    "dryer": (dryer, "ds", "dint", False),
    "crowded": (crowded, "s", "dint", True),
    "returning": (returning, "ms", "time", False),
}
"""Cycle boundaries, scaled times; a bath of several places, whole seconds, hostile names;
carriers returned by the hoist, TIME literals."""


@cache
def _machine(line: str) -> Machine:
    make, unit, times, hostile = LINES[line]
    problem, _ = solved(make, hostile)
    table = table_of(make, unit, hostile)
    return Machine(export_text(problem, table, "st", SequencerStyle(times=times)))


def machine_of(line: str) -> tuple[SequencerTable, Machine]:
    """A line's table and its function block, fresh."""
    make, unit, _, hostile = LINES[line]
    return table_of(make, unit, hostile), _machine(line).fresh()


def refitted(machine: Machine, table: SequencerTable) -> Machine:
    """A block in whole ms with the constants of another table, as its text would have them."""
    dialect = Dialect(table, tags="numbers")
    fields, count = dialect.fields(), len(table.steps)
    other = machine.fresh()
    values = other.values
    kind = other.types["Steps"].of
    rows = [
        {field.name: fits(_literal(field.values[n]), kind[field.name]) for field in fields}
        for n in range(count)
    ]
    numbers = [number for number, _ in table.stations]
    slots = ((1, count), (0, table.slots - 1))
    stations = ((min(numbers), max(numbers)),)
    values["Steps"] = Array(ArrayType(((1, count),), kind), rows)
    values["LastStep"], values["LastSlot"] = count, table.slots - 1
    values["CycleTime_ms"] = table.cycle
    for name, bounds in (
        ("Standing", slots),
        ("Age", slots),
        ("CarrierAt", stations),
        ("PlaceFreeAt", stations),
        ("LoadReleasedAt", stations),
    ):
        values[name] = Array(ArrayType(bounds, other.types[name].of))
    return other


def _literal(text: str) -> int | bool:
    return text == "TRUE" if text in ("TRUE", "FALSE") else int(text)


def plant(line: str) -> Plant:
    """A line switched on and empty, its function block in control."""
    make, unit, _, hostile = LINES[line]
    problem, _ = solved(make, hostile)
    return Plant(_machine(line).fresh(), problem, table_of(make, unit, hostile))


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
