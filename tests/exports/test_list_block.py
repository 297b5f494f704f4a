"""The function block with a list run once, then the cycle, on a simulated line.

The plant knows the line's physics and windows and nothing of the plan. What it should have done
is the checker's replay of the table that was read back.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

import hoistopt
from hoistopt.base.errors import InputError
from hoistopt.problem import Problem
from hoistopt.schedule import Between
from tests.helpers.block.late_block import SELDOM, overstays, shown
from tests.helpers.block.listed import (
    end_of_list,
    filled_by,
    filling,
    list_plant,
    planned_starts,
    stand,
    stopped,
)
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import changed, crowded, dryer, returning, solved
from tests.helpers.command import PROBLEMS
from tests.reference.lines import FAMILIES

CASES = [(dryer, 1, "ms"), (dryer, 3, "ms"), (returning, 2, "ms"), (crowded, 2, "s")]
IDS = ["dryer 1", "dryer 3", "returning 2", "crowded 2"]


def running(make: Callable[..., Problem], cycles: int, unit: str = "ms") -> Plant:
    return list_plant(solved(make)[0], filled_by(make, cycles, unit))


def after_list(plant: Plant, cycles: int) -> int:
    """A time so many cycles after the list."""
    return end_of_list(plant.table) + cycles * plant.table.cycle * plant.table.unit.milliseconds


@pytest.mark.parametrize(("make", "cycles", "unit"), CASES, ids=IDS)
def test_runs_the_list_once_and_then_the_cycle_as_replayed(
    make: Callable[..., Problem], cycles: int, unit: str
) -> None:
    plant = running(make, cycles, unit)
    end = after_list(plant, 3)
    plant.run(end)
    wanted = [one for one in planned_starts(plant.problem, plant.table) if one[1] <= end]
    assert plant.started == wanted
    once = len(plant.table.once)
    assert [step for step, _ in plant.started[:once]] == list(range(1, once + 1))
    assert all(step > once for step, _ in plant.started[once:])
    for name in ("Late", "Alarm", "Overstay", "CarrierMissing"):
        assert not shown(plant, name)
    values = plant.machine.values
    assert not values["InList"] and not values["ListMissed"] and values["CycleNo"] == 3


def test_tells_that_the_list_is_under_way() -> None:
    plant = running(dryer, 2)
    plant.run(end_of_list(plant.table) // 2)
    assert plant.machine["InList"] and plant.machine["CycleNo"] == 0


def test_a_list_begins_with_what_stands_in_the_line() -> None:
    problem, schedule = solved(dryer)
    table, state = stopped(problem, schedule, 3, 7)
    fed_by_itself = [row for row in table.once if row.fed_by == row.step]
    assert len(fed_by_itself) == len(state.loads) == 3
    plant = list_plant(problem, table)
    stand(plant, state, problem)
    end = after_list(plant, 2)
    plant.run(end + table.once[0].approach)
    assert plant.machine["PresetOk"] and not plant.machine["PresetFault"]
    wanted = [one for one in planned_starts(problem, table) if one[1] <= end]
    started = plant.started[: len(wanted)]
    assert [step for step, _ in started] == [step for step, _ in wanted]
    # It is where the plan has it, so nothing waits but for a call.
    late = [now - then for (_, now), (_, then) in zip(started, wanted, strict=True)]
    assert min(late) >= 0 and max(late) <= plant.scan
    assert not overstays(plant) and not shown(plant, "Alarm")


@pytest.mark.parametrize(
    ("key", "value", "fault"),
    [("Recipe", 9, 3), ("Stage", 5, 3), ("Age_ms", -1, 4), ("Station", 77, 2), ("Station", 2, 5)],
)
def test_a_preset_that_is_not_what_the_list_begins_with(key: str, value: int, fault: int) -> None:
    problem, schedule = solved(dryer)
    table, state = stopped(problem, schedule, 3, 7)
    plant = list_plant(problem, table)
    stand(plant, state, problem)
    assert plant.preset is not None
    plant.preset[f"Preset{key}"][1] = value
    plant.run(20_000)
    values = plant.machine.values
    assert (values["PresetFault"], values["PresetEntry"]) == (fault, 1) and not plant.started


def test_a_carrier_that_the_preset_of_a_list_does_not_name() -> None:
    problem, schedule = solved(dryer)
    table, state = stopped(problem, schedule, 3, 7)
    plant = list_plant(problem, table)
    stand(plant, state, problem)
    assert plant.preset is not None
    plant.preset["PresetLoads"] = 2
    plant.run(20_000)
    assert plant.machine["PresetFault"] == 6 and not plant.started


# -- delays --------------------------------------------------------------------------------

SHORT, LONG = 4_000, 45_000


@pytest.mark.parametrize("more", [SHORT, LONG])
@pytest.mark.parametrize("number", [1, 3, 6, 9, 12])
def test_after_a_stuck_move_no_load_is_out_of_window_without_an_alarm(
    number: int, more: int
) -> None:
    plant = running(dryer, 3)
    plant.scan = SELDOM
    plant.slower = lambda now, _: more if len(plant.started) == number else 0
    plant.run(after_list(plant, 4))
    assert len(plant.started) > len(plant.table.once) + 10
    late = [stay for stay in plant.stays if stay.too_long]
    if more == SHORT:
        assert not late
    for stay in late:
        raised = [alarm for alarm in plant.alarms if alarm[1:] == (stay.station, stay.step)]
        assert raised and raised[-1][0] < stay.until, stay
    # Only loads that stood in a tank when the hoist was stuck, once each; then all is well.
    tail = plant.stays[-8:]
    assert not any(stay.too_long for stay in tail)


def test_every_minimum_dwell_is_waited_for_in_the_list() -> None:
    plant = running(dryer, 3)
    row = next(row for row in plant.table.once if row.stage == 1)
    # The table asks for more than the plan gives: the step waits, so the clock goes back.
    changed(plant.machine, row.step, MinDwell_ms=row.least + 9_000)
    plant.model = None
    plant.run(end_of_list(plant.table))
    first = next(stay for stay in plant.stays if stay.step == row.step)
    assert 0 <= first.dwell - row.least - 9_000 <= plant.scan


def test_while_enable_is_false_nothing_moves_and_all_goes_on_after() -> None:
    since, until = 300_000, 306_000
    plant = running(dryer, 3)
    plant.enable = lambda now: not since <= now < until
    plant.events = (since, until)
    plant.run(after_list(plant, 3))
    assert not [now for _, now in plant.started if since <= now < until]
    assert not overstays(plant)
    assert [step for step, _ in plant.started[:11]] == list(range(1, 12))


def test_a_held_clock_makes_the_list_wait_and_dwells_go_on() -> None:
    since, until = 250_000, 253_000
    plant = running(dryer, 3)
    plant.hold = lambda now: since <= now < until
    plant.events = (since, until)
    end = after_list(plant, 2)
    plant.run(end)
    undisturbed = running(dryer, 3)
    undisturbed.run(end)
    later = [now - then for (_, now), (_, then) in zip(plant.started, undisturbed.started,
                                                      strict=False)]  # fmt: skip
    # The clock stands at calls, a scan apart at most.
    assert later[0] == 0 and abs(later[-1] - (until - since)) <= plant.scan
    assert later == sorted(later)
    assert not overstays(plant)


def test_an_empty_line_waits_for_the_first_load_of_the_list() -> None:
    plant = running(dryer, 2)
    plant.release = lambda now: now >= 900_000
    plant.events = (900_000,)
    end = after_list(plant, 1)
    plant.run(900_000 + end)
    planned = [one for one in planned_starts(plant.problem, plant.table) if one[1] <= end]
    assert plant.started == [(step, start + 900_000) for step, start in planned]
    assert not plant.machine["ListMissed"]


def test_a_load_that_does_not_come_in_time_is_left_out_with_its_steps() -> None:
    plant = running(dryer, 3)
    second = next(row for row in plant.table.once[1:] if row.fed_by is None)
    since, until = second.start - 1, second.clock_limit + 1
    plant.release = lambda now: not since <= now < until
    plant.events = (since, until)
    plant.run(after_list(plant, 2))
    gone, row = [], second
    while True:
        gone.append(row.step)
        if row.feeds is None or row.feeds > len(plant.table.once):
            break
        row = plant.table.rows[row.feeds - 1]
    made = [step for step, _ in plant.started]
    assert not set(gone) & set(made)
    assert plant.machine["ListMissed"] == 1 and not overstays(plant)
    assert [step for step in made if step <= len(plant.table.once)] == [
        row.step for row in plant.table.once if row.step not in gone
    ]


def test_a_load_a_little_late_is_still_taken() -> None:
    plant = running(dryer, 3)
    second = next(row for row in plant.table.once[1:] if row.fed_by is None)
    assert second.latest < second.start + 5_000 < second.clock_limit - second.approach
    since, until = second.start - 1, second.start + 5_000
    plant.release = lambda now: not since <= now < until
    plant.events = (since, until)
    plant.run(after_list(plant, 2))
    assert plant.machine["ListMissed"] == 0 and not overstays(plant)
    assert [step for step, _ in plant.started[:11]] == list(range(1, 12))


def test_a_table_whose_list_is_as_long_as_all_steps_is_refused() -> None:
    plant = running(dryer, 1)
    plant.model = None
    plant.machine.values["Table"]["ListSteps"] = plant.machine.values["Table"]["LastStep"]
    plant.run(1000)
    assert plant.machine["TableFault"] == 1 and not plant.started


def test_a_list_changed_while_it_runs_stops_the_block() -> None:
    plant = running(dryer, 2)
    plant.run(200_000)
    plant.model = None
    plant.machine.values["Table"]["ListTime_ms"] += 1
    plant.run(210_000)
    assert plant.machine["TableFault"] == 4


# -- lists that were planned -------------------------------------------------------------


def test_a_changeover_runs_once_and_goes_over_into_the_other_cycle() -> None:
    both = hoistopt.load_problem(PROBLEMS / "mixed_recipes.toml")
    cycles = []
    for recipe in both.recipes:
        line = Problem.from_data({**both.to_data(), "cycle": {"mix": {recipe.name: 1}}})
        schedule = hoistopt.solve(line, workers=1, seed=0).schedule
        assert schedule is not None
        cycles.append((line, schedule))
    # A preset lists what stands: the hoist has just set down what it carried.
    line, first = cycles[0]
    run = hoistopt.replay(line, first).runs[-1]
    state = hoistopt.state_in_cycle(line, first, run.end % first.time(first.cycle))
    assert state.hoist is not None and state.hoist.free_in == Between.of(0)
    plan = hoistopt.plan(both, (), state, to=cycles[1][1], time_limit=20)
    assert plan.programme is not None
    table = hoistopt.programme_table(both, plan.programme, state)
    assert {row.recipe for row in table.steps} == {2} and {1, 2} <= {r.recipe for r in table.once}
    plant = list_plant(both, table)
    stand(plant, state, both)
    end = after_list(plant, 3)
    plant.run(end)
    made = [step for step, _ in plant.started]
    wanted = [step for step, start in planned_starts(both, table) if start <= end]
    assert made == wanted[: len(made)] and len(made) >= len(wanted) - 1
    assert not overstays(plant) and not shown(plant, "Alarm")


def test_a_recovery_begins_with_times_in_doubt_and_goes_back_into_step() -> None:
    problem, schedule = solved(dryer)
    state = hoistopt.read_state(PROBLEMS / "days/stopped.toml", problem)
    plan = hoistopt.plan(problem, (), state, to=schedule, time_limit=20)
    assert plan.programme is not None
    table = hoistopt.programme_table(problem, plan.programme, state)
    # The wash of 40 to 70 s: whichever is true, and told, no window is left.
    for stood in (40, 55, 70):
        true = replace(
            state,
            standing=tuple(
                replace(entry, stood=Between.of(stood)) if not entry.stood.exact else entry
                for entry in state.standing
            ),
        )
        plant = list_plant(problem, table)
        stand(plant, true, problem)
        plant.run(after_list(plant, 2))
        assert plant.machine["PresetOk"] and not overstays(plant)
        assert not shown(plant, "Alarm") and len(plant.started) > len(table.once)


# -- random lines of every feature -----------------------------------------------------------

SEEDS = [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 8))]
"""More of them with `pytest --long`."""


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("family", FAMILIES)
def test_random_lines_fill_by_a_list_and_go_on_as_replayed(family: str, seed: int) -> None:
    line = FAMILIES[family](seed)
    try:
        schedule = hoistopt.solve(line.problem, line.degree, workers=1, time_limit=10).schedule
    except InputError:  # a window narrower than a tick
        return
    if schedule is None:
        return
    table = filling(line.problem, schedule, 1 + seed % 2)
    plant = list_plant(line.problem, table)
    end = end_of_list(table) + 2 * table.cycle
    plant.run(end)
    wanted = [one for one in planned_starts(line.problem, table) if one[1] < end]
    assert [one for one in plant.started if one[1] < end] == wanted
    assert not overstays(plant) and not shown(plant, "Alarm")
