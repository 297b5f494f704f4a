"""`hoistopt report` of a file of moves: what the file states of proof and bound is kept."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.command import CAUTION, PROBLEMS, Run, put_moves
from tests.helpers.shown.report_pages import Node, tree

Change = dict[str, Any]


def solved_to_json(change: Change) -> None:
    """The line's proved schedule of 234 s as JSON, some keys changed or, by None, left out."""
    put_moves("m.json")
    data = json.loads(Path("m.json").read_text()) | change
    kept = {key: value for key, value in data.items() if value is not None}
    Path("m.json").write_text(json.dumps(kept))


def reported(run: Run, change: Change) -> tuple[Node, str]:
    """The report as a page, and what was said of it."""
    solved_to_json(change)
    code, out, err = run("report", "line.toml", "m.json", "out.html")
    assert (code, err) == (0, "")
    assert CAUTION in out
    return tree(Path("out.html").read_text(encoding="utf-8")), out


def cycle_card(page: Node) -> str:
    (card,) = [c for c in page.all("div") if c.all("dt") and c.all("dt")[0].text == "Cycle time"]
    return card.text


def test_a_proof_is_kept_and_told_as_stated(run: Run) -> None:
    page, out = reported(run, {"runtime": 12.34})
    card = cycle_card(page)
    assert "Proved least" in card
    assert "No schedule of degree 1 is shorter, as stated in m.json" in card
    assert "the bound was not proved again" in card and "Its search took 12.3 s." in card
    assert "not asked" not in page.text
    assert "what m.json states of the line as it was then" in page.text
    assert "Not proved" not in out


def test_a_bound_is_kept_and_told_as_stated(run: Run) -> None:
    page, out = reported(run, {"status": "feasible", "lower_bound": 175.5})
    card = cycle_card(page)
    assert "Not proved least" in card
    assert "No schedule of degree 1 is below 175.5 s, a gap of 25.0%, as stated in m.json" in card
    # The page and the terminal both warn of it.
    assert page.text.count("Not proved to be the least cycle time") == 2
    assert "Not proved to be the least cycle time" in out


def test_a_proof_whose_bound_is_below_the_cycle_time_is_none(run: Run) -> None:
    """As robust writes it: proved is what it aims at, the bound is on the shortest cycle."""
    page, _ = reported(run, {"lower_bound": 200})
    assert "Not proved least" in cycle_card(page)
    assert "is below 200 s" in cycle_card(page)


@pytest.mark.parametrize(
    "change",
    [
        {"status": "verified"},
        {"status": None},
        {"lower_bound": None},
        {"problem": "Another line"},
    ],
    ids=["verified", "no status", "no bound", "another line"],
)
def test_without_a_bound_on_this_line_nothing_is_claimed(change: Change, run: Run) -> None:
    page, _ = reported(run, change)
    assert "Whether a shorter cycle exists was not asked" in cycle_card(page)
    assert "Proved" not in page.text and "Optimal" not in page.text


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [
        ({"lower_bound": 234.5}, "lower_bound", "from 0 to the cycle time"),
        ({"status": "feasible", "lower_bound": 1e6}, "lower_bound", "from 0 to the cycle time"),
        ({"lower_bound": -1}, "lower_bound", "from 0 to the cycle time"),
        ({"lower_bound": "much"}, "lower_bound", "number"),
        ({"lower_bound": [1]}, "lower_bound", "a single number"),
        ({"degree": 2}, "degree", "1 load per cycle"),
        ({"degree": 0}, "degree", "whole number from 1"),
        ({"degree": 1.5}, "degree", "whole number from 1"),
        ({"runtime": -3}, "runtime", "0 or more"),
    ],
)
def test_what_makes_no_sense_is_refused(change: Change, field: str, told: str, run: Run) -> None:
    solved_to_json(change)
    code, out, err = run("report", "line.toml", "m.json", "out.html")
    assert (code, out) == (2, "")
    assert err.startswith("error: ") and err.count("\n") == 1
    assert "m.json" in err and field in err and told in err
    assert not Path("out.html").exists()


def test_stations_have_the_numbers_of_exported_step_tables(run: Run) -> None:
    """One numbering: the 1976 line's track order is not that of its list."""
    name = "phillips_unger_1976"
    for path in (f"{name}.toml", f"{name}_empty.csv"):
        Path(path).write_bytes((PROBLEMS / path).read_bytes())
    solve = ("solve", f"{name}.toml", "--degree", "1", "--workers", "1", "--quiet")
    assert run(*solve, "--json", "m.json")[0] == 0
    assert run("report", f"{name}.toml", "m.json", "out.html")[0] == 0
    assert run("sequencer", f"{name}.toml", "m.json", "steps.json")[0] == 0
    table = json.loads(Path("steps.json").read_text())
    exported = {entry["name"]: entry["number"] for entry in table["stations"]}
    page = tree(Path("out.html").read_text(encoding="utf-8"))
    (board,) = page.all("table", class_="board")
    shown = {
        row.all("th")[0].text: int(row.all("td")[0].text)
        for row in board.all("tbody")[0].all("tr")
        if row.all("td")[0].text
    }
    assert shown == exported
    assert list(shown.values()) != sorted(shown.values())
