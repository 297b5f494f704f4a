"""The commands robust, tradeoff and jitter, from end to end."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from hoistopt import jitter, load_problem, read_moves, robust, verify
from hoistopt.show.robust import aim_table
from tests.helpers.command import CAUTION, Run, last_lines, put_moves
from tests.helpers.lines.grouped import grouped
from tests.helpers.shown.csv_files import csv_table

SCATTER = "move times triangular 0.98 1 1.2"


def test_robust_writes_a_schedule_that_verifies(run: Run) -> None:
    code, out, err = run(
        "robust", "line.toml", "--within", "10%", "--aims", "float, travel", "--workers", "1",
        "--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert "Aims in order" in out
    assert "above the shortest of 234" in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert data["status"] == "optimal"
    assert [aim["name"] for aim in data["aims"]] == ["float", "travel", "cycle"]
    assert data["cycle_time"] <= 234 * 1.1
    assert data["shortest_cycle_time"] == 234
    assert len(data["limits"]) == len(data["moves"]) == 5
    for table in ("out.json", "out.csv"):
        assert run("verify", "line.toml", table)[0] == 0
    assert Path("out.svg").read_text().startswith("<?xml")


def test_robust_quietly_and_to_stdout(run: Run) -> None:
    code, out, err = run("robust", "line.toml", "--workers", "1", "--json", "-")
    assert code == 0
    assert json.loads(out)["aims"]
    assert CAUTION in last_lines(err)
    code, out, _ = run("robust", "line.toml", "--aims", "slack", "--workers", "1", "--quiet")
    assert "Dwell times" not in out
    assert "no longer than the shortest found" in out


def test_an_aim_is_proved_with_those_above_as_they_are(run: Run) -> None:
    """Proved outright only where those above are: else it is the best for what they came to."""
    problem = load_problem("line.toml")
    found = robust(problem, within=10, aims=["float", "travel"], workers=1)
    assert found.status == "optimal"
    open_first = replace(found, aims=(replace(found.aims[0], proven=False), *found.aims[1:]))
    proofs = [list(aim_table(problem, one).columns[-1].cells) for one in (found, open_first)]
    assert proofs[0] == ["proved the best"] * 3
    with_those = "proved the best with those above as they are"
    assert proofs[1] == ["best found in time", with_those, with_those]


def test_without_a_schedule_the_answer_is_no(run: Run) -> None:
    text = Path("line.toml").read_text()
    Path("none.toml").write_text(text + "\n[cycle]\nmax = 100\n")
    for command in ("robust", "tradeoff"):
        code, out, _ = run(
            command, "none.toml", "--workers", "1", "--json", "out.json", "--csv", "out.csv"
        )
        assert code == 1
        assert "No schedule of degree 1 exists" in out
        assert "Not written, as there is no schedule: out.csv" in out
        assert json.loads(Path("out.json").read_text())["status"] == "infeasible"
        assert not Path("out.csv").exists()


def test_tradeoff_shows_and_writes_the_curve(run: Run) -> None:
    code, out, err = run(
        "tradeoff", "line.toml", "--measure", "float", "--upto", "8", "--points", "3",
        "--workers", "1", "--json", "out.json", "--csv", "out.csv", "--diagram", "out.png",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert "Float against cycle time" in out
    assert CAUTION in last_lines(out)
    assert len(json.loads(Path("out.json").read_text())["points"]) == 3
    assert len(csv_table(Path("out.csv").read_text())) == 3
    assert Path("out.png").read_bytes().startswith(b"\x89PNG")


def test_jitter_shows_and_writes_what_python_says(run: Run) -> None:
    put_moves("moves.csv")
    code, out, err = run(
        "jitter", "line.toml", "moves.csv", "--scatter", SCATTER, "--scatter",
        "empty plus uniform 0 3", "--runs", "30", "--cycles", "40", "--warm-up", "5",
        "--seed", "9", "--json", "out.json", "--csv", "out.csv", "--diagram", "out.svg",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert "95% interval" in out
    assert "Achieved cycle time" in out
    assert CAUTION in last_lines(out)
    problem = load_problem("line.toml")
    found = jitter(
        problem,
        read_moves("moves.csv", problem),
        [SCATTER, "empty plus uniform 0 3"],
        runs=30,
        cycles=40,
        warm_up=5,
        seed=9,
    )
    data = json.loads(Path("out.json").read_text())
    assert data["cycle_time"] == found.cycle_time
    assert [s["over_max"] for s in data["stages"]] == [s.share.out for s in found.stages]
    assert len(csv_table(Path("out.csv").read_text())) == len(found.stages)
    assert Path("out.svg").read_text().startswith("<?xml")


@pytest.mark.parametrize("command", ["jitter", "robust", "tradeoff"])
def test_moves_that_break_a_rule_are_refused(run: Run, command: str) -> None:
    Path("bad.csv").write_text("start,from,to,cycle_time\n0,Bench,Wash,900\n500,Wash,Bench,900\n")
    options = ("--scatter", SCATTER) if command == "jitter" else ("--csv", "out.csv")
    code, out, err = run(command, "line.toml", "bad.csv", *options)
    assert (code, err) == (1, "")
    assert "Violations" in out
    assert not Path("out.csv").exists()


JITTER = ("jitter", "line.toml", "moves.csv")


@pytest.mark.parametrize("stated", [True, False])
def test_what_scatters_where_nobody_says_is_as_solve_takes_it(run: Run, stated: bool) -> None:
    """As the file says, or as is assumed; and what can be run loses no load by it either."""
    if stated:
        text = Path("line.toml").read_text()
        Path("line.toml").write_text(f'{text}\n[scatter]\ntimes = "move times uniform 0.9 1.1"\n')
    assert run("solve", "line.toml", "--quiet", "--show", "runnable", "--csv", "moves.csv")[0] == 0
    code, out, _ = run(*JITTER, "--json", "out.json")
    told = " ".join(out.split())
    shape = "uniform 0.9 1.1" if stated else "triangular 0.97 1 1.15"
    whose = "as the problem file states" if stated else "assumed, invented"
    assert code == 0 and f"What scatters: move times {shape} ({whose})." in told
    assert "0 of 9800 loads were over max. dwell" in told
    data = json.loads(Path("out.json").read_text())
    assert data["scatter"] == [f"move times {shape}"]
    assert data["scatter_source"] == ("stated" if stated else "assumed")
    typed = run(*JITTER, "--scatter", f"move times {shape}", "--json", "typed.json")[1]
    assert "What scatters" not in typed
    again = json.loads(Path("typed.json").read_text())
    assert again == {**data, "scatter_source": "given"}


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (("robust",), "FILE"),
        (("robust", "none.toml"), "none.toml"),
        (("robust", "line.toml", "--within", "some"), "--within = some"),
        (("robust", "line.toml", "--within=-1"), "--within = -1"),
        (("robust", "line.toml", "--within", "1e9999999999"), "--within"),
        (("robust", "line.toml", "--aims", "slack,speed"), "--aims = speed"),
        (("robust", "line.toml", "--aims", ""), "--aims"),
        (("robust", "line.toml", "--aims", "nominal"), "nominal dwell"),
        (("robust", "line.toml", "--degree", "0"), "--degree = 0"),
        (("robust", "line.toml", "--time-limit", "0"), "--time-limit"),
        (("robust", "line.toml", "--diagram", "out.doc"), "--diagram"),
        (("robust", "line.toml", "--csv", "line.toml"), "--csv"),
        (("tradeoff", "line.toml", "--measure", "room"), "--measure = room"),
        (("tradeoff", "line.toml", "--upto", "lots"), "--upto = lots"),
        (("tradeoff", "line.toml", "--points", "1"), "--points = 1"),
        (("tradeoff", "line.toml", "--points", "1000"), "--points"),
        (("tradeoff", "line.toml", "--diagram", "out"), "--diagram"),
        ((*JITTER, "--scatter", "a little"), "--scatter = a little"),
        ((*JITTER, "--scatter", "move times uniform 2 1"), "rising order"),
        ((*JITTER, "--scatter", "move plus uniform -90 0"), "no time below 0"),
        ((*JITTER, "--scatter", SCATTER, "--runs", "0"), "--runs = 0"),
        ((*JITTER, "--scatter", SCATTER, "--cycles", "1"), "--cycles = 1"),
        ((*JITTER, "--scatter", SCATTER, "--runs", "999999"), "moves in all"),
        ((*JITTER, "--scatter", SCATTER, "--seed", "x"), "--seed = x"),
        ((*JITTER, "--scatter", SCATTER, "--json", "no/where"), "--json"),
        ((*JITTER, "--scatter", SCATTER, "--diagram", "x.gif"), "--diagram"),
    ],
)
def test_bad_input_is_told_in_one_line(run: Run, arguments: tuple[str, ...], named: str) -> None:
    moves = "start,from,to,cycle_time\n"
    names = ("Bench", "Wash", "Passivate", "Rinse", "Dryer", "Bench")
    starts = (0, 130, 285, 380, 600)
    for start, source, target in zip(starts, names, names[1:], strict=False):
        moves += f"{start},{source},{target},900\n"
    Path("moves.csv").write_text(moves)
    before = {path: path.read_bytes() for path in Path(".").iterdir()}
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    assert named in err
    assert {path: path.read_bytes() for path in Path(".").iterdir()} == before


@pytest.mark.parametrize("command", ["slack", "robust", "tradeoff", "jitter"])
def test_each_command_explains_itself(run: Run, command: str) -> None:
    code, out, _ = run(command, "--help")
    assert code == 0
    assert f"usage: hoistopt {command}" in out


@pytest.mark.parametrize("command", ["robust", "tradeoff"])
def test_a_degree_that_is_not_that_of_the_moves_is_refused(run: Run, command: str) -> None:
    put_moves("moves.csv")
    code, out, err = run(command, "line.toml", "moves.csv", "--degree", "2")
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert err.startswith("error: --degree = 2: expected 1, the degree of the cycle in moves.csv.")
    aims = ("--aims", "cycle") if command == "robust" else ("--measure", "float")
    code, _, err = run(
        command, "line.toml", "moves.csv", "--degree", "1", *aims, "--workers", "1",
        "--time-limit", "5",
    )  # fmt: skip
    assert (code, err) == (0, "")


def test_what_the_file_of_the_cycle_states_is_not_said_otherwise(run: Run) -> None:
    """Of its degree and of its cycle: JSON states how good they are, CSV does not."""
    grouped(3).save("tanks.toml")
    code, _, _ = run(
        "solve", "tanks.toml", "--degree", "1", "--workers", "1", "--json", "m.json", "--csv",
        "m.csv", "--quiet",
    )  # fmt: skip
    assert code == 0
    robustly = ("--aims", "cycle", "--within", "0", "--workers", "1", "--quiet")
    curve = ("--measure", "float", "--upto", "0", "--points", "2", "--workers", "1")
    idle = "at degree 1 a cycle uses 1 of the 3 tanks"
    code, out, err = run("robust", "tanks.toml", "m.csv", *robustly)
    assert code == 0 and idle in err
    assert "s, that of the cycle given, which is not proved to be the least." in out
    code, out, err = run("robust", "tanks.toml", "m.json", *robustly)
    assert code == 0 and idle in err
    assert "s, that of the cycle given, the least of its degree as m.json states." in out
    assert "not proved" not in out
    data = json.loads(Path("m.json").read_text())
    time = data["cycle_time"]
    data["choice"] = {
        "proved": "open", "ended": "time limit", "least_per_load": 0, "patience": None,
        "least_per_load_compared": 0,
    }  # fmt: skip
    Path("chosen.json").write_text(json.dumps(data))
    assert run("robust", "tanks.toml", "chosen.json", *robustly)[2] == ""
    assert run("tradeoff", "tanks.toml", "chosen.json", *curve)[2] == ""
    assert idle in run("tradeoff", "tanks.toml", "m.json", *curve)[2]
    data["lower_bound"] = time - 1
    Path("open.json").write_text(json.dumps(data))
    out = run("robust", "tanks.toml", "open.json", *robustly)[1]
    assert "that of the cycle given, which is not proved to be the least." in out


def test_tradeoff_tells_what_fewer_lost_loads_cost(run: Run) -> None:
    code, out, err = run(
        "tradeoff", "line.toml", "--points", "4", "--time-limit", "10", "--workers", "1",
        "--json", "a.json", "--csv", "a.csv", "--diagram", "a.svg",
    )  # fmt: skip
    assert (code, err) == (0, "")
    assert "Loads out of window against cycle time" in out
    points = json.loads(Path("a.json").read_text())["points"]
    rows = csv_table(Path("a.csv").read_text())
    assert 2 <= len(rows) == len(points) <= 4
    problem = load_problem("line.toml")
    shares = []
    for number, (point, row) in enumerate(zip(points, rows, strict=True)):
        assert float(row["cycle_time_s"]) == point["cycle_time"]
        assert float(row["out_of_window"]) == point["forgives"]["out_of_window"]["share"]
        assert float(row["good_loads_per_hour"]) == point["forgives"]["good_loads_per_hour"]
        Path(f"{number}.json").write_text(json.dumps(point))
        moves = read_moves(f"{number}.json", problem)
        assert verify(problem, moves) == ()
        shares.append(float(row["out_of_window"]))
    assert shares == sorted(shares, reverse=True)
    assert len(set(shares)) == len(shares)
    assert points[0]["cycle_time"] == 234
    drawn = Path("a.svg").read_text()
    assert drawn.count('id="curve') == 2
