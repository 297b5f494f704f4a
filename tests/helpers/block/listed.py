"""Lists run once before a cycle: tables of them, plants to run them, what they should do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache

import hoistopt
from hoistopt.exports import SequencerTable, programme_table
from hoistopt.exports.readback.once import check_list
from hoistopt.problem import Problem
from hoistopt.schedule import LineState, Programme, Schedule
from tests.helpers.block.block_model import Model
from tests.helpers.block.plant import Carrier, Plant
from tests.helpers.block.sequenced import refitted, solved


def filling(problem: Problem, schedule: Schedule, cycles: int, unit: str = "ms") -> SequencerTable:
    """So many cycles from the empty line on as a list, then the cycle."""
    programme = hoistopt.unroll(schedule, cycles, run_out=False)
    joins = cycles * schedule.time(schedule.cycle)
    return programme_table(problem, programme, then=schedule, joins=joins, unit=unit)


@cache
def filled_by(make: Callable[..., Problem], cycles: int, unit: str = "ms") -> SequencerTable:
    return filling(*solved(make), cycles, unit)


def list_plant(problem: Problem, table: SequencerTable) -> Plant:
    """A line and the block with such a table, the model beside it."""
    return Plant(refitted(table), problem, table, model=Model(table))


def planned_starts(problem: Problem, table: SequencerTable) -> list[tuple[int, int]]:
    """Step and start in ms of every move that the checker saw in its replay of the table."""
    ms, once = int(problem.seconds_per_unit * 1000), len(table.once)
    numbers = {name: number for number, name in table.stations}
    found = []
    for run in check_list(table, problem).runs:
        step, start = run.step, int(run.start * ms)
        if step > once:
            rest = Fraction(start, table.unit.milliseconds) - table.joins
            step = next(
                row.step
                for row in table.steps
                if (rest - row.start) % table.cycle == 0
                and (row.pick, row.place) == (numbers[run.source], numbers[run.target])
            )
        found.append((step, start))
    return found


def end_of_list(table: SequencerTable) -> int:
    return table.joins * table.unit.milliseconds


def stopped(
    problem: Problem, schedule: Schedule, cycles: int, moves: int
) -> tuple[SequencerTable, LineState]:
    """A line that fills, stopped after so many moves: what stands there, the rest as a list."""
    whole = hoistopt.unroll(schedule, cycles, run_out=False)
    seen = hoistopt.accepted_programme(problem, whole)
    at = seen.runs[moves - 1].end
    state = hoistopt.state_after(seen, at)
    assert state.hoist is not None and state.hoist.carries is None
    rate = whole.ticks_per_unit * 1000
    rest = (replace(step, start=int((whole.time(step.start) - at) * rate))
            for step in whole.steps[moves:])  # fmt: skip
    programme = Programme(rate, tuple(rest))
    joins = cycles * schedule.time(schedule.cycle) - at
    return programme_table(problem, programme, state, schedule, joins), state


def stand(plant: Plant, state: LineState, problem: Problem) -> None:
    """Let carriers stand in a plant as a state has them, and preset the block with them."""
    table = plant.table
    numbers = {name: number for number, name in table.stations}
    ms = Fraction(problem.seconds_per_unit) * 1000
    listed = []
    for entry in state.standing:
        station = problem.station_by_name[entry.station]
        if entry.recipe is None or station.loads or station.unloads:
            continue
        recipe = table.recipes.index(entry.recipe) + 1
        age = int(entry.stood.least * ms)
        number = numbers[entry.station]
        plant.standing[number].append(Carrier(-age, None, recipe, entry.stage))
        listed.append((number, recipe, entry.stage, age))
    assert state.hoist is not None
    plant.at = numbers[state.hoist.station]
    names = ("PresetStation", "PresetRecipe", "PresetStage", "PresetAge_ms")
    plant.reset = True
    plant.preset = {"Preset": True, "PresetLoads": len(listed)} | {
        name: {n: entry[place] for n, entry in enumerate(listed, start=1)}
        for place, name in enumerate(names)
    }
