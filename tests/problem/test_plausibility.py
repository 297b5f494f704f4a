"""What is allowed but seldom meant: one sentence each, and none about lines that are sound."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from hoistopt import load_problem, study
from hoistopt.problem import Problem
from hoistopt.problem.checks.plausibility import CHECKS
from tests.helpers.command import Run
from tests.helpers.studying import AtOnce
from tests.reference.lines import FAMILIES

PROBLEMS = Path(__file__).parents[2] / "problems"
Edit = Callable[[dict[str, Any]], object]


def line(edit: Edit = lambda data: None) -> Problem:
    """A sound line of three baths, with something changed."""
    stage = {"Wash": (180, 300), "Rinse": (30, 90), "Nickel": (600, 720)}
    data: dict[str, Any] = {
        "name": "Sound",
        "hoist": {"lift": 8, "lower": 7, "loaded": {"speed": 0.4}, "empty": {"speed": 0.6}},
        "station": [
            {"name": "In", "kind": "load", "position": 0},
            {"name": "Wash", "position": 1.5},
            {"name": "Rinse", "position": 3},
            {"name": "Nickel", "position": 4.5},
            {"name": "Out", "kind": "unload", "position": 6},
            {"name": "Park", "kind": "park", "position": 4.5},
        ],
        "recipe": [
            {
                "name": "R",
                "stage": [{"station": n, "min": a, "max": b} for n, (a, b) in stage.items()],
            }
        ],
    }
    edit(data)
    return Problem.from_data(data)


def station(name: str, **changes: object) -> Edit:
    def edit(data: dict[str, Any]) -> None:
        next(s for s in data["station"] if s["name"] == name).update(changes)

    return edit


def window(number: int, least: float, most: float, **changes: object) -> Edit:
    def edit(data: dict[str, Any]) -> None:
        data["recipe"][0]["stage"][number - 1].update({"min": least, "max": most, **changes})

    return edit


def speeds(speed: float) -> Edit:
    return lambda data: data["hoist"].update(loaded={"speed": speed}, empty={"speed": speed})


def table(key: str, *entries: tuple[str, str, float]) -> Edit:
    made = [{"from": u, "to": v, "time": time} for u, v, time in entries]
    return lambda data: data.update(times={key: made})


def second_rinse(data: dict[str, Any]) -> None:
    data["station"].append({"name": "Rinse 2", "position": 7})
    data["recipe"][0]["stage"][1]["station"] = ["Rinse", "Rinse 2"]


def second_nickel(data: dict[str, Any]) -> None:
    data["station"].append({"name": "Nickel 2", "position": 7})
    data["recipe"][0]["stage"][2]["station"] = ["Nickel", "Nickel 2"]


IMPLAUSIBLE: dict[str, tuple[Edit, str]] = {
    "positions in mm": (station("Nickel", position=4500), "travels 3.1 h loaded at 0.4 m/s"),
    "speed in m/min": (speeds(500), "travels 0.003 s loaded at 500 m/s"),
    "one place": (station("Rinse", position=1.5), "Wash and Rinse stand at one position, 1.5 m"),
    "a short stopwatch time": (
        table("loaded", ("In", "Wash", 11), ("Wash", "Rinse", 20)),
        "In to Wash, 11 s (lift and lower: 15)",
    ),
    "an unused loaded entry": (table("loaded", ("Rinse", "Wash", 20)), "Rinse to Wash"),
    "an unused empty entry": (table("empty", ("Park", "Wash", 20)), "Park to Wash"),
    "seconds among minutes": (window(3, 7200, 9000), 'Stage 3 ("Nickel") of recipe "R" takes 7200'),
    "minutes among seconds": (window(2, 1, 2), 'Stage 2 ("Rinse") of recipe "R" takes 2 s, every'),
    "a needless copy": (second_rinse, "Rinse and Rinse 2 serve the same stage, but one of them"),
}


@pytest.mark.parametrize("case", IMPLAUSIBLE)
def test_what_is_seldom_meant_is_told_in_one_sentence(case: str) -> None:
    edit, told = IMPLAUSIBLE[case]
    (sentence,) = line(edit).warnings
    assert told in sentence
    assert sentence.endswith((".", "?"))


PLAUSIBLE: dict[str, Edit] = {
    "as it is": lambda data: None,
    "a park above a tank": station("Park", position=3),
    "an entry that is used": table("loaded", ("Wash", "Rinse", 20)),
    "a table of every pair": table(
        "loaded",
        *((u, v, 40) for u in ("In", "Wash", "Rinse") for v in ("In", "Wash", "Rinse") if u != v),
    ),
    "one place, but timed": lambda data: (
        station("Rinse", position=1.5)(data),
        table("empty", ("Wash", "Rinse", 4), ("Rinse", "Wash", 4))(data),
    ),
    "a copy that is needed": second_nickel,
    "a long stage in many tanks": lambda data: (
        station("Nickel", capacity=12)(data),
        window(3, 7200, 9000)(data),
    ),
    "nine times as long": window(3, 2699, 2700),
    "exactly as long as lift and lower": table("loaded", ("In", "Wash", 15)),
}


@pytest.mark.parametrize("case", PLAUSIBLE)
def test_a_sound_line_is_not_talked_about(case: str) -> None:
    assert line(PLAUSIBLE[case]).warnings == ()


def test_the_problems_shipped_are_not_talked_about() -> None:
    said = {path.stem: load_problem(path).warnings for path in PROBLEMS.glob("*.toml")}
    # Which is there to show it.
    out = said.pop("as_people_write_it")
    assert out == ("Nickel 2 is out of service: no load is set down there.",)
    assert set(said.values()) == {()}


@pytest.mark.parametrize("family", FAMILIES)
def test_every_line_can_be_looked_at(family: str) -> None:
    for seed in range(20):
        told = FAMILIES[family](seed)[0].warnings
        assert len(told) <= 3 * len(CHECKS)
        assert all(sentence.isprintable() for sentence in told)


def test_several_things_are_told_line_by_line_and_once(run: Run, tmp_path: Path) -> None:
    problem = line(lambda data: (speeds(500)(data), station("Rinse", position=1.5)(data)))
    problem.save(tmp_path / "line.toml")
    code, out, errors = run("solve", str(tmp_path / "line.toml"), "--json", str(tmp_path / "o"))
    assert code == 0
    warned = [text for text in errors.splitlines() if text.startswith("warning: ")]
    assert [text.removeprefix("warning: ") for text in warned] == list(problem.warnings)
    assert len(warned) == 2
    assert "warning" not in out
    found = json.loads((tmp_path / "o").read_text())
    assert found["warnings"] == list(problem.warnings)
    assert run("verify", str(tmp_path / "line.toml"), str(tmp_path / "o"))[2].count("warning") == 2
    assert run("report", str(tmp_path / "line.toml"), str(tmp_path / "o.html"))[0] == 0
    page = (tmp_path / "o.html").read_text(encoding="utf-8")
    assert "To be checked in the problem file" in page
    assert "Wash and Rinse stand at one position" in page


def test_a_sound_line_has_no_warnings_anywhere(run: Run, tmp_path: Path) -> None:
    line().save(tmp_path / "line.toml")
    code, _, errors = run("solve", str(tmp_path / "line.toml"), "--json", str(tmp_path / "o"))
    assert code == 0
    assert "warning" not in errors
    assert json.loads((tmp_path / "o").read_text())["warnings"] == []
    assert run("report", str(tmp_path / "line.toml"), str(tmp_path / "o.html"))[0] == 0
    assert "To be checked" not in (tmp_path / "o.html").read_text(encoding="utf-8")


def test_a_study_tells_of_copies_that_lengthen_the_track_and_the_cycle() -> None:
    problem = load_problem(PROBLEMS / "roomy_dryer.toml")
    (told,) = study(problem, ["parallel(Rinse) = 1, 2"], executor=AtOnce()).warnings
    assert told.startswith("parallel(Rinse) = 2: the copies lengthen the track by")
    assert study(problem, ["hoist.empty.speed = 0.3, 0.4"], executor=AtOnce()).warnings == ()
    at_a_place = ["parallel(Rinse, 0.5) = 1, 2"]
    assert study(problem, at_a_place, executor=AtOnce()).warnings == ()
