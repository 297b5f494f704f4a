"""The command from end to end: what it prints, what it writes, how it ends."""

from __future__ import annotations

import json
from pathlib import Path

from tests.helpers.command import CAUTION, PROBLEMS, Run, last_lines
from tests.helpers.shown.csv_files import csv_table


def infeasible_line() -> str:
    """The line with loads heavier than the hoist may lift."""
    text = Path("line.toml").read_text()
    assert "payload" not in text
    return text.replace("[hoist]", "[hoist]\npayload = 10").replace(
        'name = "Cases"', 'name = "Cases"\nmass = 11'
    )


# -- solve -------------------------------------------------------------------------


def test_solve_shows_the_tables_the_proof_and_the_caution(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1")
    assert (code, err) == (0, "")
    for part in ("Steps of one cycle", "Dwell times", "Loads in process", "Passivate"):
        assert part in out
    assert "proved to be the least" in out
    assert CAUTION in last_lines(out)


def test_solve_agrees_with_the_published_optimum(run: Run) -> None:
    """521 s: Phillips and Unger (1976), AIIE Transactions 8(2), 219-225."""
    path = str(PROBLEMS / "phillips_unger_1976.toml")
    code, _, _ = run("solve", path, "--workers", "1", "--json", "out.json", "--quiet")
    data = json.loads(Path("out.json").read_text())
    assert (code, data["status"], data["cycle_time"]) == (0, "optimal", 521)
    assert data["lower_bound"] == 521


def test_files_of_a_solve_are_accepted_by_verify_and_draw(run: Run) -> None:
    outputs = ("--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg")
    code, out, _ = run("solve", "line.toml", "--workers", "1", *outputs)
    assert code == 0
    assert Path("out.svg").read_text().lstrip().startswith("<?xml")
    for name in ("out.json", "out.csv", "out.svg"):
        assert f"Wrote {name}" in out
    for moves in ("out.json", "out.csv"):
        code, out, err = run("verify", "line.toml", moves, "--json", "verified.json")
        assert (code, err) == (0, "")
        assert "Clean" in out
        assert "Below max" in out
        assert CAUTION in last_lines(out)
        assert json.loads(Path("verified.json").read_text())["status"] == "verified"
    code, out, _ = run("draw", "line.toml", "out.csv", "drawn.png")
    assert code == 0
    assert Path("drawn.png").read_bytes().startswith(b"\x89PNG")
    assert CAUTION in last_lines(out)


def test_json_on_stdout_is_nothing_but_json(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1", "--json", "-")
    assert code == 0
    assert json.loads(out)["status"] == "optimal"
    assert "proved to be the least" in err
    assert CAUTION in last_lines(err)


def test_csv_on_stdout_is_nothing_but_csv(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1", "--csv", "-")
    assert code == 0
    rows = csv_table(out)
    assert [row["from"] for row in rows].count("Bench") == 1
    assert CAUTION in last_lines(err)


def test_quiet_leaves_the_result_and_the_caution(run: Run) -> None:
    code, out, err = run("solve", "line.toml", "--workers", "1", "--quiet")
    assert (code, err) == (0, "")
    assert out.startswith("Cycle time ")
    assert len(out.splitlines()) <= 5
    assert CAUTION in last_lines(out)


def test_names_that_look_like_markup_are_printed_as_they_are(run: Run) -> None:
    text = Path("line.toml").read_text().replace('"Wash"', '"[red]Wash[/] :smile:"')
    Path("line.toml").write_text(text)
    code, out, _ = run("solve", "line.toml", "--workers", "1")
    assert code == 0
    assert "[red]Wash[/] :smile:" in out


def test_several_degrees_are_compared_by_mean_time_per_load(run: Run) -> None:
    """Invented line: at degree 2 two of the nickel tanks can be used, at degree 1 only one."""
    path = str(PROBLEMS / "parallel_tanks.toml")
    code, out, _ = run("solve", path, "--degree", "1-2", "--json", "out.json", "--quiet")
    assert code == 0
    assert "Degrees compared" in out
    data = json.loads(Path("out.json").read_text())
    assert data["degree"] == 2
    assert [other["degree"] for other in data["degrees"]] == [1, 2]
    first, second = (other["time_per_load"] for other in data["degrees"])
    assert second < 0.75 * first
    assert "at degree 2" in out


def test_a_line_without_a_schedule_answers_no_and_why(run: Run) -> None:
    Path("line.toml").write_text(infeasible_line())
    code, out, err = run("solve", "line.toml", "--json", "out.json", "--csv", "out.csv")
    assert (code, err) == (1, "")
    assert "No schedule of degree 1 exists" in out
    assert "payload" in out
    assert "Not written, as there is no schedule: out.csv" in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert (data["status"], data["moves"]) == ("infeasible", [])
    assert "payload" in data["reason"]
    assert not Path("out.csv").exists()


def test_the_json_alone_lets_anyone_check_the_windows(run: Run) -> None:
    """Dwell from starts and loaded times, with none of our code; all times here are exact."""
    run("solve", "line.toml", "--workers", "1", "--json", "out.json")
    data = json.loads(Path("out.json").read_text())
    windows = {"Wash": (90, 150), "Passivate": (120, 140), "Rinse": (40, 90), "Dryer": (180, 420)}
    by_stage = {move["stage"]: move for move in data["moves"]}
    assert sorted(by_stage) == [0, 1, 2, 3, 4]
    for stage in range(1, 5):
        move, before = by_stage[stage], by_stage[stage - 1]
        assert before["to"] == move["from"]
        set_down = before["start"] + before["loaded"]
        dwell = round((move["start"] - set_down) % data["cycle_time"], 6)
        least, most = windows[move["from"]]
        assert least <= dwell <= most
        assert dwell == move["dwell"]


def test_limits_are_min_and_max_in_json(run: Run) -> None:
    run("solve", "line.toml", "--workers", "1", "--json", "out.json")
    data = json.loads(Path("out.json").read_text())
    wash = next(row for row in data["dwells"] if row["stage"] == 1)
    assert (wash["min"], wash["max"]) == (90, 150)
    assert data["figures"]["in_process_min"] <= data["figures"]["in_process_max"]
    names = {key for part in (*data["dwells"], data["figures"]) for key in part}
    assert not {name for name in names if "least" in name or "most" in name}
