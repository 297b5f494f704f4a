"""Histograms of dwells and cycle times: what is drawn is what was counted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from hoistopt import InputError, Jitter, jitter
from hoistopt.base.numbers.decimals import per_cent
from hoistopt.base.text import STANDING
from hoistopt.show.drawing.histogram import edges_of
from hoistopt.show.drawing.palette import WRONG
from hoistopt.show.drawing.saving import save_figure
from hoistopt.show.jitter.figure import draw_cycle_times, draw_dwells, draw_jitter
from hoistopt.show.jitter.table import interval, jitter_rows, jitter_summary
from tests.helpers.lines.checked_line import usual_line, usual_table
from tests.helpers.lines.small_line import small_line, small_schedule
from tests.helpers.shown.csv_files import csv_split


@pytest.fixture(scope="module")
def found() -> Jitter:
    problem = usual_line(b={"min": 40, "max": 52})
    return jitter(problem, usual_table(), ["move plus uniform 0 4"], runs=40, cycles=25)


def axes() -> Any:
    from matplotlib.figure import Figure

    return Figure().add_subplot()


def heights(ax: Any, name: str) -> tuple[np.ndarray, np.ndarray]:
    (patch,) = [patch for patch in ax.patches if patch.get_gid() == name]
    data = patch.get_data()
    return data.values, data.edges


def test_every_dwell_is_in_a_bar_and_those_too_long_are_marked(found: Jitter) -> None:
    ax, stage = axes(), found.stages[1]
    assert 0 < stage.share.out < stage.share.loads
    draw_dwells(stage, "s", ax)
    inside, edges = heights(ax, "dwells")
    outside, _ = heights(ax, "too-long")
    assert (inside.sum(), outside.sum()) == (
        stage.share.loads - stage.share.out,
        stage.share.out,
    )
    # The maximum is an edge: no bar holds both.
    assert 52.0 in edges
    assert not outside[edges[:-1] < 52].any()
    assert not inside[edges[:-1] >= 52].any()
    (marked,) = [patch for patch in ax.patches if patch.get_gid() == "too-long"]
    from matplotlib.colors import to_hex

    assert to_hex(marked.get_facecolor()) == WRONG
    lines = {line.get_gid(): line.get_xdata()[0] for line in ax.lines}
    assert lines == {"limit-max": 52.0}
    assert f"{per_cent(stage.share.share)} %" in ax.get_title(loc="left")


def test_a_stage_in_which_all_is_well(found: Jitter) -> None:
    ax = axes()
    draw_dwells(found.stages[0], "s", ax)
    assert {patch.get_gid() for patch in ax.patches} == {"dwells"}
    assert "none over max." in ax.get_title(loc="left")


def test_cycle_times_and_the_planned_one(found: Jitter) -> None:
    ax = axes()
    draw_cycle_times(found, ax)
    bars, _ = heights(ax, "cycle-times")
    assert bars.sum() == found.cycle_times.size
    assert [line.get_xdata()[0] for line in ax.lines] == [100.0]


def test_a_panel_for_each_stage_and_one_for_the_cycle(found: Jitter) -> None:
    figure = draw_jitter(found)
    titles = [ax.get_title(loc="left") for ax in figure.axes]
    assert [title.split(":")[0] for title in titles] == ["A", "B", "cycle time"]
    words = " ".join(text.get_text() for text in figure.texts)
    assert "40 runs of 25 cycles" in words
    assert "move plus uniform 0 4" in words
    assert "not a safety function" in words


def test_dwells_that_are_all_the_same_can_be_drawn(tmp_path: Path) -> None:
    problem = small_line()
    found = jitter(problem, small_schedule(problem), [], runs=1, cycles=3)
    save_figure(draw_jitter(found), problem, tmp_path / "a.png")
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")


def test_the_drawing_as_a_file(found: Jitter, tmp_path: Path) -> None:
    for name, begins in (("a.png", b"\x89PNG"), ("a.svg", b"<?xml"), ("a.pdf", b"%PDF-")):
        save_figure(draw_jitter(found), found.problem, tmp_path / name)
        content = (tmp_path / name).read_bytes()
        assert content.startswith(begins)
    with pytest.raises(InputError, match="png"):
        save_figure(draw_jitter(found), found.problem, tmp_path / "a.bmp")


def test_the_figures_in_words_and_in_csv(found: Jitter) -> None:
    words = jitter_summary(found)
    assert f"{found.any_stage.out} of {found.any_stage.loads} loads" in words
    assert interval(found.any_stage) in words
    assert "100 s planned" in words
    _, rows = csv_split(jitter_rows(found).csv([STANDING]))
    assert rows[0].startswith("recipe,stage,stage_name,stations,loads,over_max,share")
    assert rows[2].startswith(f"R,2,B,B,{found.stages[1].share.loads},{found.stages[1].share.out},")


def test_bars_end_at_every_limit_and_what_is_just_beyond_one_is_seen() -> None:
    values = np.array([239.9, 240.0, 250.0, 330.0, 360.0, 360.05])
    edges = edges_of(values, 240.0, 360.0)
    assert {240.0, 360.0} <= set(edges.tolist())
    assert (np.diff(edges) > 2).all() and (np.diff(edges) < 4).all()
    counts, _ = np.histogram(values, edges)
    assert counts[0] == 1 and counts[-1] == 2 and counts.sum() == len(values)
    assert edges_of(values, None, 500.0)[[0, -1]].tolist() == [239.9, 360.05]
