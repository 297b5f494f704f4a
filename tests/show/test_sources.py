"""Where a window comes from stands beside it in tables, files, the page, the sheet and answers."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import hoistopt
from hoistopt.cli import main
from tests.helpers.lines.small_line import small_line

SOURCE = "Data sheet Q7, page 2"


@pytest.fixture
def line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    data = small_line().to_data()
    data["recipe"][0]["stage"][0]["source"] = SOURCE
    hoistopt.Problem.from_data(data).save("line.toml")
    Path("m.csv").write_text("start,from,to,cycle_time\n0,In,Bath,65\n42.5,Bath,Out,65\n")
    return tmp_path


@pytest.fixture
def said(capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    def run(*arguments: str, code: int = 0) -> str:
        assert main(arguments) == code
        return " ".join(capsys.readouterr().out.split())

    return run


def test_tables_and_files(line: Path, said: Callable[..., str]) -> None:
    out = said("verify", "line.toml", "m.csv", "--json", "o.json", "--workbook", "o.xlsx")
    assert SOURCE in out
    (dwell,) = json.loads(Path("o.json").read_text())["dwells"]
    assert dwell["source"] == SOURCE
    # Where nothing is said there is no column for it.
    small_line().save("plain.toml")
    out = said("verify", "plain.toml", "m.csv", "--json", "o.json")
    assert "ource" not in out
    assert "source" not in json.loads(Path("o.json").read_text())["dwells"][0]


def test_the_page_and_the_sheet(line: Path, said: Callable[..., str]) -> None:
    said("report", "line.toml", "m.csv", "r.html")
    assert f"{SOURCE}</bdi></td>" in Path("r.html").read_text()
    said("sheet", "line.toml", "m.csv", "s.html")
    assert f"Bath: {SOURCE}" in Path("s.html").read_text()


def test_answers_that_name_a_window(line: Path, said: Callable[..., str]) -> None:
    search = ("--time-limit", "5", "--workers", "1")
    assert f"in Bath (source: {SOURCE})" in said(
        "conflict", "line.toml", "--at-most", "50", *search, code=1
    )
    assert f"Bath minimum (source: {SOURCE})" in said("why", "line.toml", "m.csv", *search)


def test_what_a_stage_says_goes_before_what_its_station_says() -> None:
    data = small_line().to_data()
    data["station"][1]["source"] = "Of the bath"
    problem = hoistopt.Problem.from_data(data)
    assert problem.source_of("A", 1) == problem.source_of("A", 1, "Bath") == "Of the bath"
    data["recipe"][0]["stage"][0]["source"] = "Of the stage"
    assert hoistopt.Problem.from_data(data).source_of("A", 1) == "Of the stage"
