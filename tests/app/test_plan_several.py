"""Programmes of several hoists: planned, written, read back, replayed and drawn."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

import hoistopt
from hoistopt import LineState, Order
from hoistopt.app.plan import plan
from hoistopt.app.verify import verify_programme
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.show.programme.planned import PlannedAnswer

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


def test_what_is_not_planned_yet_is_refused_in_a_line() -> None:
    state = LineState(hoist=hoistopt.HoistAt("Load", hoistopt.Between.of(0)))
    with pytest.raises(InputError, match="not planned from a state"):
        hoistopt.plan(hoistopt.load_problem(LINE), [Order("Brackets", 1)], state)
