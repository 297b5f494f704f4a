"""What the tables look like as CSV, as JSON and on a terminal."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console

from hoistopt.analysis.figures import Report, report
from hoistopt.analysis.figures.cautions import STANDING, cautions
from hoistopt.base.text import json_text
from hoistopt.checker.record import Violation
from hoistopt.planning.result import Result
from hoistopt.problem import Problem
from hoistopt.schedule.files import read_moves
from hoistopt.show.schedule.data import result_data, verified_data
from hoistopt.show.schedule.rows import steps_table
from hoistopt.show.schedule.tables import tables
from hoistopt.show.schedule.violations import violation_data, violation_table
from hoistopt.show.tables.csvfile import csv_text
from tests.helpers.lines.small_line import (
    CYCLE,
    small_line,
    small_replay,
    small_report,
    small_schedule,
)
from tests.helpers.shown.csv_files import csv_table

pytestmark = pytest.mark.quick


def optimal(problem: Problem) -> Result:
    return Result("optimal", 65, 65, 1, 1, small_schedule(problem), 0.01)


def on_a_terminal(what: Any, width: int = 140) -> str:
    console = Console(file=io.StringIO(), width=width, force_terminal=True, emoji=False)
    with console.capture() as captured:
        console.print(what)
    return captured.get()


# -- CSV ---------------------------------------------------------------------------


def csv_rows(told: Report) -> list[dict[str, str]]:
    text = steps_table(told.steps, told.dwells, told.cycle_time, told.problem.unit).csv([STANDING])
    return csv_table(text)


PLAIN_COLUMNS = ["step", "start", "from", "to", "recipe", "load", "stage"]
PLAIN_COLUMNS += ["boundaries", "cycle_time"]


def test_csv_columns_begin_as_the_reader_wants_them() -> None:
    header = list(csv_rows(small_report())[0])
    assert header[:9] == PLAIN_COLUMNS
    for name in ("loaded_move_s", "wait_s", "drip_s", "empty_travel_s", "dwell_s"):
        assert name in header


def test_csv_by_hand() -> None:
    rows = csv_rows(small_report())
    assert [row["start"] for row in rows] == ["0", "42.5"]
    assert [row["cycle_time"] for row in rows] == ["65", "65"]
    assert rows[1]["margin_to_min_s"] == "0.5"
    assert rows[0]["dwell_s"] == rows[0]["min_dwell_s"] == ""


@pytest.mark.parametrize("name", ['=cmd|" /C calc"!A0', "+1", "-2", "@sum", "A, B", 'a"b', "'x"])
def test_csv_is_read_back_whatever_the_names(name: str, tmp_path: Path) -> None:
    told = small_report(Bath=name, A=name)
    text = steps_table(told.steps, told.dwells, told.cycle_time, "s").csv([STANDING])
    for cell in (cell for row in csv.reader(io.StringIO(text)) for cell in row):
        assert not cell.startswith(("=", "+", "-", "@"))
    path = tmp_path / "moves.csv"
    path.write_text(text)
    back = read_moves(path, told.problem)
    assert [step.target for step in back] == [name, "Out"]
    assert back.time(back.cycle) == 65
    assert [back.time(step.start) for step in back] == [0, F(85, 2)]


def test_negative_margins_stay_numbers_in_csv() -> None:
    assert csv_text(["a"], [[Decimal("-0.5")]]) == "a\n-0.5\n"


# -- JSON --------------------------------------------------------------------------


def test_json_carries_what_others_need(tmp_path: Path) -> None:
    told = small_report()
    data = json.loads(json_text(result_data(told.problem, optimal(told.problem), told)))
    expected = {
        "problem", "status", "cycle_time", "lower_bound", "gap", "degree", "loads_per_cycle",
        "unit", "runtime", "stopped", "compiling", "uncompiled", "reason", "moves", "dwells",
        "figures", "cautions", "versions",
    }  # fmt: skip
    assert set(data) == expected
    assert (data["status"], data["cycle_time"], data["degree"]) == ("optimal", 65, 1)
    assert data["moves"][1]["start"] == 42.5
    assert data["moves"][1]["from"] == "Bath"
    assert data["dwells"][0]["margin_max"] == 29.5
    assert data["figures"]["carriers_needed"] == 1
    assert "not a safety function" in data["cautions"][-1]
    path = tmp_path / "moves.json"
    path.write_text(json_text(data))
    back = read_moves(path, told.problem)
    assert [back.time(step.start) for step in back] == [0, F(85, 2)]
    assert [step.stage for step in back] == [0, 1]


def test_json_without_a_schedule_says_why() -> None:
    problem = small_line()
    result = Result("infeasible", None, None, 1, 1, None, 0.01, reason="because")
    data = json.loads(json_text(result_data(problem, result, None)))
    assert (data["status"], data["reason"], data["moves"]) == ("infeasible", "because", [])
    assert data["cycle_time"] is None


def test_json_of_a_verified_table_has_no_violations() -> None:
    told = small_report()
    data = verified_data(told.problem, told)
    assert (data["status"], data["violations"], data["loads_per_cycle"]) == ("verified", [], 1)


def test_json_of_violations_has_their_figures() -> None:
    problem = small_line()
    broken = Violation("window", "Bath too long", "Bath", 2, 3, F(180), found=F(61), limit=F(60))
    data = violation_data(problem, [broken], CYCLE, F(1, 10))
    assert data["status"] == "refused"
    assert data["violations"][0]["found"] == 61
    shown = on_a_terminal(violation_table(problem, [broken], CYCLE, F(1, 10)))
    for part in ("too long", "61", "60", "50", "Bath"):  # 180 is 50 into the third cycle
        assert part in shown


def test_a_dwell_too_short_never_looks_longer_than_it_is() -> None:
    just = Violation("window", "Bath", "Bath", 2, 1, F(90), found=F(89_999, 3000), limit=F(30))
    data = violation_data(small_line(), [just], CYCLE, F(1, 10))
    assert (data["violations"][0]["found"], data["violations"][0]["limit"]) == (29.9, 30)
    longer = replace(just, found=F(30) + F(1, 3000))
    data = violation_data(small_line(), [longer], CYCLE, F(1, 10))
    assert data["violations"][0]["found"] == 30.1


# -- terminal ----------------------------------------------------------------------


def test_names_are_shown_as_they_are_on_a_terminal() -> None:
    told = small_report(Bath="[red]B[/red] :smile:", A="[/]")
    shown = on_a_terminal(tables(told))
    assert "[red]B[/red] :smile:" in shown


def test_terminal_tables_show_the_figures() -> None:
    shown = on_a_terminal(tables(small_report()))
    for part in ("42.5", "30.5", "29.5", "55.38 loads an hour", "40.0% carrying", "1 of 3"):
        assert part in shown


def test_no_figure_is_cut_on_a_narrow_terminal() -> None:
    told = small_report(Bath="A bath with a very long name, longer than any line", A="Recipe")
    rows = [replace(row, load=number) for number, row in enumerate(told.steps, start=1)]
    shown = on_a_terminal(tables(replace(told, steps=rows)), width=80)
    assert "\N{HORIZONTAL ELLIPSIS}" not in shown
    for part in ("42.5", "30.5", "29.5"):
        assert part in shown


def test_load_and_recipe_columns_appear_only_where_they_tell_something() -> None:
    told = small_report()
    assert "Recipe" not in on_a_terminal(tables(told))
    second = replace(told.steps[1], recipe="B", load=2)
    shown = on_a_terminal(tables(replace(told, steps=[told.steps[0], second])))
    assert "Recipe" in shown
    assert "Load" in shown


def test_no_time_to_spare_is_a_caution() -> None:
    problem = small_line()
    seen = small_replay(problem)
    tight = [replace(stay, most=stay.dwell) for stay in seen.stays]
    told = report(problem, small_schedule(problem), replace(seen, stays=tuple(tight)))
    assert "Bath for all of its maximum of 30.5 s" in told.cautions[0]
    assert len(small_report().cautions) == 1


def test_every_dwell_without_a_margin_is_named_with_their_number() -> None:
    (row,) = small_report().dwells
    full = replace(row, margin_max=Decimal(0))
    rows = [
        full,
        replace(full, load=2),
        replace(full, load=2, stage=2, label="Swill", most=Decimal(90)),
        replace(full, load=3, stage=2, label="Loose", margin_max=Decimal(3)),
        replace(full, load=3, stage=3, label="Open", most=None, margin_max=None),
    ]
    (told,) = cautions("optimal", rows, "s", F(1))[:-1]
    assert told == (
        "No margin in 3 dwells: loads 1 and 2 stay in Bath for all of its maximum of 60 s and "
        "load 2 stays in Swill for all of its maximum of 90 s, to within a tick; each overstays "
        "if the hoist is late."
    )
    assert cautions("optimal", rows[3:], "s", F(1)) == [STANDING]


def test_a_schedule_that_is_not_proved_says_so() -> None:
    problem = small_line()
    told = report(problem, small_schedule(problem), small_replay(problem), "feasible")
    assert "Not proved" in told.cautions[0]
