"""The sequencer table: whole numbers, latest starts, feeding, numbers of stations."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import hoistopt
from hoistopt.base.errors import InputError
from hoistopt.checker import Refused, verify
from hoistopt.exports import SequencerTable, sequencer_table
from hoistopt.exports.readback.proof import as_exported, schedule_of
from hoistopt.exports.units import time_unit
from hoistopt.problem import Problem
from hoistopt.schedule import Step
from tests.helpers.block.sequenced import crowded, dryer, odd, returning, solved, table_of

pytestmark = pytest.mark.quick

CASES = [(dryer, "ds"), (dryer, "s"), (crowded, "s"), (returning, "ds"), (odd, "s")]
IDS = ["dryer ds", "dryer s", "crowded s", "returning ds", "odd s"]
ALL_CASES = pytest.mark.parametrize(("make", "unit"), CASES, ids=IDS)


# -- contents -------------------------------------------------------------------------


@ALL_CASES
def test_checker_accepts_the_whole_numbers_with_the_exported_windows(make: Any, unit: str) -> None:
    problem, _ = solved(make)
    table = table_of(make, unit)
    schedule = schedule_of(problem, table)
    assert all(verify(line, schedule) == () for line in (problem, as_exported(problem, table)))
    for step in table.steps:
        for time in (step.start, step.latest, step.alarm, step.least, step.most, step.drip):
            assert time is None or type(time) is int


def test_whole_starts_stay_as_they_are() -> None:
    _, schedule = solved(dryer)
    table = table_of(dryer, "ds")
    assert [step.start for step in table.steps] == [step.start for step in schedule]
    assert table.cycle == schedule.cycle
    fine = table_of(dryer, "ms")
    assert [step.start for step in fine.steps] == [100 * step.start for step in schedule]


def test_feeding_is_what_the_solver_planned() -> None:
    _, schedule = solved(crowded)
    table = table_of(crowded, "s")
    for row, step in zip(table.steps, schedule, strict=True):
        assert (row.load, row.stage) == (step.load, step.stage)
        if row.fed_by is None:
            assert step.stage == 0
            continue
        before = table.steps[row.fed_by - 1]
        assert before.feeds == row.step
        assert before.place == row.pick
        assert (before.load, before.stage + 1) == (row.load, row.stage)
        assert row.boundaries == step.boundaries
    assert table.slots == 3


def test_windows_and_drips_are_rounded_to_the_safe_side() -> None:
    table = table_of(crowded, "s")  # 240.4 to 290 with a drip of 2.7; 12 to 40.6
    hot, rinse = (
        next(s for s in table.steps if (s.recipe, s.stage) == k) for k in ((1, 1), (2, 2))
    )
    assert (hot.least, hot.most, hot.drip) == (241, 290, 3)
    assert (rinse.least, rinse.most, rinse.drip) == (12, 40, 0)


def test_the_schedule_grants_what_is_rounded_up() -> None:
    # By hand: minimum dwell 31 after a move of 10.5 is 42 in whole seconds, where 30.5 would be
    # 41; then a drip of 3, not 2.2, with 8.3 and 5 back makes 58.3: a cycle of 59, where 56.5
    # is least, and 58 would do for the drip as it is.
    _, schedule = solved(odd)
    assert schedule.cycle_time == 56.5
    table = table_of(odd, "s")
    into, out = table.steps
    assert (out.start - into.start, out.least, out.drip, table.cycle) == (42, 31, 3, 59)


@pytest.mark.parametrize(("stay", "waits"), [(47, True), (49, False)])
def test_a_place_cleared_while_the_carrier_is_on_its_way_is_not_waited_for(
    stay: int, waits: bool
) -> None:
    # By hand: set down 11.3 after lifting, every 59; with a stay of more than 47.7 the place is
    # still taken when the next carrier is lifted, but free when it comes.
    data = odd().to_data()
    data["station"][2]["min_occupation"] = stay
    problem = Problem.from_data(data)
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    table = sequencer_table(problem, schedule, "s")
    assert table.cycle == 59
    assert [step.wait_target_empty for step in table.steps] == [True, waits]


def test_wait_conditions_follow_the_stations() -> None:
    table = table_of(crowded, "s")
    to_buffer = [s for s in table.steps if dict(table.stations)[s.place] == "Out"]
    assert to_buffer
    assert not any(s.wait_target_empty for s in to_buffer)
    assert all(s.wait_target_empty for s in table.steps if s not in to_buffer)
    assert [s.wait_source_dwell for s in table.steps] == [s.fed_by is not None for s in table.steps]


def test_a_bare_table_of_moves_will_do() -> None:
    problem, schedule = solved(crowded)
    bare = replace(
        schedule,
        steps=tuple(Step(s.start, s.source, s.target, recipe=s.recipe) for s in schedule),
    )
    assert sequencer_table(problem, bare, "s").steps[1:] == table_of(crowded, "s").steps[1:]


def test_a_schedule_the_checker_refuses_is_not_exported() -> None:
    problem, schedule = solved(dryer)
    late = replace(schedule.steps[1], start=schedule.steps[1].start + 300)
    wrong = replace(schedule, steps=(schedule.steps[0], late, *schedule.steps[2:]))
    with pytest.raises(Refused, match="refuses") as caught:
        sequencer_table(problem, wrong)
    assert not caught.value.replay.clean


# -- latest start and alarm limit -------------------------------------------------------


@ALL_CASES
def test_latest_start_is_the_last_that_passes(make: Any, unit: str) -> None:
    problem, _ = solved(make)
    table = table_of(make, unit)
    line, schedule = as_exported(problem, table), schedule_of(problem, table)
    for number, row in enumerate(table.steps):

        def passes(start: int, number: int = number) -> bool:
            steps = list(schedule.steps)
            steps[number] = replace(steps[number], start=start)
            return hoistopt.replay(line, replace(schedule, steps=tuple(steps))).clean

        last = min(row.latest, table.cycle - 1)
        assert all(passes(start) for start in range(row.start, last + 1))
        assert last == table.cycle - 1 or not passes(last + 1)


@ALL_CASES
def test_latest_start_lies_between_planned_start_and_alarm_limit(make: Any, unit: str) -> None:
    for step in table_of(make, unit).steps:
        assert step.start <= step.latest
        assert step.alarm is None or step.alarm >= step.latest
        assert step.clock_limit >= step.latest or step.clock_limit == step.alarm
        assert step.lasting_limit is None or step.lasting_limit >= (step.alarm or 0)


def test_no_alarm_limit_where_no_load_has_a_maximum_dwell() -> None:
    data = dryer().to_data()
    for stage in data["recipe"][0]["stage"]:
        stage.pop("max", None)
    problem = Problem.from_data(data)
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    table = sequencer_table(problem, schedule)
    assert {(step.alarm, step.most) for step in table.steps} == {(None, None)}


# -- numbers of the stations --------------------------------------------------------------


def numbers(table: SequencerTable) -> dict[str, int]:
    return {name: number for number, name in table.stations}


def test_stations_are_numbered_as_asked() -> None:
    data = dryer().to_data()
    moved = [{**station} for station in data["station"]]
    moved[1]["position"], moved[2]["position"] = moved[2]["position"], moved[1]["position"]
    problem = Problem.from_data({**data, "station": moved})
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    names = [station.name for station in problem.stations]
    by_list = sequencer_table(problem, schedule)
    assert numbers(by_list) == {name: n for n, name in enumerate(names)}
    along = sequencer_table(problem, schedule, "ms", "track", 1)
    assert list(numbers(along)) == [names[0], names[2], names[1], *names[3:]]
    assert list(numbers(along).values()) == [1, 2, 3, 4, 5]
    own = {name: 70 - 3 * n for n, name in enumerate(names)}
    table = sequencer_table(problem, schedule, "ms", own)
    assert numbers(table) == own
    for row, step in zip(table.steps, schedule, strict=True):
        assert (row.pick, row.place) == (own[step.source], own[step.target])
    for other in (by_list, along):
        assert [s.start for s in other.steps] == [s.start for s in table.steps]


@pytest.mark.parametrize(
    ("stations", "first", "named"),
    [
        ({"Bench": 1}, 0, "Wash"),
        ({"Bench": 1, "Bath": 2}, 0, "Bath"),
        ({"Bench": 1, "Wash": 1, "Rinse": 2, "Passivate": 3, "Dryer": 4}, 0, "Bench"),
        ({"Bench": -1, "Wash": 1, "Rinse": 2, "Passivate": 3, "Dryer": 4}, 0, "-1"),
        ({"Bench": 10_000, "Wash": 1, "Rinse": 2, "Passivate": 3, "Dryer": 4}, 0, "9999"),
        ("alphabet", 0, "alphabet"),
        ("list", -1, "-1"),
        ("list", 9996, "9996"),
        ("list", True, "True"),
    ],
)
def test_wrong_numbers_are_refused(stations: Any, first: int, named: str) -> None:
    with pytest.raises(InputError, match=named):
        sequencer_table(*solved(dryer), "ms", stations, first)


def test_the_order_along_the_track_needs_positions() -> None:
    data = dryer().to_data()
    data["station"] = [*data["station"], {"name": "Store", "kind": "park"}]
    problem = Problem.from_data(data)
    _, schedule = solved(dryer)
    with pytest.raises(InputError, match="Store"):
        sequencer_table(problem, schedule, "ms", "track")


@pytest.mark.parametrize("unit", ["", "us", "hours", "MS", 1, None])
def test_unknown_units_are_refused(unit: Any) -> None:
    with pytest.raises(InputError, match="ds"):
        time_unit(unit)


def test_a_window_without_a_whole_unit_is_named() -> None:
    with pytest.raises(InputError, match=r'recipe "Dials", stage 3, max = 85.*finer'):
        sequencer_table(*solved(returning), "min")
