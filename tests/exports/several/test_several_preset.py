"""Blocks of several hoists that begin with loads in the line: at any step, with any loads."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from hoistopt.exports.several import SeveralTable
from hoistopt.problem import Problem
from tests.helpers.hoists.interleavings import Interleavings
from tests.helpers.hoists.several_blocks import machines, tables
from tests.helpers.hoists.several_plant import SeveralPlant
from tests.helpers.hoists.several_preset import Place, told
from tests.helpers.hoists.several_stories import story, unexplained
from tests.helpers.hoists.several_tables import drawn, example_table


def lines(seeds: range) -> list[tuple[Problem, SeveralTable]]:
    return [example_table(), *((problem, table) for _, problem, table in drawn(seeds))]


def test_at_any_step_of_a_full_line_all_goes_on_as_planned() -> None:
    """None late, none too close, no alarm, whichever step the operator says comes next."""
    for problem, table in lines(range(2)):
        for step in range(1, len(table.steps) + 1, 3):
            _goes_on_as_planned(problem, table, step)


@pytest.mark.long
def test_so_it_does_on_many_lines() -> None:
    for problem, table in lines(range(12)):
        for step in range(1, len(table.steps) + 1):
            _goes_on_as_planned(problem, table, step)


def _goes_on_as_planned(problem: Problem, table: SeveralTable, step: int) -> None:
    place, per = Place(table, step), table.unit.milliseconds
    loads = [(due.motion.step, max(0, place.stood(due))) for due in place.due()]
    soon = {due.motion.step for due in place.due() if place.stood(due) < 0}
    plant = SeveralPlant(problem, table, start=(step, loads, None))
    plant.run(table.cycle * per * 3 // 2)
    assert list(unexplained(plant)) == [], step
    # What is set down before its time stands longer than planned; nothing else does.
    assert {name for _, _, name in plant.alarms} <= soon
    assert plant.line["LostTime_ms"] == 0
    for now, hoist, number in plant.starts:
        motion = next(h for h in table.hoists if h.number == hoist).motions[number - 1]
        late = (now + plant.begun_at - motion.planned * per) % (table.cycle * per)
        # In a full line each has its load.
        assert late == 0, (step, now, hoist, number)


def test_nothing_in_the_stories_with_loads_at_first_is_unexplained() -> None:
    """Delays anywhere after such a start; the model must agree with every output of every call."""
    known = lines(range(3))
    for seed in range(2):
        plant, told = story(*known[seed % len(known)], seed, presets=True)
        assert list(unexplained(plant)) == [], (seed, told)
        assert plant.compared > 500


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(25))
def test_nothing_in_many_such_stories_is_unexplained(chunk: int) -> None:
    known = [example_table()] if not chunk % 5 else lines(range(24))[1:]
    for seed in range(2000 + 60 * chunk, 2060 + 60 * chunk):
        plant, told = story(*known[seed % len(known)], seed, presets=True)
        assert list(unexplained(plant)) == [], (seed, told)


@pytest.mark.quick
def test_from_wherever_they_begin_none_can_come_too_close_nor_wait_for_ever() -> None:
    """By trying every order of leaving and arriving; and every such state is one of those anyway.

    In none of them stand more loads of one step than the blocks have room for, though they count
    cycles only round.
    """
    _, problem, table = next(drawn(range(3, 9)))
    tried = Interleavings(problem, table, cycles=4)
    assert tried.all().states > 50
    states, most = tried.known, 0
    for step in range(1, len(table.steps) + 1):
        place = Place(table, step)
        first = tuple((place.made[h.number] + len(h.motions), False) for h in table.hoists)
        assert first in states, step
        seen = Interleavings(problem, table, cycles=3).all(first)
        assert not seen.too_close and not seen.stuck, step
    for state in states:
        place.made = {h.number: made for h, (made, _) in zip(table.hoists, state, strict=True)}
        steps = [due.key[0] for due in place.due()]
        most = max([most, *map(steps.count, steps)])
    assert 1 <= most <= table.slots


def test_of_what_is_said_of_each_hoist_only_what_can_be_is_taken() -> None:
    """All that can be reached when some are late, and nothing else near it."""
    _, problem, table = next(drawn(range(3, 9)))
    tried = Interleavings(problem, table, cycles=4)
    tried.all()
    counts = [len(hoist.motions) for hoist in table.hoists]
    numbers = [hoist.number for hoist in table.hoists]
    found = {True: 0, False: 0}
    for made in product(*(range(count, 2 * count + 1) for count in counts)):
        reached = tuple((number, False) for number in made) in tried.known
        vector = dict(zip(numbers, made, strict=True))
        place = Place(table, 1, vector)
        assert reached == (place.made == vector), made
        fault, hoist = _asked(table, 1, [], set(), {}, vector)
        assert (fault == 0) == reached and hoist in ((0,) if reached else numbers), made
        found[reached] += 1
    assert found[True] > 5 and found[False] > 5
    assert _asked(table, 1, [], set(), {"NextMotion": 99})[0] == 8


@pytest.mark.parametrize(
    ("change", "fault", "entry"),
    [
        ({"NextStep": 0}, 7, 0),
        ({"NextStep": 99}, 7, 0),
        ({"PresetLoads": 99}, 1, 0),
        ({"PresetStep": {2: 99}}, 2, 2),
        ({"PresetStep": {2: 1}}, 2, 2),  # lifts new loads
        ({"PresetAge_ms": {1: -1}}, 4, 1),
        ({"PresetStep": {1: 0}}, 2, 1),
        ("twice", 3, 2),
        ("none there", 5, 1),
        ("one more", 6, 0),
    ],
)
def test_what_cannot_be_is_said_and_nothing_moves(change: Any, fault: int, entry: int) -> None:
    _, table = example_table()
    loads = [(d.motion.step, 0) for d in Place(table, 4).due()]
    at = {table.steps[step - 1].start for step, _ in loads}
    over: dict[str, Any] = {}
    if change == "twice":
        loads[1] = loads[0]
    elif change == "none there":
        at.remove(table.steps[loads[0][0] - 1].start)
    elif change == "one more":
        at.add(table.steps[loads.pop()[0] - 1].start)
    else:
        over = change
    assert _asked(table, 4, loads, at, over) == (fault, entry)


def _given(table: SeveralTable, line: dict[str, Any], at: set[int]) -> dict[int, dict[str, Any]]:
    """By hoist: its inputs, with carriers at some stations."""
    numbers = [number for number, _ in table.stations]
    return {
        number: {
            "Table": variable, "Line": line, "CarrierAt": {n: n in at for n in numbers},
            "PlaceFreeAt": dict.fromkeys(numbers, True),
            "LoadReleasedAt": dict.fromkeys(numbers, 0),
        }
        for number, variable in tables(table).items()
    }  # fmt: skip


def _asked(
    table: SeveralTable,
    step: int,
    loads: list[tuple[int, int]],
    at: set[int],
    over: dict[str, Any],
    made: dict[int, int] | None = None,
) -> tuple[int, int]:
    """The fault that the blocks show, and the load meant; then they ask for nothing."""
    blocks, line = machines(table)
    given = _given(table, line, at)
    told(table, blocks, line, given, step, loads, over=over, made=made)
    shown = {(b.values["PresetFault"], b.values["PresetEntry"]) for b in blocks.values()}
    assert len(shown) == 1
    if line["PresetOk"]:
        return shown.pop()
    for number, block in blocks.items():
        block.call(**given[number], Reset=False, Elapsed_ms=5000, HoistIdle=True)
        assert not block.values["StartMove"] and not block.values["GoTo"]
    return shown.pop()


def test_what_is_told_ages_while_hoists_are_brought_to_their_places() -> None:
    """Nothing begins before all stand there; a load that is too young has the clock wait."""
    _, table = example_table()
    place = Place(table, 4)
    loads = [(due.motion.step, 0) for due in place.due()]
    blocks, line = machines(table)
    given = _given(table, line, {due.motion.start for due in place.due()})
    assert told(table, blocks, line, given, 4, loads, waits=7000) == 7000
    for due in place.due():
        step, cycle = due.key
        assert line["Age"][step, cycle % table.slots] == 7000
    shown = [block.values for block in blocks.values()]
    clocks = {values["Clock_ms"] + values["CycleNo"] * table.cycle for values in shown}
    begun = place.begins([(due, 7000) for due in place.due()])
    assert clocks == {begun}
    assert begun < place.begins(())
