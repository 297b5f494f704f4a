"""The function block waits until a place has rested, also when the lifting before it was late."""

from __future__ import annotations

from functools import cache

import pytest

import hoistopt
from hoistopt.base.errors import InputError
from hoistopt.exports import SequencerTable, export_text, sequencer_table
from hoistopt.exports.readback import prove
from hoistopt.problem import Problem
from tests.helpers.block.block_model import Model
from tests.helpers.block.late_block import too_short
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import changed, refitted
from tests.helpers.command import PROBLEMS

LATE = 80_000
"""Milliseconds by which the hoist lifts a carrier late: more than the clock can be put back by."""


@cache
def made() -> tuple[Problem, SequencerTable]:
    problem = hoistopt.load_problem(PROBLEMS / "resting_tank.toml")
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    return problem, sequencer_table(problem, schedule, "ms")


def late_line(*, knows: bool = True) -> Plant:
    """The line when the carrier in the tank that rests is lifted late in the fourth cycle."""
    problem, table = made()
    running = Plant(refitted(table), problem, table, model=Model(table) if knows else None)
    tank = next(number for number, name in table.stations if name == "Hot degreaser")
    out = next(step for step in table.steps if step.pick == tank)
    into = next(step for step in table.steps if step.place == tank)
    if not knows:
        changed(running.machine, into.step, PlaceRest_ms=0)
    since = 3 * table.cycle + out.start
    running.hoist_ready = lambda now: not since <= now < since + LATE
    running.events = (since, since + LATE)
    running.run(10 * table.cycle)
    return running


def test_a_late_lifting_makes_the_next_carrier_wait_for_its_place() -> None:
    running = late_line()
    assert len(running.rested) >= 8
    assert all(empty >= least for _, empty, least in running.rested)
    assert min(empty - least for _, empty, least in running.rested) < 1000
    assert any(outputs["PlaceBlocked"] for _, outputs in running.seen)
    assert not too_short(running)


def test_a_block_without_the_rest_of_the_place_sets_carriers_down_too_soon() -> None:
    running = late_line(knows=False)
    assert any(empty < least for _, empty, least in running.rested)


@pytest.mark.parametrize("form", ["csv", "json", "st", "xml"])
def test_every_format_says_for_how_long_a_place_rests(form: str) -> None:
    problem, table = made()
    assert [step.rest > 0 for step in table.steps].count(True) == 1
    text = export_text(problem, table, form)
    prove(problem, table, text, form)
    rest = max(step.rest for step in table.steps)
    with pytest.raises(hoistopt.HoistoptError):
        prove(problem, table, text.replace(str(rest), str(rest - 1)), form)


def test_places_of_one_station_that_rest_cannot_be_told_apart_by_a_table() -> None:
    problem, _ = made()
    stations = [
        {**station, "capacity": 2} if station.get("min_rest") else station
        for station in problem.to_data()["station"]
    ]
    roomy = Problem.from_data({**problem.to_data(), "station": stations})
    schedule = hoistopt.solve(roomy, workers=1).schedule
    assert schedule is not None
    with pytest.raises(InputError, match='station "Hot degreaser", min_rest'):
        sequencer_table(roomy, schedule)
