"""Recovery at the command line: loads given up are asked for, named, and verified as such."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import hoistopt
from hoistopt.app.verify import verify
from tests.helpers.command import STATE, Run


@pytest.fixture
def files(run: Run) -> Run:
    Path("state.toml").write_text(STATE)
    return run


def test_verify_accepts_a_recovery_only_where_its_loads_are_named(files: Run) -> None:
    code, _, _ = files("plan", "line.toml", "--state", "state.toml", "--csv", "out.csv")
    assert code == 0
    # The same moves from a state in which the load has stood too long: 151 of at most 150.
    Path("state.toml").write_text(STATE.replace("[40, 70]", "151"))
    given = ["verify", "line.toml", "out.csv", "--state", "state.toml", "--json", "found.json"]
    code, out, _ = files(*given)
    assert code == 1 and "--lost 7 accepts" in out
    assert json.loads(Path("found.json").read_text())["overstays"][0]["load"] == 7
    code, out, _ = files(*given, "--lost", "7")
    found = json.loads(Path("found.json").read_text())
    assert code == 0 and "as a recovery" in out and "LOST, above the maximum dwell: load 7" in out
    assert found["lost"] == [7]
    # Lifted at 50 by the plan from the first state: 201 of 150.
    (one,) = found["overstays"]
    assert (one["by"], one["maximum"], one["stood_high"]) == (51, 150, 201)
    for lost, said in (("8", "--lost = 8"), ("x", "--lost = x"), ("0", "--lost = 0")):
        code, out, err = files(*given, "--lost", lost)
        assert code == 2 and said in err and len(err.splitlines()) == 1
    assert files("verify", "line.toml", "out.csv", "--lost", "7")[0] == 2


def test_loads_are_given_up_only_where_that_is_asked_for(files: Run) -> None:
    Path("state.toml").write_text(STATE.replace("[40, 70]", "151"))
    given = ["plan", "line.toml", "--state", "state.toml", "--workers", "1", "--json", "out.json"]
    code, out, _ = files(*given)
    assert code == 1 and "load 7 in Wash" in out and "--recover" in out
    assert json.loads(Path("out.json").read_text())["moves"] == []
    code, out, _ = files(*given, "--recover", "--csv", "out.csv", "--diagram", "out.svg")
    assert code == 0
    assert "1 load is lost, 7: proved that no programme loses less." in out
    assert "LOST, above the maximum dwell: load 7 (Wash by" in out
    data = json.loads(Path("out.json").read_text())
    assert data["lost"] == [7] and data["status"] == "optimal"
    (one,) = data["overstays"]
    assert (one["load"], one["stage"], one["maximum"]) == (7, 1, 150)
    recovery = data["recovery"]
    assert recovery["lost"] == [7] and recovery["weight"] == recovery["least_weight"] == 1
    assert recovery["overstay"] == recovery["least_overstay"] == pytest.approx(one["by"])
    assert "LOST, above the maximum dwell: load 7" in Path("out.csv").read_text()
    assert "LOST: 7" in Path("out.svg").read_text()
    for name in ("out.csv", "out.json"):
        check = ["verify", "line.toml", name, "--state", "state.toml"]
        assert files(*check)[0] == 1 and files(*check, "--lost", "7")[0] == 0
    draw = ["draw", "line.toml", "out.csv", "drawn.svg", "--state", "state.toml"]
    assert files(*draw)[0] == 1 and 'id="stamp"' in Path("drawn.svg").read_text()
    assert files(*draw, "--lost", "7")[0] == 0
    assert "LOST: 7" in Path("drawn.svg").read_text()
    assert 'id="stamp"' not in Path("drawn.svg").read_text()


def test_a_recovery_that_loses_nothing_is_the_usual_plan(files: Run) -> None:
    found = {}
    for more in ((), ("--recover",)):
        given = ["plan", "line.toml", "--state", "state.toml", "--workers", "1"]
        code, out, _ = files(*given, *more, "--json", "out.json")
        data = json.loads(Path("out.json").read_text())
        assert code == 0 and ("No load is lost" in out) == bool(more)
        found[more] = (data["finish"], data["status"], data["lost"])
    assert len(set(map(str, found.values()))) == 1


@pytest.mark.parametrize(
    "arguments",
    [
        ["--orders", "orders.csv", "--recover"],
        ["--orders", "orders.csv", "--state", "state.toml", "--promised", "x.csv", "--recover"],
    ],
)
def test_a_recovery_begins_with_a_state(files: Run, arguments: list[str]) -> None:
    Path("orders.csv").write_text("recipe\nCases\n")
    code, out, err = files("plan", "line.toml", *arguments)
    assert code == 2 and out == "" and "--recover" in err and len(err.splitlines()) == 1


def test_a_recovery_goes_back_into_step_with_the_cycle(files: Run) -> None:
    problem = hoistopt.load_problem("line.toml")
    solved = hoistopt.solve(problem, workers=1)
    assert solved.schedule is not None
    Path("cycle.csv").write_text(verify(problem, solved.schedule).csv())
    Path("state.toml").write_text(STATE.replace("[40, 70]", "[140, 160]"))
    given = ["plan", "line.toml", "--state", "state.toml", "--to", "cycle.csv", "--workers", "1"]
    code, out, _ = files(*given)
    assert code == 1 and "of load 7 in Wash" in out and "--recover" in out
    code, out, _ = files(*given, "--recover", "--json", "out.json")
    data = json.loads(Path("out.json").read_text())
    assert code == 0 and data["lost"] == [7] and data["in_step"] is not None
    assert data["recovery"]["weight"] == data["recovery"]["least_weight"] == 1
    assert data["lower_bound"] <= data["in_step"]
    check = ["verify", "line.toml", "out.json", "--state", "state.toml"]
    assert files(*check)[0] == 1 and files(*check, "--lost", "7")[0] == 0


def test_a_waiting_load_is_placed_beside_a_recovery_that_is_promised(files: Run) -> None:
    Path("state.toml").write_text(STATE.replace("[40, 70]", "151"))
    Path("orders.csv").write_text("order,recipe\nK9,Cases\n")
    given = ["plan", "line.toml", "--state", "state.toml"]
    assert files(*given, "--recover", "--csv", "kept.csv", "--workers", "1")[0] == 0
    beside = [*given, "--orders", "orders.csv", "--promised", "kept.csv", "--json", "out.json"]
    code, out, _ = files(*beside)
    assert code == 1 and "--lost 7 accepts" in out
    code, out, _ = files(*beside, "--lost", "7")
    assert code == 0 and "(Cases) can be lifted at" in out and "LOST" in out
    data = json.loads(Path("out.json").read_text())
    assert data["lost"] == [7] and len(data["moves"]) == 9
    code, _, err = files(*given, "--lost", "7")
    assert code == 2 and "--recover finds out" in err
    code, _, err = files(*beside, "--lost", "8")
    assert code == 2 and "--lost = 8" in err
