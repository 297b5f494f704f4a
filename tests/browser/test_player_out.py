"""A tank out of service in the player: crossed out, and named so in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt.show.report import report_html
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.report_window import Window

_DRAWN = """
const box = (e) => { const r = e.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; };
const stage = document.querySelector('#stage svg').getBoundingClientRect();
return [...document.querySelectorAll('#stage .station')].map((e) => {
  const label = e.querySelector('.name'), [left, top, right, bottom] = box(label);
  return { label: [...label.querySelectorAll('tspan')].map((t) => t.textContent).join(' '),
           crossed: Boolean(e.querySelector('.crossed')), bath: Boolean(e.querySelector('.bath')),
           title: e.querySelector('title').textContent,
           inside: left >= stage.left - 1 && bottom <= stage.bottom + 1 };
});
"""  # noqa: E501


@pytest.mark.parametrize("width", [1280, 420])
def test_it_is_marked_in_drawing_and_board(width: int, driver: Any, tmp_path: Path) -> None:
    problem = hoistopt.load_problem(PROBLEMS / "parallel_tanks.toml")
    problem = problem.with_out_of_service(["Nickel 2"])
    result = hoistopt.solve(problem, 1, workers=1)
    assert result.schedule is not None and result.replay is not None
    path = tmp_path / "out.html"
    path.write_text(report_html(problem, result.schedule, result.replay, result), encoding="utf-8")
    window = Window(driver, path)
    window.resize(width, 900)
    window.media()
    window.open()
    drawn = window.run(_DRAWN)
    out = [station for station in drawn if "out of service" in station["label"]]
    assert [station["title"] for station in out] == ["Nickel 2, out of service"]
    assert [station["crossed"] for station in drawn] == [station in out for station in drawn]
    assert not out[0]["bath"] and all(station["inside"] for station in drawn)
    states = [row["state"] for row in window.seen()["board"].values()]
    assert states.count("out of service") == 1 and "empty" in states
    window.assert_quiet()
