"""The command adherence, from end to end."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

import hoistopt
from tests.helpers.command import CAUTION, Run, last_lines
from tests.helpers.logs.hoist_logs import Machine, log_text, moves_of
from tests.helpers.shown.csv_files import csv_table

pytest.importorskip("polars")


@pytest.fixture
def plan(run: Run) -> hoistopt.Schedule:
    """The schedule of the line, in `moves.csv`; and `log.csv`, a log with a few faults."""
    code, *_ = run("solve", "line.toml", "--degree", "1", "--csv", "moves.csv", "--show", "least",
                   "--workers", "1", "--quiet")  # fmt: skip
    assert code == 0
    line = hoistopt.load_problem("line.toml")
    schedule = hoistopt.read_moves("moves.csv", line)
    named = hoistopt.named_schedule(hoistopt.replay(line, schedule).plan)
    late = Machine(line, late=lambda number: {30: 25.0, 61: 2000.0}.get(number, 0.0))
    made = list(late.runs(moves_of(line, named, 24)))
    made.remove(next(move for move in made[40:] if move.source == "Passivate"))
    Path("log.csv").write_text(log_text(made))
    return schedule


def test_deviations_costs_and_drift_are_told(run: Run, plan: hoistopt.Schedule) -> None:
    code, out, err = run(
        "adherence", "line.toml", "moves.csv", "log.csv", "--json", "out.json", "--csv", "out.csv",
        "--diagram", "out.svg", "--workbook", "out.xlsx", "--late", "10 s",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert "What each step costs" in out and CAUTION in last_lines(out)
    assert "1 stop" in out and "Cycle time made" in out
    data = json.loads(Path("out.json").read_text())
    assert data["stops"] == 1 and data["lost_in_stops"] == pytest.approx(2000, abs=60)
    assert sum(step["late"] for step in data["steps"]) == 1
    assert data["late_at_end"] == pytest.approx(2025, abs=60)
    (stood,) = (each for each in data["deviations"] if each["why"] == "a load stood there")
    rows = csv_table(Path("out.csv").read_text())
    assert len(rows) == data["logged_moves"]
    assert (
        stood["move"].startswith("Passivate") and [row["stop"] for row in rows].count("stop") == 1
    )
    assert Path("out.svg").read_text().startswith("<?xml")
    assert Path("out.xlsx").read_bytes()[:2] == b"PK"
    # Times without a zone are shown as they stand in the log.
    assert "+00:00" in rows[0]["time"]
    Path("bare.csv").write_text(Path("log.csv").read_text().replace("+00:00", ""))
    code, out, _ = run("adherence", "line.toml", "moves.csv", "bare.csv", "--csv", "bare_out.csv")
    assert code == 0 and "+00:00" not in out + Path("bare_out.csv").read_text()


def test_a_programme_is_held_against_its_log(run: Run, plan: hoistopt.Schedule) -> None:
    line = hoistopt.load_problem("line.toml")
    programme = hoistopt.unroll(hoistopt.named_schedule(hoistopt.replay(line, plan).plan), cycles=3)
    rows = ["# programme", "start,from,to,recipe,load,stage"]
    rows += [
        f"{float(programme.time(s.start))},{s.source},{s.target},{s.recipe},{s.load},{s.stage}"
        for s in programme
    ]
    Path("once.csv").write_text("\n".join(rows) + "\n")
    moves = [
        (s.source, s.target, float(programme.time(s.start)), 0.0, s.load or 0) for s in programme
    ]
    made = list(Machine(line).runs(moves))
    late = [replace(m, start=m.start + 8 * (n > 6), end=m.end + 8 * (n > 6)) for n, m in
            enumerate(made)]  # fmt: skip
    Path("log.csv").write_text(log_text(late))
    code, _, _ = run("adherence", "line.toml", "once.csv", "log.csv", "--json", "out.json")
    data = json.loads(Path("out.json").read_text())
    assert code == 0 and data["in_turn"] == 15 and not data["deviations"]
    assert data["planned_cycle_time"] is None and data["cycles"] == []
    assert data["late_at_end"] == pytest.approx(8, abs=0.11)


WRONG = {
    "no log": (("moves.csv",), "LOG"),
    "no such log": (("moves.csv", "none.csv"), "none.csv"),
    "no such moves": (("none.csv", "log.csv"), "none.csv"),
    "a log of no words known": (("moves.csv", "other.csv"), "other.csv"),
    "a log of another line": (("moves.csv", "turned.csv"), "a log of this schedule"),
    "late worded": (("moves.csv", "log.csv", "--late", "soon"), "--late"),
    "an event without its meaning": (("moves.csv", "log.csv", "--event", "UP"), "--event"),
    "an event of no meaning": (("moves.csv", "log.csv", "--event", "UP=fly"), "fly"),
    "a station nobody knows": (("moves.csv", "log.csv", "--station", "1=Moon"), "Moon"),
    "a zone nobody knows": (("moves.csv", "log.csv", "--zone", "Mars/North"), "Mars/North"),
    "no such mapping": (("moves.csv", "log.csv", "--mapping", "none.toml"), "none.toml"),
    "over the log": (("moves.csv", "log.csv", "--csv", "log.csv"), "--csv"),
    "no such state": (("moves.csv", "log.csv", "--state", "none.toml"), "none.toml"),
    "a picture of no kind": (("moves.csv", "log.csv", "--diagram", "out.docx"), "--diagram"),
}


def test_what_is_wrong_is_one_line(run: Run, plan: hoistopt.Schedule) -> None:
    Path("other.csv").write_text("when,what\n1,2\n")
    text = Path("log.csv").read_text()
    turned = text.replace("lift", "lower?").replace("lower,", "lift,").replace("lower?", "lower")
    Path("turned.csv").write_text(turned)
    for wrong, (arguments, named) in WRONG.items():
        code, out, err = run("adherence", "line.toml", *arguments)
        assert (code, out) == (2, ""), wrong
        assert err.count("\n") == 1 and named in err, (wrong, err)


def test_refused_moves_are_no_plan(run: Run, plan: hoistopt.Schedule) -> None:
    rows = Path("moves.csv").read_text().replace(",234,", ",200,")
    Path("moves.csv").write_text(rows)
    code, out, _ = run("adherence", "line.toml", "moves.csv", "log.csv")
    assert (code == 1 and "Violation" in out) or "rule" in out
