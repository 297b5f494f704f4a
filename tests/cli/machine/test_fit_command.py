"""The command fit, from end to end, and what is wrong with lists."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hoistopt import load_problem
from hoistopt.plant.fit.figures import Figure
from tests.helpers.command import CAUTION, Run, last_lines
from tests.helpers.logs.stopwatch_lists import Stopwatch
from tests.helpers.shown.csv_files import csv_table


def write_list(slower: float = 1.3) -> None:
    line = load_problem("line.toml")
    watch = Stopwatch(line, {Figure("lift"): 6 * slower}, noise=0.2, seed=1)
    Path("times.csv").write_text("\n".join(watch.rows(40, parts=True)) + "\n")


def test_fit_writes_a_changed_file_and_what_it_changes(run: Run) -> None:
    write_list()
    code, out, err = run(
        "fit", "line.toml", "times.csv", "--out", "new.toml", "--cycle", "--degree", "1",
        "--workers", "1", "--json", "fit.json", "--csv", "fit.csv", "--diagram", "fit.svg",
    )  # fmt: skip
    assert (code, err) == (0, "")
    for part in ("Figures of the hoist", "standard error", "Least cycle time at degree 1: 234 s"):
        assert part.lower() in out.lower()
    assert CAUTION in last_lines(out)
    data = json.loads(Path("fit.json").read_text())
    lift = data["figures"][0]
    assert lift["name"] == "lift" and lift["today"] == 6
    assert lift["interval"][0] < 7.8 < lift["interval"][1]
    assert data["cycle"]["today"]["cycle_time"] == 234 < data["cycle"]["new"]["cycle_time"]
    new = load_problem("new.toml")
    assert float(new.hoist.lift or 0) == lift["new"]
    assert "# Invented data." in Path("new.toml").read_text()
    assert new.scatter is not None and list(new.scatter.times) == data["scatter"]
    rows = csv_table(Path("fit.csv").read_text())
    assert {row["what"] for row in rows} == {"lift", "loaded travel", "lower", "empty travel"}
    assert len(rows) == len(data["timed"])
    assert Path("fit.svg").read_text().startswith("<?xml")


WRONG = {
    "no list": ("", "expected"),
    "no times": ("from,to\nBench,Wash\n", "expected"),
    "unknown column": ("from,to,time,lit\nBench,Wash,20,3\n", "lit"),
    "two columns alike": ("from,to,time,seconds\nBench,Wash,20,3\n", '"time"'),
    "unknown station": ("from,to,time\nBench,Wsh,20\n", 'row 2, column "to" = Wsh'),
    "no number": ("from,to,time\nBench,Wash,twenty\n", 'row 2, column "time" = twenty'),
    "a time below 0": ("from,to,time\nBench,Wash,-3\n", 'row 2, column "time" = -3'),
    "a way to where it is": ("from,to,time\nWash,Wash,20\n", "row 2 = Wash"),
    "no row": ("from,to,time\n", "at least one row"),
    "loaded or not": ("from,to,loaded,time\nBench,Wash,perhaps,20\n", "perhaps"),
    "an empty lift": ("from,to,loaded,lift\nBench,Wash,no,7\n", 'row 2, column "lift" = 7'),
    "time and parts": ("from,to,time,lift\nBench,Wash,20,7\n", "either time or its parts"),
    "all of it drip": ("from,to,time,drip\nBench,Wash,20,21\n", "more than the drip"),
    "a part of nowhere": ("from,to,lower\nBench,,5\n", 'row 2, column "to"'),
    "too many cells": ("from,to,time\nBench,Wash,20,7\n", "row 2"),
    "decimal comma": ("from,to,time\nBench,Wash,20,5\n", "row 2"),
}


@pytest.mark.parametrize("wrong", WRONG)
def test_a_wrong_list_is_one_line(run: Run, wrong: str) -> None:
    text, *named = WRONG[wrong]
    Path("times.csv").write_text(text)
    code, out, err = run("fit", "line.toml", "times.csv", "--out", "new.toml")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1 and "times.csv" in err
    for part in named:
        assert part in err
    assert not Path("new.toml").exists()


def test_wrong_options_are_one_line(run: Run) -> None:
    write_list()
    for arguments, part in (
        (("--out", "line.toml"), "--out"),
        (("--out", "new.json"), "--out"),
        (("--time-limit", "0"), "--time-limit"),
        (("--column", "time"), "--column"),
        (("--mapping", "none.toml"), "none.toml"),
    ):
        code, out, err = run("fit", "line.toml", "times.csv", *arguments)
        if arguments[0] != "--mapping":  # which a list does not need
            assert (code, out) == (2, "") and err.count("\n") == 1 and part in err
    code, _, err = run("fit", "line.toml", "none.csv")
    assert code == 2 and "none.csv" in err and err.count("\n") == 1
