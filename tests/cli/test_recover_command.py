"""Recovery at the command line: loads given up are asked for, named, and verified as such."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.helpers.command import Run

STATE = """
[hoist]
station = "Wash"
free_in = 0
[[standing]]
station = "Wash"
recipe = "Cases"
stage = 1
stood = [40, 70]
load = 7
"""


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
