"""`hoistopt study` from end to end: what it prints, writes, draws and refuses."""

from __future__ import annotations

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from hoistopt import InputError, study
from hoistopt.analysis.study import Study
from hoistopt.analysis.study.design import from_rows
from hoistopt.base.text import STANDING
from hoistopt.checker import verify
from hoistopt.schedule.files import read_moves
from hoistopt.show.drawing.saving import save_figure
from hoistopt.show.study.curves import draw_curves
from hoistopt.show.study.data import study_data, study_rows
from hoistopt.show.study.figure import draw_study
from hoistopt.show.study.frontier import draw_frontier
from hoistopt.show.study.table import study_summary
from tests.helpers.command import CAUTION, PROBLEMS, Run, last_lines
from tests.helpers.shown.csv_files import csv_table
from tests.helpers.studying import AtOnce, line

pytestmark = pytest.mark.usefixtures("at_once")

PRICED = ["--vary", "parallel(Dryer) = 1@0, 2@45000", "--vary", "hoist.empty.speed=0.4@0,0.8@9000"]


def test_a_study_as_a_table_and_as_files(run: Run) -> None:
    code, out, err = run(
        "study", "line.toml", *PRICED, "--degree", "2", "--json", "s.json", "--csv", "s.csv"
    )
    assert (code, err) == (0, "")
    assert out.count("proved least") == 5
    assert "as it is" in out and "Cost" in out and "on the frontier" in out
    assert "Most loads per hour" in out and "Efficient by cost" in out
    assert CAUTION in last_lines(out)
    data = json.loads(Path("s.json").read_text())
    rows = csv_table(Path("s.csv").read_text())
    assert [row["name"] for row in rows] == ["as it is", "", "", "", ""]
    assert [row["cost"] for row in rows] == ["", "0", "9000", "45000", "54000"]
    for row, point in zip(rows, [data["reference"], *data["points"]], strict=True):
        assert float(row["cycle_time_s"]) == point["cycle_time"] == point["lower_bound"]
        assert point["loads_per_cycle"] == 2
        assert point["loads_per_hour"] == pytest.approx(7200 / point["cycle_time"], rel=1e-8)
        assert row["on_frontier"] == str(int(point["on_frontier"]))
        assert float(row["gain"]) == pytest.approx(
            data["reference"]["cycle_time"] / point["cycle_time"] - 1, abs=1e-7
        )
    bigger = data["points"][2]
    assert bigger["settings"] == {"parallel(Dryer)": 2, "hoist.empty.speed": 0.4}
    assert bigger["gain"] > 0.3


def test_the_moves_of_every_point_stand_in_the_json_and_replay(run: Run) -> None:
    run("study", "line.toml", *PRICED, "--degree", "2", "--json", "s.json", "--quiet")
    for point in json.loads(Path("s.json").read_text())["points"]:
        Path("moves.json").write_text(json.dumps(point))
        (design,) = from_rows(line(), [point["settings"]])
        assert verify(design.problem, read_moves("moves.json", design.problem)) == ()


def test_points_without_a_schedule_are_told(run: Run) -> None:
    code, out, _ = run("study", "line.toml", "--vary", "cycle.max = 100, 500", "--csv", "s.csv")
    assert code == 0
    assert "1 of 2 points: no schedule." in out
    reason = csv_table(Path("s.csv").read_text())[1]["reason"]
    assert "100" in reason
    assert run("study", "line.toml", "--vary", "cycle.max = 100, 120")[0] == 1
    hard = str(PROBLEMS / "quillhaven_anodising.toml")
    code, out, _ = run("study", hard, "--vary", "degree = 8", "--time-limit", "0.001")
    assert (code, "none found in time" in out) == (3, True)


def test_what_makes_no_difference_is_told(run: Run) -> None:
    file = str(PROBLEMS / "phillips_unger_1976.toml")
    out = run("study", file, "--vary", "hoist.lift = 1, 2")[1]
    assert "hoist.lift makes no difference to this line." in out
    assert "No point" not in out
    out = run("study", "line.toml", "--vary", "parallel(Dryer) = 1, 2")[1]
    assert "help from a higher degree on" in out
    out = run("study", "line.toml", "--vary", "parallel(Dryer) = 1, 2", "--degree", "2")[1]
    assert "higher degree" not in out


def test_designs_from_a_table_by_name(run: Run) -> None:
    Path("d.csv").write_text("name,parallel(Dryer),cost\nas now,,0\nbigger,2,45000\n")
    code, out, _ = run("study", "line.toml", "--designs", "d.csv", "--degree", "2")
    assert code == 0
    assert "Efficient by cost: 0: 15.385 (as now); 45000: 21.596 (bigger)." in out


def test_a_parameter_may_stand_for_the_cost(run: Run) -> None:
    given = ["--vary", "parallel(Dryer) = 1..3", "--degree", "2", "--against", "parallel(Dryer)"]
    code, out, _ = run("study", "line.toml", *given)
    assert code == 0
    assert "Efficient by parallel(Dryer): 1: 15.385" in out and "; 2: 21.596" in out


def test_json_on_stdout_stands_alone(run: Run) -> None:
    code, out, err = run("study", "line.toml", "--vary", "degree = 1", "--json", "-")
    assert code == 0
    assert json.loads(out)["points"][0]["status"] == "optimal"
    assert CAUTION in last_lines(err)


def test_kept_answers_are_used_again_by_the_command(run: Run) -> None:
    given = ["study", "line.toml", "--vary", "degree = 1, 2", "--keep", "kept.jsonl"]
    first = run(*given)
    size = Path("kept.jsonl").stat().st_size
    assert run(*given) == first
    assert Path("kept.jsonl").stat().st_size == size > 500


VARY = ("study", "line.toml", "--vary", "degree = 1")
REFUSED = {
    "nothing to vary": (("study", "line.toml"), "--vary"),
    "both ways": ((*VARY, "--designs", "d.csv"), "--designs"),
    "no such file": (("study", "none.toml", "--vary", "degree=1"), "none.toml"),
    "no such designs": (("study", "line.toml", "--designs", "none.csv"), "none.csv"),
    "unreadable": (("study", "line.toml", "--vary", "degree"), "--vary"),
    "varied twice": ((*VARY, "--vary", "degree=2"), "--vary, degree"),
    "wrong in a combination": (
        ("study", "line.toml", "--vary", "stage(Wash).max = 150, 20"), "line.toml", "= 20",
    ),
    "wrong degree": ((*VARY, "--degree", "0"), "--degree"),
    "several degrees": ((*VARY, "--degree", "1,2"), "--degree"),
    "wrong limit": ((*VARY, "--time-limit", "x"), "--time-limit"),
    "wrong jobs": ((*VARY, "--jobs", "0"), "--jobs"),
    "wrong seed": ((*VARY, "--seed", "-1"), "--seed"),
    "wrong picture": ((*VARY, "--diagram", "x.doc"), "--diagram"),
    "missing folder": ((*VARY, "--json", "none/x.json"), "--json"),
    "over the problem": ((*VARY, "--csv", "line.toml"), "--csv"),
    "keep over the problem": ((*VARY, "--keep", "line.toml"), "--keep"),
    "keep over a file": ((*VARY, "--keep", "d.csv"), "d.csv"),
    "against nothing varied": ((*VARY, "--against", "hoist.lift"), "--against", "degree"),
    "against words": (
        ("study", "line.toml", "--vary", "carriers.return = outside", "--against",
         "carriers.return"), "--against",
    ),
    "too many curves": (
        (*VARY, "--vary", "hoist.lift = 1..13", "--vary", "hoist.lower = 1..13", "--diagram",
         "x.png"), "--diagram", "12 curves",
    ),
}  # fmt: skip


@pytest.mark.parametrize("wrong", REFUSED)
def test_wrong_input_is_one_clear_line(wrong: str, run: Run, tmp_path: Path) -> None:
    Path("d.csv").write_text("degree\n1\n")
    before = {path: path.read_bytes() for path in tmp_path.iterdir()}
    arguments, *named = REFUSED[wrong]
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert err.startswith("error: ") and err.count("\n") == 1
    assert all(part in err for part in named), err
    assert {path: path.read_bytes() for path in tmp_path.iterdir()} == before


# -- pictures --------------------------------------------------------------------------


@pytest.fixture(scope="module")
def priced() -> Study:
    varied = {"parallel(Dryer)": [(1, 0), (2, 45000)], "hoist.empty.speed": [(0.4, 0), (0.8, 9000)]}
    return study(line(), varied, degree=2, executor=AtOnce())


def drawn(ax: Any, gid: str) -> list[tuple[float, float]]:
    """Points of the lines of that name."""
    lines = [each for each in ax.get_lines() if (each.get_gid() or "").startswith(gid)]
    return [(float(x), float(y)) for each in lines for x, y in zip(*each.get_data(), strict=True)]


def test_curves_show_the_cycle_time_of_every_point(priced: Study) -> None:
    ax = draw_curves(priced)
    shown = {
        (float(p.settings["parallel(Dryer)"] or 0), float(p.cycle_time or 0)) for p in priced.points
    }
    assert set(drawn(ax, "curve")) == set(drawn(ax, "proven")) == shown
    assert drawn(ax, "open") == []
    assert ax.get_ylabel() == "cycle time [s]" and ax.get_xlabel() == "parallel(Dryer)"
    assert [text.get_text() for text in ax.get_legend().get_texts()] == ["0.4", "0.8"]


def test_the_mean_time_per_load_is_drawn_where_loads_differ() -> None:
    found = study(line(), {"degree": [1, 2]}, executor=AtOnce())
    ax = draw_curves(found)
    assert set(drawn(ax, "curve")) == {(1.0, 234.0), (2.0, 234.0)}
    assert ax.get_ylabel() == "mean time per load [s]"


def test_points_not_proved_are_hollow_and_lead_to_their_bound(priced: Study) -> None:
    from dataclasses import replace

    half = [
        replace(p, answer=replace(p.answer, status="feasible", bound=Fraction(300)))
        if n == 3
        else replace(p, answer=replace(p.answer, status="infeasible", schedule=None))
        if n == 0
        else p
        for n, p in enumerate(priced.points)
    ]
    found = replace(priced, points=tuple(half))
    ax = draw_curves(found)
    time = float(priced.points[3].cycle_time or 0)
    assert drawn(ax, "open") == [(2.0, time)]
    assert drawn(ax, "to-bound") == [(2.0, 300.0), (2.0, time)]
    signs = [t for t in ax.texts if (t.get_gid() or "").startswith("without")]
    assert [(sign.get_text(), sign.xy[0]) for sign in signs] == [("x", 1.0)]
    ax = draw_frontier(found)
    assert drawn(ax, "to-bound")[1] == (54000.0, 7200 / 300)


def test_the_frontier_is_drawn_as_steps(priced: Study) -> None:
    best = priced.frontier()
    assert [p.design.cost for p in best] == [Decimal(0), Decimal(9000), Decimal(45000)]
    ax = draw_frontier(priced)
    expected = [(float(p.design.cost or 0), float(p.throughput or 0)) for p in best]
    assert drawn(ax, "frontier") == expected == drawn(ax, "efficient")
    assert len(drawn(ax, "beaten")) == 1
    letters = [t.get_text() for t in ax.texts if t.get_gid() == "letter"]
    assert letters == ["A", "B", "C"]
    key = [text.get_text() for text in ax.get_legend().get_texts()]
    assert any(text.startswith("B  9000: parallel(Dryer) = 1") for text in key)


@pytest.mark.usefixtures("lean_fonts")
@pytest.mark.parametrize("kind", ["png", "svg", "pdf"])
def test_the_page_is_saved_and_the_same_each_time(priced: Study, kind: str, tmp_path: Path) -> None:
    first, second = tmp_path / f"a.{kind}", tmp_path / f"b.{kind}"
    for path in (first, second):
        save_figure(draw_study(priced), priced.problem, path)
    assert first.read_bytes() == second.read_bytes()
    assert first.stat().st_size > 8000


def test_nothing_on_the_page_covers_anything_else(priced: Study) -> None:
    figure = draw_study(priced)
    figure.canvas.draw()
    boxes = [ax.get_tightbbox() for ax in figure.axes]
    boxes += [text.get_window_extent() for text in figure.texts]
    for n, one in enumerate(boxes):
        assert one.x0 >= 0 and one.y0 >= 0
        assert one.x1 <= figure.bbox.x1 and one.y1 <= figure.bbox.y1
        assert not any(one.overlaps(other) for other in boxes[n + 1 :])


def test_a_page_without_costs_has_one_picture_and_a_list_of_designs_has_no_curve() -> None:
    assert len(draw_study(study(line(), {"degree": [1]}, executor=AtOnce())).axes) == 1
    rows = [{"degree": 1, "name": "one"}, {"degree": 2, "name": "two"}]
    ax = draw_curves(study(line(), designs=rows, executor=AtOnce()))
    assert [label.get_text() for label in ax.get_xticklabels()] == ["one", "two"]
    assert all(each.get_linestyle() == "None" for each in ax.get_lines() if each.get_gid())


def test_more_curves_than_can_be_told_apart_are_refused() -> None:
    varied = {"hoist.lift": list(range(4, 17)), "degree": [1], "hoist.lower": [1, 2]}
    found = study(line(), varied, executor=AtOnce())
    assert draw_curves(found).get_xlabel() == "hoist.lift [s]"
    many = study(line(), {"carriers.count": ["none", *range(3, 16)], "mix": "1"}, executor=AtOnce())
    assert draw_curves(many).get_xlabel() == "carriers.count"
    worse = {"carriers.count": [20, None], "hoist.lift": [5, None][:1], "station(Wash).lift": []}
    worse["station(Wash).lift"] = [None, *range(1, 14)]
    with pytest.raises(InputError, match="12 curves"):
        draw_curves(study(line(), worse, executor=AtOnce()))


def test_names_are_no_markup_and_no_formula(run: Run) -> None:
    text = Path("line.toml").read_text().replace('"Dryer"', '"[red]Dryer $x^2$"')
    Path("odd.toml").write_text(text)
    code, out, _ = run(
        "study", "odd.toml", "--vary", "parallel([red]Dryer $x^2$) = 1@0, 2@5", "--degree", "2",
        "--diagram", "odd.png", "--csv", "odd.csv",
    )  # fmt: skip
    assert code == 0
    assert "[red]Dryer" in out.replace("\n", "")
    assert Path("odd.png").stat().st_size > 8000


def test_texts_and_data_agree_with_the_study(priced: Study) -> None:
    data, text = study_data(priced), study_rows(priced).csv([STANDING])
    assert data["complete"] and data["frontier_against"] == "cost"
    assert len(csv_table(text)) == 1 + len(priced.points)
    best = priced.best
    assert best is not None and best.design.label in study_summary(priced)
    assert best.throughput == max(p.throughput for p in priced.points if p.throughput)
