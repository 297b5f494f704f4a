"""Programmes of several hoists: planned, written, read back, replayed and drawn."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Order
from hoistopt.app.plan import place, plan
from hoistopt.app.verify import verify_programme
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.show.programme.planned import PlannedAnswer
from hoistopt.show.report.ways import ways_once

LINE = "problems/several/two_hoists.toml"


@pytest.fixture(scope="module")
def answer() -> PlannedAnswer:
    return plan(LINE, [Order("Brackets", 2)], effort=Effort(30, 1))


def test_what_is_written_is_read_back_as_it_was(answer: PlannedAnswer, tmp_path: Path) -> None:
    made = answer.plan.programme
    assert made is not None and made.travels
    rows = answer.data_tables()[0]
    table, data = tmp_path / "made.csv", tmp_path / "made.json"
    with table.open("w", newline="") as file:
        file.write("# programme\n")
        csv.writer(file).writerows([rows.header, *rows.rows])
    data.write_text(json.dumps(answer.data(), default=float))
    problem = hoistopt.load_problem(LINE)
    for path in (table, data):
        back = hoistopt.read_programme(path, problem)
        assert [(back.time(s.start), s.hoist) for s in back] == [
            (made.time(s.start), s.hoist) for s in made
        ]
        assert {(t.start / back.ticks_per_unit, t.hoist, t.to) for t in back.travels} == {
            (t.start / made.ticks_per_unit, t.hoist, t.to) for t in made.travels
        }
        assert verify_programme(LINE, path).replay.finish == answer.plan.replay.finish  # type: ignore[union-attr]


def test_both_hoists_are_told_and_drawn(answer: PlannedAnswer) -> None:
    moves = answer.data()["moves"]
    assert {move["hoist"] for move in moves} == {"Upstream", "Downstream"}
    assert any("no anti-collision system" in text for text in answer.cautions())
    figure = answer.figure()
    assert figure is not None
    drawn = {line.get_gid() for line in figure.axes[0].lines}
    assert {"hoist 1", "hoist 2", "loaded", "empty", "waiting"} <= drawn


def test_travels_left_out_are_noticed(answer: PlannedAnswer) -> None:
    made = answer.plan.programme
    assert made is not None
    seen = hoistopt.replay_programme(
        answer.problem, hoistopt.Programme(made.ticks_per_unit, made.steps)
    )
    assert "clearance" in {violation.rule for violation in seen.violations}


STATE = """
[[hoist]]
name = "Upstream"
station = "Rinse 1"
position = 1.5
free_in = 9
carries = { recipe = "Brackets", stage = 1 }

[[hoist]]
name = "Downstream"
position = 12.25
free_in = 0

[[standing]]
station = "Zinc 1"
recipe = "Brackets"
stage = 5
stood = [200, 230]
"""


def test_a_line_of_several_hoists_runs_out_from_a_state(tmp_path: Path) -> None:
    """One hoist brings a load to the first rinse; another load has to leave the zinc."""
    path, problem = tmp_path / "state.toml", hoistopt.load_problem(LINE)
    path.write_text(STATE)
    state = hoistopt.read_state(path, problem)
    for name in ("again.toml", "again.json"):
        hoistopt.save_state(state, tmp_path / name, problem)
        assert hoistopt.read_state(tmp_path / name, problem) == state
    found = plan(LINE, [Order("Brackets", 1)], path, effort=Effort(20, 1)).plan
    assert found.status == "optimal" and found.replay is not None
    assert len(found.replay.out) == 3 and not found.replay.left
    made = found.programme
    assert made is not None
    first = next(step for step in made if step.hoist == "Upstream")
    assert made.time(first.start) >= 9
    held = replace(state.hoists[0], free_in=Between.of(90))
    late = replace(state, hoists=(held, state.hoists[1]))
    seen = hoistopt.replay_programme(problem, made, late)
    assert "hoist in two places" in {violation.rule for violation in seen.violations}


@pytest.mark.parametrize(
    ("wrong", "right", "expected"),
    [
        ('name = "Upstream"', 'name = "Middle"', "hoists of the line in track order"),
        ("position = 12.25", "position = 2", "at least 1.6"),
        ("free_in = 9", "free_in = 1", "at least the time that Upstream takes"),
        ("free_in = 0", "out_of_service = 1", "true or false"),
        ("free_in = 0", "free_in = -5", "a time of at least 0"),
        ("12.25\nfree_in = 0", "15.5\nout_of_service = true", "a place on the track"),
        ("free_in = 0", "out_of_service = true\nfree_in = 2", "stays where it is"),
        ("free_in = 9", "out_of_service = true", "no load on a hoist that is out of service"),
        ('station = "Rinse 1"\n', "", "the station where it is free next"),
    ],
)
def test_a_state_with_hoists_where_they_cannot_be_is_refused(
    wrong: str, right: str, expected: str, tmp_path: Path
) -> None:
    path = tmp_path / "state.toml"
    path.write_text(STATE.replace(wrong, right))
    with pytest.raises(InputError, match=expected):
        hoistopt.read_state(path, hoistopt.load_problem(LINE))


def test_a_state_of_one_hoist_is_refused_for_several() -> None:
    problem = hoistopt.load_problem(LINE)
    with pytest.raises(InputError, match="a table for each hoist"):
        hoistopt.plan(problem, (), LineState(hoist=HoistAt("Load", Between.of(0))))


def test_after_a_stop_loads_are_given_up_and_verify_takes_them_by_name_only(tmp_path: Path) -> None:
    """The zinc has a load for longer than it may have, and a hoist carries another one."""
    path, out = tmp_path / "state.toml", tmp_path / "recovery.json"
    path.write_text(STATE.replace("stood = [200, 230]", "stood = [900, 930]\nload = 4"))
    no = plan(LINE, (), path, effort=Effort(20, 1))
    assert no.outcome == "no" and any("--recover" in text for text in no.sentences())
    answer = plan(LINE, (), path, recover=True, effort=Effort(20, 1))
    assert answer.plan.recovery is not None and answer.plan.recovery.lost == (4,)
    assert answer.plan.status == "optimal" and any("LOST" in text for text in answer.cautions())
    out.write_text(json.dumps(answer.data(), default=float))
    with pytest.raises(hoistopt.ProgrammeRefused):
        verify_programme(LINE, out, path)
    assert verify_programme(LINE, out, path, lost=[4]).replay.clean


DEAD = """
[[hoist]]
name = "Upstream"
station = "Load"
free_in = 0

[[hoist]]
name = "Downstream"
position = 15
out_of_service = true

[[standing]]
station = "Pickle"
recipe = "Brackets"
stage = 3
stood = 60
"""


def test_the_hoist_that_is_left_empties_the_line_round_one_out_of_service(tmp_path: Path) -> None:
    """Where it stands leaves room at the unload station, or does not."""
    line, path, out = tmp_path / "line.toml", tmp_path / "state.toml", tmp_path / "out.json"
    line.write_text(Path(LINE).read_text().replace("\nto = 15", "\nto = 17"))
    path.write_text(DEAD)
    stuck = plan(line, (), path, effort=Effort(20, 1))
    assert stuck.outcome == "no"
    assert "takes load 1 from Passivate to Unload" in (stuck.plan.reason or "")
    path.write_text(DEAD.replace("position = 15", "position = 17"))
    problem = hoistopt.load_problem(line)
    state = hoistopt.read_state(path, problem)
    for name in ("again.toml", "again.json"):
        hoistopt.save_state(state, tmp_path / name, problem)
        assert hoistopt.read_state(tmp_path / name, problem) == state
    answer = plan(line, (), path, effort=Effort(20, 1))
    made = answer.plan.programme
    assert answer.plan.status == "optimal" and made is not None and not made.travels
    assert {step.hoist for step in made} == {"Upstream"}
    assert any("Out of service: Downstream at 17 m" in text for text in answer.cautions())
    out.write_text(json.dumps(answer.data(), default=float))
    assert verify_programme(line, out, path).replay.clean
    # As long as a line without that hoist takes.
    alone = hoistopt.load_problem(line).to_data()
    alone["hoist"] = {**alone["hoist"][0], "name": None}
    del alone["track"]
    at = HoistAt("Load", Between.of(0))
    one = hoistopt.plan(hoistopt.Problem.from_data(alone), (), LineState(state.standing, at))
    assert one.finish == answer.plan.finish
    assert answer.plan.replay is not None
    assert [one.get("out") for one in ways_once(answer.plan.replay)] == [None, True]
    # The checker takes no step, no travel and no place from it.
    moved = replace(made.steps[-1], hoist="Downstream")
    seen = hoistopt.replay_programme(problem, replace(made, steps=(*made.steps[:-1], moved)), state)
    assert any("out of service" in fault.message for fault in seen.violations)
    travel = hoistopt.Travel(made.steps[-1].start, "Downstream", state.hoists[1].position or 0)
    seen = hoistopt.replay_programme(problem, replace(made, travels=(travel,)), state)
    assert any("out of service" in fault.message for fault in seen.violations)
    near = replace(state.hoists[1], position=Fraction(15))
    seen = hoistopt.replay_programme(problem, made, replace(state, hoists=(state.hoists[0], near)))
    assert {fault.rule for fault in seen.violations} == {"clearance"}


def test_no_cycle_is_joined_with_a_hoist_out_of_service(tmp_path: Path) -> None:
    path, problem = tmp_path / "state.toml", hoistopt.load_problem(LINE)
    path.write_text(DEAD)
    cycle = hoistopt.Schedule(Fraction(10), 10, ())
    with pytest.raises(InputError, match="as the state has a hoist out of service"):
        hoistopt.plan(problem, (), hoistopt.read_state(path, problem), to=cycle)


def test_a_load_that_waits_is_placed_beside_what_is_promised_at_once(tmp_path: Path) -> None:
    path, problem = tmp_path / "state.toml", hoistopt.load_problem(LINE)
    path.write_text(STATE)
    state = hoistopt.read_state(path, problem)
    promised = hoistopt.plan(problem, (), state, effort=Effort(20, 1))
    assert promised.programme is not None and promised.finish is not None
    answer = place(LINE, promised.programme, [Order("Brackets", 1)], path)
    found = answer.plan
    assert found.programme is not None and found.replay is not None and found.replay.clean
    kept = [step for step in found.programme if step.load in found.promised]
    assert kept == list(promised.programme) and len(found.replay.out) == 3
    # Never out before a search for all of them says it can be.
    bound = hoistopt.plan(
        problem, [Order("Brackets", 1)], state, promised=promised.programme, effort=Effort(20, 1)
    )
    assert found.finish is not None and bound.finish is not None and bound.finish <= found.finish
    assert any("give way is planned anew" in text for text in answer.sentences())
