"""`hoistopt plan`: exit codes, files, and that its files are read back and clean."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from tests.helpers.command import CAUTION, STATE, Run, last_lines

ORDERS = "order,recipe,count,release,due\nK1,Cases,2,0,600\nK2,Cases,1,100,\n"


@pytest.fixture
def files(run: Run) -> Run:
    Path("orders.csv").write_text(ORDERS)
    Path("state.toml").write_text(STATE)
    return run


def plan(run: Run, *arguments: str) -> tuple[int, str, str]:
    return run("plan", "line.toml", "--workers", "1", *arguments)


@pytest.mark.quick
def test_orders_are_done_and_the_files_are_clean(files: Run) -> None:
    wanted = ["--orders", "orders.csv", "--json", "out.json", "--csv", "out.csv"]
    code, out, err = plan(files, *wanted)
    assert (code, err) == (0, "")
    assert "All is done at" in out and CAUTION in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert data["status"] == "optimal" and data["finish"] == data["lower_bound"]
    assert {"start", "from", "to", "recipe", "load", "stage"} <= set(data["moves"][0])
    assert len(data["moves"]) == 15
    assert [row["order"] for row in data["loads"]] == ["K1", "K1", "K2"]
    assert data["loads"][2]["entered"] >= 100
    for name in ("out.json", "out.csv"):
        assert files("verify", "line.toml", name)[0] == 0


def test_lateness_comes_before_the_finish(files: Run) -> None:
    assert plan(files, "--orders", "orders.csv", "--json", "out.json")[0] == 0
    data = json.loads(Path("out.json").read_text())
    late = [max(0, row["out"] - 600) for row in data["loads"] if row["order"] == "K1"]
    assert data["lateness"] == data["least_lateness"] == pytest.approx(sum(late), abs=0.2)


def test_a_state_runs_out(files: Run) -> None:
    code, out, _ = plan(files, "--state", "state.toml", "--csv", "out.csv", "--quiet")
    # By hand: 70 of at most 150 stood already, 40 of at least 90: lifted at 50 first.
    assert code == 0 and Path("out.csv").read_text().count(",7,") == 4
    assert "\n1,50,Wash,Passivate,Cases,7,1," in Path("out.csv").read_text()
    assert files("verify", "line.toml", "out.csv", "--state", "state.toml")[0] == 0
    assert files("verify", "line.toml", "out.csv")[0] == 1
    assert "Moves of the programme" not in out


def test_the_sequence_given_is_kept(files: Run) -> None:
    Path("orders.csv").write_text("recipe,release\nCases,300\nCases,0\n")
    found = {}
    for which in ("free", "given"):
        wanted = ["--orders", "orders.csv", "--sequence", which, "--json", "out.json"]
        assert plan(files, *wanted)[0] == 0
        loads = json.loads(Path("out.json").read_text())["loads"]
        found[which] = [row["entered"] for row in loads]
    assert found["free"][1] < found["free"][0]
    assert found["given"][1] > found["given"][0] >= 300


def test_no_programme_is_the_answer_no(files: Run) -> None:
    Path("state.toml").write_text(STATE.replace("[40, 70]", "151"))
    code, out, _ = plan(files, "--state", "state.toml", "--json", "out.json")
    assert code == 1 and "No programme exists" in out and "load 7 in Wash" in out
    assert json.loads(Path("out.json").read_text())["status"] == "infeasible"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "--orders, --state, --to or several"),
        (["--orders", "none.csv"], "none.csv"),
        (["--orders", "state.toml"], "state.toml"),
        (["--state", "orders.csv"], "orders.csv"),
        (["--orders", "orders.csv", "--sequence", "best"], "--sequence = best"),
        (["--orders", "orders.csv", "--time-limit", "0"], "--time-limit"),
        (["--orders", "orders.csv", "--csv", "orders.csv"], "--csv"),
    ],
)
def test_bad_input_is_one_line(files: Run, arguments: list[str], said: str) -> None:
    code, out, err = plan(files, *arguments)
    assert code == 2 and out == "" and said in err and len(err.splitlines()) == 1


def test_a_waiting_load_is_placed_beside_what_is_promised(
    files: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    efforts: list[hoistopt.Effort] = []

    def placing(*given: Any, effort: hoistopt.Effort, **named: Any) -> hoistopt.Plan:
        efforts.append(effort)
        return hoistopt.place_next(*given, effort=effort, **named)

    monkeypatch.setattr("hoistopt.app.plan.place_next", placing)
    Path("orders.csv").write_text("order,recipe,count\nK1,Cases,2\n")
    assert plan(files, "--orders", "orders.csv", "--csv", "promised.csv")[0] == 0
    Path("next.csv").write_text("order,recipe\nK9,Cases\n")
    wanted = ["--orders", "next.csv", "--promised", "promised.csv", "--json", "out.json"]
    code, out, _ = plan(files, *wanted)
    assert code == 0 and "Load 3 (Cases) can be lifted at" in out
    assert "Nothing that is promised was moved" in out
    data = json.loads(Path("out.json").read_text())
    assert data["promised"] == [1, 2] and data["loads"][2]["order"] == "K9"
    assert efforts[0].stop is not None and efforts[0].time_limit == 10  # Ctrl-C is heard
    assert files("verify", "line.toml", "out.json")[0] == 0
    text = Path("promised.csv").read_text()
    Path("promised.csv").write_text("\n".join(text.splitlines()[:-1]))
    code, _, err = plan(files, *wanted)
    assert code == 2 and "promised.csv" in err and "left in it" in err
    code, _, err = plan(files, "--promised", "promised.csv", "--state", "state.toml")
    assert code == 2 and "--promised" in err
