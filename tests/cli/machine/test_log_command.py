"""`hoistopt log` as typed: the example, its files, and what cannot be used."""

from __future__ import annotations

import csv
import gzip
import json
import re
import shutil
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.helpers.command import CAUTION, PROBLEMS, Run, last_lines

pytest.importorskip("polars")

EXAMPLE = ("line.toml", "morning.csv", "--mapping", "morning.toml")


@pytest.fixture
def beside(run: Run) -> Run:
    """The command line beside the example of a log; `run` brings the line it is of."""
    for name in ("morning.csv", "morning.toml"):
        shutil.copy(PROBLEMS / "log" / name, name)
    return run


def test_the_example_is_judged_and_every_file_written(beside: Run) -> None:
    files = {
        "--json": "out.json",
        "--csv": "out.csv",
        "--html": "out.html",
        "--dwells": "dwells.svg",
        "--run-chart": "chart.png",
        "--diagram": "hour.svg",
    }
    typed = [word for pair in files.items() for word in pair]
    code, out, err = beside("log", *EXAMPLE, *typed, "--at", "2025-03-03T07:00", "--for", "20 min")
    assert (code, err) == (0, "")
    assert CAUTION in last_lines(out)
    assert all(f"Wrote {path}" in out for path in files.values())
    assert "30 loads out" in out and "local times of Europe/Berlin" in out

    data = json.loads(Path("out.json").read_text(encoding="utf-8"))
    # As the example was made: one stop of 215 s more, one lowering lost, one unknown station.
    assert [(f["line"], f["what"]) for f in data["not_explained"]] == [
        (125, "station"),
        (232, "missing lower"),
    ]
    (stop,) = data["stops"]
    assert (stop["loads_inside"], stop["over"]) == (2, 1)
    assert stop["from"] == "2025-03-03T07:01:03.9+01:00"
    (out_of_window,) = data["out_of_window"]
    assert (out_of_window["station"], out_of_window["verdict"], out_of_window["by"]) == (
        "Passivate",
        "over",
        195,
    )
    assert data["rows_left_out"] == 1
    assert data["cautions"] and "Invented" in data["note"]

    text = Path("out.csv").read_text(encoding="utf-8").splitlines()
    rows = list(csv.DictReader(line for line in text if not line.startswith(("#", '"#'))))
    assert len(rows) == sum(s["stays"] + s["not_judged"] for s in data["stages"]) == 120
    for row in rows:
        dwell, least, most = (float(row[f"{name}_s"] or "nan") for name in ("dwell", "min", "max"))
        expected = "under" if dwell < least else "over" if dwell > most else "within"
        assert row["verdict"] == ("not judged" if row["why"] else expected)
    assert {row["in"][-6:] for row in rows if row["in"]} == {"+01:00"}

    for name in ("dwells.svg", "hour.svg"):
        drawn = ElementTree.parse(name).getroot()
        marks = {element.get("id") or "" for element in drawn.iter()}
        assert "footer" in marks
        assert ("out-of-window" if name == "dwells.svg" else "stay-over") in marks
    assert Path("chart.png").read_bytes().startswith(b"\x89PNG")
    page = Path("out.html").read_text(encoding="utf-8")
    assert page.count("<svg") == 3 and "<script" not in page
    assert page.count("not a safety function") >= 2 and "missing lower" in page


def test_what_stands_in_a_log_runs_nowhere(beside: Run) -> None:
    log = Path("morning.csv").read_text(encoding="utf-8").replace(";C1", ';=1+1<b>"x')
    Path("morning.csv").write_text(log, encoding="utf-8")
    code, out, _ = beside("log", *EXAMPLE, "--csv", "out.csv", "--html", "out.html")
    assert code == 0 and "=1+1<b>" in out
    rows = [
        line for line in Path("out.csv").read_text(encoding="utf-8").splitlines() if "1+1" in line
    ]
    assert rows and all(row.startswith("\"'=1+1<b>") for row in rows)
    assert "<b>" not in Path("out.html").read_text(encoding="utf-8")


WRONG = {
    "no log": (("none.csv",), ("none.csv", "there is none")),
    "a folder": ((".",), ("directory",)),
    "no text": (("zeros.csv",), ("zeros.csv", "zeros")),
    "an empty file": (("empty.csv",), ("empty.csv", "header")),
    "a header alone": (("head.csv",), ("head.csv", "at least one event")),
    "no such column": (("odd.csv",), ("odd.csv", "column time", "--column")),
    "no such station": (("morning.csv", "--station", "1=Sink"), ("stations, 1", "Sink", "Bench")),
    "a word for neither": (("morning.csv", "--event", "AUF=up"), ("events, AUF", "lift")),
    "half an option": (("morning.csv", "--event", "AUF"), ("--event", "WORD=EVENT")),
    "no such zone": (("morning.csv", "--zone", "Mars/Base"), ("time, zone", "Mars/Base")),
    "a format that fits nothing": (
        ("morning.csv", "--mapping", "morning.toml", "--time-format", "%Y"),
        ("row 3, time", "03.03.2025 06:00:12,0"),
    ),
    "a unit for text": (
        ("morning.csv", "--mapping", "morning.toml", "--time-unit", "s"),
        ("a number of s",),
    ),
    "no such unit": (("morning.csv", "--time-unit", "weeks"), ("time, unit", "weeks")),
    "a broken archive": (("broken.csv.gz",), ("broken.csv.gz", "whole gzip file")),
    "half a Parquet file": (("broken.parquet",), ("broken.parquet", "Parquet")),
    "a mapping with an unknown table": (
        ("morning.csv", "--mapping", "odd.toml"),
        ("odd.toml", "colums"),
    ),
    "shifts out of order": (("morning.csv", "--shifts", "14:00,06:00"), ("--shifts", "rising")),
    "a stop that is no time": (("morning.csv", "--stop-after", "soon"), ("--stop-after", "soon")),
    "a time without a diagram": (("morning.csv", "--at", "2025-03-03T07:00"), ("--diagram",)),
    "a time outside the log": (
        ("morning.csv", "--mapping", "morning.toml", "--diagram", "x.svg", "--at", "2024-01-01"),
        ("--at", "2025-03-03T06:00:12+01:00"),
    ),
    "the log as output": (("morning.csv", "--csv", "morning.csv"), ("--csv", "read from")),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_used_is_one_line_and_ends_with_2(beside: Run, case: str) -> None:
    Path("zeros.csv").write_bytes(b"time,event,station\n" + bytes(300))
    Path("empty.csv").write_bytes(b"")
    Path("head.csv").write_text("time,event,station\n", encoding="utf-8")
    Path("odd.csv").write_text("when,event,station\n1,lift,Bench\n", encoding="utf-8")
    Path("broken.csv.gz").write_bytes(gzip.compress(b"time,event,station\n" * 99)[:-9])
    Path("broken.parquet").write_bytes(b"PAR1 and no more")
    Path("odd.toml").write_text("[colums]\ntime = 'Zeit'\n", encoding="utf-8")
    before = set(Path().iterdir())
    words, told = WRONG[case]
    code, out, err = beside("log", "line.toml", *words)
    assert (code, out) == (2, ""), err
    assert re.fullmatch(r"error: [^\n]+\n", err)
    for part in told:
        assert part in err
    assert set(Path().iterdir()) == before
