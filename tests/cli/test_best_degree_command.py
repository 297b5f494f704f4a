"""The degree left to the search, at the command line: words, JSON, exit codes, other commands."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hoistopt.base.numbers.decimals import significant
from hoistopt.planning.best_degree import best_of_degrees
from tests.helpers.command import CAUTION, Run, last_lines
from tests.helpers.lines.grouped import grouped

ONE = ("--workers", "1")


@pytest.fixture(autouse=True)
def patience(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine that does much else a proof may take long."""
    monkeypatch.setattr(best_of_degrees, "PATIENCE", 900.0)


@pytest.fixture
def group(run: Run) -> Run:
    """The command, in a folder with a line of three tanks for one stage."""
    grouped(3).save("group.toml")
    return run


def test_without_a_degree_the_best_is_told_as_where_best_is_typed(group: Run) -> None:
    files = ("--json", "out.json", "--csv", "one.csv")
    code, out, err = group("solve", "group.toml", *ONE, *files)
    assert (code, err) == (0, "")
    assert "at degree 3, proved to be the least" in out
    assert "a load" in out and "Degrees compared" in out
    assert "stand idle" not in out and "All 3 tanks of Plate 1 to 3 are used." in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("out.json").read_text())
    assert (data["status"], data["degree"]) == ("optimal", 3)
    assert data["cycle_time"] == data["lower_bound"] and len(data["moves"]) == 9
    assert data["runtime"] > 0
    assert [degree["degree"] for degree in data["degrees"]] == [1, 2, 3, 6]
    assert all(row["searched"] or row["runtime"] == 0 for row in data["degrees"])
    assert data["degrees"][2]["searched"]
    choice = data["choice"]
    assert choice["proved"] in ("any degree", "degrees compared")
    assert choice["ended"] == "proved"
    assert choice["least_per_load"] <= data["cycle_time"] / 3 + 1e-9
    assert data["idle"] == {"tanks": [], "carriers": 0}
    assert len(Path("one.csv").read_text().splitlines()) > 9
    grouped(2).save("two.toml")  # which takes less long
    for name, *more in (("left.csv",), ("typed.csv", "--degree", "best")):
        assert group("solve", "two.toml", *ONE, "--quiet", "--csv", name, *more)[0] == 0
    assert Path("left.csv").read_text() == Path("typed.csv").read_text()


def test_a_degree_given_is_kept_to_and_idle_tanks_are_named(group: Run) -> None:
    code, out, _ = group("solve", "group.toml", *ONE, "--degree", "1", "--json", "out.json")
    assert code == 0 and "at degree 1, proved to be the least" in out
    said = " ".join(out.split())
    assert "stand idle, 2 of 3 for" in said and "are used" not in said
    assert "a cycle has 1 load for these 3 tanks" in said
    assert "Without a degree given, the best one is looked for." in said
    assert "On average" not in said
    _, out, _ = group("solve", "group.toml", *ONE, "--degree", "2", "--quiet", "--json", "two.json")
    data = json.loads(Path("two.json").read_text())
    assert f"On average {data['cycle_time'] / 2:g} s a load." in " ".join(out.split())
    data = json.loads(Path("out.json").read_text())
    data = json.loads(Path("out.json").read_text())
    assert "choice" not in data and data["degree"] == 1
    (idle,) = data["idle"]["tanks"]
    assert len(idle["idle"]) == 2 and idle["by_degree"] and idle["loads"] == 1


@pytest.mark.parametrize("degree", ["worst", "best,2", "0", ""])
def test_what_is_no_degree_is_one_line(degree: str, group: Run) -> None:
    code, out, err = group("solve", "group.toml", "--degree", degree)
    assert (code, out) == (2, "")
    assert err.startswith("error: --degree = ") and err.count("\n") == 1


def test_why_explains_the_best_too(group: Run) -> None:
    grouped(2).save("group.toml")
    code, _, _ = group("why", "group.toml", *ONE, "--json", "why.json")
    assert code == 0
    group("solve", "group.toml", *ONE, "--quiet", "--json", "solve.json")
    why, solve = (json.loads(Path(f"{name}.json").read_text()) for name in ("why", "solve"))
    assert why["cycle_time"] == solve["cycle_time"]
    assert solve["degree"] == 2


def test_others_warn_of_idle_tanks(group: Run) -> None:
    code, _, err = group("conflict", "group.toml", *ONE, "--at-most", "100")
    assert code == 1
    assert "warning: at degree 1 a cycle uses 1 of the 3 tanks for" in err
    code, _, err = group("conflict", "group.toml", *ONE, "--degree", "3", "--at-most", "200")
    assert "tanks for" not in err


@pytest.mark.parametrize("measure", ["window", "float"])
def test_a_curve_warns_of_idle_tanks_whatever_it_measures(measure: str, group: Run) -> None:
    asked = ("tradeoff", "group.toml", *ONE, "--measure", measure, "--points", "2", "--upto", "1")
    assert "at degree 1 a cycle uses 1 of the 3 tanks for" in group(*asked, "--time-limit", "5")[2]


def test_compare_plans_at_the_degree_of_the_moves(group: Run) -> None:
    group("solve", "group.toml", *ONE, "--quiet", "--degree", "2", "--json", "two.json")
    code, out, _ = group("compare", "group.toml", "--before", "two.json", *ONE)
    assert code == 0
    two = json.loads(Path("two.json").read_text())["cycle_time"]
    assert f"Cycle time {two} s on both sides" in " ".join(out.split())


ONLY = "the answer holds for degree 1 only"


@pytest.mark.parametrize("wish", ["20/h", "180", "3 min"])
def test_a_degree_that_reaches_the_pace_is_told_and_no_change(wish: str, group: Run) -> None:
    code, out, _ = group("conflict", "group.toml", *ONE, "--at-most", wish, "--json", "out.json")
    assert code == 0
    assert out.startswith("Degree 2 reaches this pace with no limit changed (--degree 2): ")
    assert "Limit" not in out and "cannot be kept together" not in out
    data = json.loads(Path("out.json").read_text())
    assert (data["status"], data["degree"], data["at_most"]) == ("possible", 2, 360)
    assert 180 < data["cycle_time"] <= 360
    assert data["other_degrees"]["reached"] == 2 and data["remedies"] == []
    hourly = significant(3600 / (data["cycle_time"] / 2), 4)
    assert f"{hourly} loads/h" in out
    assert f"in a cycle of {data['cycle_time']:g} s." in " ".join(out.split())


def test_a_degree_typed_is_kept_to(group: Run) -> None:
    typed = ("--at-most", "20/h", "--degree", "1", "--json", "out.json")
    code, out, _ = group("conflict", "group.toml", *ONE, *typed)
    assert code == 1
    assert "No schedule of degree 1 exists" in out and "this pace" not in out
    assert json.loads(Path("out.json").read_text())["other_degrees"] is None


def test_that_no_other_degree_reaches_it_is_told_before_the_changes_in_words(group: Run) -> None:
    code, out, _ = group("conflict", "group.toml", *ONE, "--at-most", "100", "--json", "out.json")
    assert code == 1
    said = "No other degree looked at (2, 3 and 6) reaches this pace: proved."
    assert said in " ".join(out.split())
    found = json.loads(Path("out.json").read_text())["other_degrees"]
    assert found == {
        "looked_at": [2, 3, 6],
        "reached": None,
        "none_proved": True,
        "not_reached_in_time": [],
    }


def test_nothing_else_is_looked_at_where_degree_1_will_do(
    group: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def searched(*_: object, **__: object) -> None:
        raise AssertionError

    monkeypatch.setattr(best_of_degrees, "_Race", searched)
    code, out, _ = group("conflict", "group.toml", *ONE, "--at-most", "1000")
    assert code == 0 and "There is a schedule of degree 1" in out


ASKED = {
    "levers": ("--time-limit", "1"),
    "robust": ("--time-limit", "2", "--aims", "cycle"),
    "tradeoff": ("--time-limit", "2", "--measure", "float", "--points", "2", "--upto", "1"),
    "conflict": (),
}


@pytest.mark.parametrize("command", ASKED)
def test_the_option_is_named_where_no_degree_was_typed(command: str, group: Run) -> None:
    asked = (command, "group.toml", *ONE, *ASKED[command])
    warned = group(*asked)[2]
    assert warned.count(ONLY) == 1 and "--degree N" in warned
    assert ONLY not in group(*asked, "--degree", "1")[2]


def test_moves_given_have_a_degree(group: Run) -> None:
    group("solve", "group.toml", *ONE, "--quiet", "--degree", "1", "--json", "one.json")
    asked = ("robust", "group.toml", "one.json", *ONE, "--time-limit", "2", "--aims", "cycle")
    code, _, err = group(*asked)
    assert code == 0 and ONLY not in err


@pytest.mark.usefixtures("at_once")
def test_a_study_names_the_option_unless_it_varies_the_degree(group: Run) -> None:
    asked = ("study", "group.toml", "--jobs", "1", "--time-limit", "2", "--quiet", "--vary")
    warned = group(*asked, "hoist.lift = 5, 6")[2]
    assert warned.count(ONLY) == 1 and "--degree N" in warned
    assert ONLY not in group(*asked, "degree = 1, 2")[2]
    assert ONLY not in group(*asked, "hoist.lift = 5, 6", "--degree", "1")[2]
