"""`hoistopt compare`: tables, files, refusals, exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from tests.helpers.command import CAUTION, Run, last_lines, put_moves


@pytest.fixture
def lines(run: Run) -> Run:
    """The command, in a folder with a line, a changed one, and moves on the first."""
    text = Path("line.toml").read_text()
    Path("new.toml").write_text(
        text.replace("max = 140", "max = 160").replace("min = 180", "min = 150")
    )
    Path("never.toml").write_text(f"{text}\n[cycle]\nmax = 20\n")
    Path("slow.toml").write_text(text.replace('unit = "s"', 'unit = "min"'))
    Path("odd.toml").write_text(text.replace('"Rinse"', '"[red]Rinse[/red] :smile:"'))
    put_moves("moves.json")
    moves = json.loads(Path("moves.json").read_text())
    moves["moves"][2]["start"] += 30
    Path("late.json").write_text(json.dumps(moves))
    return run


def test_two_versions_of_a_line(lines: Run) -> None:
    code, out, _ = lines("compare", "line.toml", "new.toml")
    assert code == 0
    for part in (
        'recipe "Cases", stage 2',
        "What was changed",
        "Moves in order, from the lift of the first load",
        "earlier",
        "120 to 160 *",
        "* another window than before",
        "Loads per hour",
        "Cycle time 234 s becomes 203.1 s; 15.38 loads an hour become 17.73 (+15.2%)",
    ):
        assert part in out
    assert re.search(r"stage 2 +max \[s\] +140 +160\b", out)
    assert re.search(r"stage 4 +min \[s\] +180 +150\b", out)
    assert CAUTION in last_lines(out)


def test_moves_in_use_against_the_best(lines: Run) -> None:
    moves = json.loads(Path("moves.json").read_text())
    moves["cycle_time"] = 240
    Path("today.json").write_text(json.dumps(moves))
    code, out, _ = lines("compare", "line.toml", "--before", "today.json")
    assert code == 0
    assert "Cycle time 240 s becomes 234 s" in out
    assert "the same order of moves, the same tanks" in out
    assert "What was changed" not in out


def test_two_tables_of_moves_need_no_search(lines: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hoistopt.planning.cycle.least_cycle", None)
    code, out, _ = lines(
        "compare", "line.toml", "new.toml", "--before", "moves.json", "--after", "moves.json"
    )
    assert code == 0
    assert "Cycle time 234 s on both sides" in out
    assert "120 to 160 *" in out


def test_json_to_a_file_and_to_standard_output(lines: Run) -> None:
    code, out, _ = lines("compare", "line.toml", "new.toml", "--json", "out.json")
    assert code == 0
    assert "Wrote out.json" in out
    code, out, err = lines("compare", "line.toml", "new.toml", "--json", "-")
    assert code == 0
    assert json.loads(out) == json.loads(Path("out.json").read_text())
    assert "becomes" in err


def test_names_are_printed_as_they_are(lines: Run) -> None:
    code, out, _ = lines("compare", "line.toml", "odd.toml")
    assert code == 0
    assert "[red]Rinse[/red] :smile:" in out


def test_moves_that_break_a_rule_are_listed(lines: Run) -> None:
    for option in ("--before", "--after"):
        code, out, err = lines("compare", "line.toml", option, "late.json", "--json", "out.json")
        assert code == 1
        assert "Violations" in out
        assert "late.json" in err
        assert not Path("out.json").exists()


def test_a_line_nothing_can_run_on_is_told(lines: Run) -> None:
    code, out, _ = lines("compare", "line.toml", "never.toml", "--json", "out.json")
    assert code == 1
    assert "never.toml: No schedule" in out
    assert not Path("out.json").exists()


def test_a_schedule_not_proved_best_is_marked(lines: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    from hoistopt.planning import cycle as planning

    solve = planning.solve

    def unproved(*arguments: object, **more: object) -> object:
        from dataclasses import replace

        return replace(solve(*arguments, **more), status="feasible")  # type: ignore[arg-type]

    monkeypatch.setattr(planning, "solve", unproved)
    code, out, _ = lines("compare", "line.toml", "new.toml")
    assert code == 0
    assert "Not proved to be the least cycle time: before and after." in out


WRONG = {
    "nothing to compare": (("line.toml",), "OTHER", "--before"),
    "missing file": (("line.toml", "none.toml"), "none.toml"),
    "missing moves": (("line.toml", "--after", "none.json"), "none.json"),
    "other unit": (("line.toml", "slow.toml"), "slow.toml", "unit = min"),
    "several degrees": (("line.toml", "new.toml", "--degree", "1-2"), "--degree = 1-2"),
    "degree zero": (("line.toml", "new.toml", "--degree", "0"), "--degree = 0"),
    "limit": (("line.toml", "new.toml", "--time-limit", "0"), "--time-limit = 0"),
    "output over an input": (("line.toml", "new.toml", "--json", "new.toml"), "--json"),
    "output in a missing folder": (("line.toml", "new.toml", "--json", "no/o.json"), "no/o.json"),
    "a third file": (("line.toml", "new.toml", "moves.json"), "moves.json"),
}


@pytest.mark.parametrize("case", WRONG)
def test_bad_input_is_one_clear_error(lines: Run, case: str) -> None:
    arguments, *named = WRONG[case]
    before = sorted(Path().iterdir())
    code, out, err = lines("compare", *arguments)
    assert (code, out) == (2, "")
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    for part in named:
        assert part in err
    assert sorted(Path().iterdir()) == before
