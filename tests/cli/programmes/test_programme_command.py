"""`hoistopt verify` of programmes: exit codes, files, and what it says."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import hoistopt
from hoistopt.app.verify import verify_programme
from hoistopt.base.text import json_text
from tests.helpers.command import CAUTION, Run, last_lines

# Wash from 90 to 150, by the problem file; Wash to Passivate and on as the recipe has it.
STATE = """
[hoist]
station = "Wash"
free_in = 0
[[standing]]
station = "Wash"
recipe = "Cases"
stage = 1
stood = [95, 140]
"""
REST = "# programme\nstart,from,to\n10,Wash,Passivate\n160,Passivate,Rinse\n"


@pytest.fixture
def files(run: Run) -> Run:
    problem = hoistopt.load_problem("line.toml")
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    answer = verify_programme(problem, hoistopt.unroll(schedule, 3))
    Path("programme.csv").write_text(answer.csv())
    Path("programme.json").write_text(json_text(answer.document()))
    Path("state.toml").write_text(STATE)
    Path("rest.csv").write_text(REST)
    return run


@pytest.mark.quick
@pytest.mark.parametrize("name", ["programme.csv", "programme.json"])
def test_what_is_written_of_a_programme_is_read_back_and_clean(files: Run, name: str) -> None:
    code, out, err = files("verify", "line.toml", name, "--json", "out.json")
    assert (code, err) == (0, "")
    assert "Clean: a programme of 15 moves, replayed from an empty line" in out
    assert CAUTION in last_lines(out)
    again = json.loads(Path("out.json").read_text())
    first = json.loads(Path("programme.json").read_text())
    assert again["status"] == "verified" and again["moves"] == first["moves"]
    assert [row["out"] for row in again["loads"]] == [545.2, 779.2, 1013.2]
    assert again["finish"] == 1013.2


def test_dwells_stand_beside_min_and_max_in_csv_and_json(files: Run) -> None:
    lines = [x for x in Path("programme.csv").read_text().splitlines() if x[0] not in '#"']
    first, wash = lines[0].split(","), lines[2].split(",")
    row = dict(zip(first, wash, strict=True))
    assert (row["min_dwell_s"], row["max_dwell_s"]) == ("90", "150")
    assert 90 <= float(row["dwell_low_s"]) == float(row["dwell_high_s"]) <= 150
    moves = json.loads(Path("programme.json").read_text())["moves"]
    assert moves[1]["dwell_low"] == moves[1]["dwell_high"] == float(row["dwell_low_s"])
    assert not {key for key in (*first, *moves[1]) if "least" in key or "most" in key}


@pytest.mark.quick
def test_one_tick_short_is_refused_and_named(files: Run) -> None:
    text = Path("programme.csv").read_text()
    row = next(row for row in text.splitlines() if row.startswith("15,"))
    start = float(row.split(",")[1])
    Path("programme.csv").write_text(text.replace(row, row.replace(str(start), str(start - 30))))
    code, out, _ = files("verify", "line.toml", "programme.csv", "--json", "out.json")
    assert code == 1 and "Refused" in out and "Dryer, step" in out
    data = json.loads(Path("out.json").read_text())
    assert data["status"] == "refused" and data["violations"][0]["rule"] == "window"
    assert "cycle" not in data["violations"][0] and "moves" not in data


def test_from_a_state_it_holds_for_the_whole_range_of_doubt(files: Run) -> None:
    code, out, _ = files("verify", "line.toml", "rest.csv", "--state", "state.toml")
    assert code == 0 and "from the state given" in out
    assert "In the line yet when the programme ends" in out and "load 1" in out
    Path("rest.csv").write_text(REST.replace("10,Wash", "10.1,Wash"))
    code, out, _ = files("verify", "line.toml", "rest.csv", "--state", "state.toml")
    assert code == 1 and "105.1 to 150.1" in out


def test_without_its_state_there_is_nothing_to_lift(files: Run) -> None:
    code, out, _ = files("verify", "line.toml", "rest.csv")
    assert code == 1 and "no load to lift" in out
    assert "found in the programme, replayed from an empty line." in " ".join(out.split())


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["rest.csv", "--state", "none.toml"], "none.toml: expected a file"),
        (["rest.csv", "--state", "rest.csv"], "--state = rest.csv: expected a state of the line"),
        (["rest.csv", "--cycles", "3"], "--cycles = 3"),
        (["state.toml", "--state", "state.toml"], "state.toml"),
        (["rest.csv", "--state", "state.toml", "--json", "state.toml"], "--json"),
    ],
)
def test_bad_input_is_one_line(files: Run, arguments: list[str], said: str) -> None:
    code, out, err = files("verify", "line.toml", *arguments)
    assert code == 2 and out == ""
    assert said in err and len(err.splitlines()) == 1


def test_a_load_that_has_stood_too_long_is_named(files: Run) -> None:
    Path("state.toml").write_text(STATE.replace("[95, 140]", "160"))
    code, out, _ = files("verify", "line.toml", "rest.csv", "--state", "state.toml")
    assert code == 1 and "too long" in out


def test_a_tank_that_no_load_needs_any_more_lets_the_line_run_out(files: Run) -> None:
    """The load in the line is past Wash, or in it; an order, or a stage to come, needs its tank."""
    asked = ("plan", "line.toml", "--state", "state.toml", "--time-limit", "2", "--out-of-service")
    code, out, _ = files(*asked, "Wash", "--csv", "out.csv")
    assert code == 0 and "All is done" in out
    assert files("verify", "line.toml", "out.csv", "--state", "state.toml")[0] == 0
    Path("one.csv").write_text("recipe\nCases\n")
    for words in (("Passivate",), ("Wash", "--orders", "one.csv")):
        code, _, err = files(*asked, *words)
        assert code == 2 and "expected a station in service" in err


def test_a_programme_is_drawn_from_its_state(files: Run) -> None:
    code, out, err = files("draw", "line.toml", "rest.csv", "rest.svg", "--state", "state.toml")
    assert (code, err) == (0, "") and "Wrote rest.svg" in out
    assert "<svg" in Path("rest.svg").read_text()
    assert files("draw", "line.toml", "rest.csv", "other.svg")[0] == 1
    assert not Path("other.svg").exists()
    assert 'id="stamp"' not in Path("rest.svg").read_text()
    assert files("draw", "line.toml", "programme.csv", "programme.png")[0] == 0
    assert Path("programme.png").read_bytes().startswith(b"\x89PNG")
