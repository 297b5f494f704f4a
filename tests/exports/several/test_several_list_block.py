"""Blocks of several hoists that run a list once, until the line is empty, with delays."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, partial
from random import Random

import pytest

import hoistopt
from hoistopt import InputError, Order
from hoistopt.base.effort import Effort
from hoistopt.exports import SequencerStyle, several_text
from hoistopt.exports.several import SeveralTable
from hoistopt.exports.several.once import several_programme_table
from hoistopt.problem import Problem
from tests.helpers.hoists.several_model import TrackModel
from tests.helpers.hoists.several_plant import SeveralPlant
from tests.helpers.hoists.several_preset import begin_list, told
from tests.helpers.hoists.several_stories import unexplained_at_all
from tests.helpers.hoists.several_tables import drawn_lists
from tests.helpers.hoists.two_hoists_states import hoists_at, loads_inside, state_of
from tests.reference.several.several import draw


@cache
def example_lists() -> tuple[Problem, SeveralTable]:
    """A small line and its list."""
    _, problem, table = next(drawn_lists(range(1, 9)))
    return problem, table


@pytest.mark.parametrize("form", ["st", "xml"])
def test_what_a_program_says_of_a_list_is_accepted(form: str) -> None:
    problem, table = example_lists()
    text = several_text(problem, table, form, SequencerStyle("Line7"))
    assert "CAUTION" in text and "ListDone" in text


def span(table: SeveralTable) -> int:
    last = max(m.planned + m.lasts for hoist in table.hoists for m in hoist.once)
    return last * table.unit.milliseconds


def from_states(seeds: range) -> Iterator[tuple[Problem, SeveralTable, dict[int, int]]]:
    """Random lines with loads in the line, and for how long those have stood, by step, in ms."""
    for seed in seeds:
        rng = Random(f"list from a state {seed}")
        line = draw(seed)
        inside = loads_inside(line, rng, 0.7, partial(rng.randint, 0))
        state = state_of(inside, hoists_at(line, rng))
        try:
            problem = line.problem()
            made = hoistopt.plan(problem, [Order("Parts", 1)], state, effort=Effort(3, 1)).programme
            table = None if made is None else several_programme_table(problem, made, state)
        except InputError:  # as of other lines; or hoists too close to where they are first
            continue
        if table is None or not inside or not all(hoist.once for hoist in table.hoists):
            continue
        names, stood = dict(table.stations), {tank: time for _, tank, time in inside}
        first = [m for m in table.once if m.fed_by == m.step]
        yield problem, table, {m.step: stood[names[m.start]] * 1000 for m in first}


def _stand(plant: SeveralPlant, ages: dict[int, int]) -> None:
    """Loads stand when the list begins, and blocks and model are told."""
    lifted = {motion.step: motion for motion in plant.table.once}
    for step, age in ages.items():
        plant.standing[lifted[step].start].append((-age, step))
    given = {
        hoist.number: {
            name: value
            for name, value in plant._inputs(hoist).items()
            if name not in ("Enable", "HoistIdle", "HoistAt", "MoveDone")
        } | {"Table": hoist.table, "Line": plant.line}
        for hoist in plant.hoists
    }  # fmt: skip
    blocks = {hoist.number: hoist.machine for hoist in plant.hoists}
    told(plant.table, blocks, plant.line, given, 1, list(ages.items()))
    assert plant.line["Phase"] == 7, (plant.line["PresetFault"], plant.line["PresetEntry"])
    assert plant.twin is not None
    begin_list(plant.twin, list(ages.items()))


def run(
    problem: Problem, table: SeveralTable, seed: int | None, ages: dict[int, int] | None = None
) -> SeveralPlant:
    """The plant after a list, with delays drawn from a seed; None: without."""
    rng = Random(f"list {seed}")
    delays: dict[tuple[int, int, str], int] = {}
    for _ in range(0 if seed is None else rng.choice((1, 2, 4, 8))):
        hoist = rng.choice(table.hoists)
        phase = rng.choice(("rest", "lift", "way", "lower"))
        length = int(span(table) * rng.random() ** 3) + rng.randrange(3000)
        delays[hoist.number, rng.randrange(len(hoist.once)), phase] = length
    plant = SeveralPlant(
        problem,
        table,
        longer=lambda hoist, number, phase: delays.get((hoist, number, phase), 0),
        twin=TrackModel(table),
    )
    if ages:
        _stand(plant, ages)
    plant.run(2 * span(table) + sum(delays.values()) + 60_000)
    where = (seed, delays)
    assert list(unexplained_at_all(plant)) == [], where
    assert all(hoist.machine.values["ListDone"] for hoist in plant.hoists), where
    assert plant.line["LoadsInLine"] == 0 or any(
        hoist.machine.values["ListMissed"] for hoist in plant.hoists
    ), where
    assert plant.compared > 100
    return plant


def test_in_good_time_a_list_is_run_as_planned_and_then_nothing_moves() -> None:
    problem, table = example_lists()
    plant = run(problem, table, None)
    per, wanted = table.unit.milliseconds, []
    for hoist in table.hoists:
        wanted += [(m.planned * per, hoist.number, m.motion) for m in hoist.once]
    assert sorted(plant.starts) == sorted(wanted)
    assert not plant.alarms and plant.line["LostTime_ms"] == 0
    assert not any(hoist.machine.values["ListMissed"] for hoist in plant.hoists)


def test_nothing_in_the_stories_of_lists_is_unexplained() -> None:
    """None too close, none waits for ever, each overstay alarmed; the model shows the same."""
    lines = [(problem, table) for _, problem, table in drawn_lists(range(1, 4))]
    for seed in range(8):
        run(*lines[seed % len(lines)], seed)


def test_a_list_begins_with_the_loads_of_a_state() -> None:
    known = list(from_states(range(12)))
    assert len(known) >= 2
    for problem, table, ages in known[:3]:
        assert ages
        plant = run(problem, table, None, ages)
        assert not plant.alarms and plant.line["LostTime_ms"] == 0
        run(problem, table, 1, ages)


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(10))
def test_nothing_in_many_such_stories_is_unexplained(chunk: int) -> None:
    lines = [(problem, table) for _, problem, table in drawn_lists(range(1, 13))]
    for number, (problem, table, ages) in enumerate(
        from_states(range(20 * chunk, 20 * chunk + 20))
    ):
        run(problem, table, number, ages)
    for seed in range(1000 + 60 * chunk, 1060 + 60 * chunk):
        run(*lines[seed % len(lines)], seed)
