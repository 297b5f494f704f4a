"""Report and notebook tell of the least cycle and of the shortest that can be run."""

from __future__ import annotations

from dataclasses import replace

import hoistopt
from hoistopt.app.report import report
from hoistopt.planning.forgiving import with_runnable
from hoistopt.planning.result import Result
from hoistopt.problem import Problem, Scattering
from hoistopt.show.notebook import html
from hoistopt.show.schedule.runnable import good_words, margin_data, percent_out
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.report_pages import player_record, rows, tree

LINE = PROBLEMS / "three_tanks_dryer.toml"


def _stated() -> Problem:
    scatter = Scattering("move times triangular 0.97 1 1.15", source="Invented.")
    return hoistopt.load_problem(LINE).model_copy(update={"scatter": scatter})


def _result(problem: Problem) -> Result:
    return with_runnable(hoistopt.solve(problem, workers=1))


def test_the_report_has_both_and_plays_the_one_chosen() -> None:
    for show in ("least", "runnable"):
        made = report(LINE, show=show)  # type: ignore[arg-type]
        assert made.page is not None
        page = tree(made.page)
        (table,) = page.all("table", class_="both")
        found = {row["Schedule"]: row for row in rows(table)}
        assert found["Cycle time"]["Least cycle time, proved"] == "234 s"
        longer = float(found["Cycle time"]["Shortest that can be run"].removesuffix(" s"))
        assert longer > 234
        wanted = longer if show == "runnable" else 234
        (card,) = page.all("div", class_="card big")
        assert f"{wanted:g} s" in card.text
        assert ("Can be run" in card.text) == (show == "runnable")
        assert player_record(made.page)["cycleTime"] == wanted


def test_the_report_says_what_is_simulated() -> None:
    made = report(_stated())
    assert made.page is not None
    assert "under move times triangular 0.97 1 1.15 (as the problem file states)" in made.page
    assert "Can be run" in made.page


def test_the_notebook_tells_of_both_and_shows_the_one_that_can_be_run() -> None:
    assumed, stated = _result(hoistopt.load_problem(LINE)), _result(_stated())
    assert assumed.runnable is not None and stated.runnable is not None
    longer = f"{stated.runnable.cycle_time:g}"
    for result, shown in ((assumed, "least"), (stated, "runnable")):
        page = html(result)
        assert "Cycle time 234 s at degree 1, proved to be the least" in page
        assert f"can be run: {longer} s" in page
        (*_, last) = result.runnable.schedule.steps if shown == "runnable" else (
            result.schedule.steps  # type: ignore[union-attr]
        )  # fmt: skip
        assert last.source in page
    assert html(stated) != html(assumed)
    assert html(replace(stated, runnable=None, margin=None)) != html(stated)


def test_what_json_has_of_a_margin_is_what_was_found() -> None:
    result = _result(_stated())
    assert result.margin is not None
    data = margin_data(_stated(), result.margin)
    assert data["scatter"] == {
        "times": ["move times triangular 0.97 1 1.15"], "source": "Invented.", "assumed": False,
    }  # fmt: skip
    assert data["out_of_window"]["low"] <= data["out_of_window"]["share"]
    assert data["out_of_window"]["share"] <= data["out_of_window"]["high"]
    assert data["tightest_float"]["time"] == 0


def test_hardly_any_good_load_is_told_as_that() -> None:
    problem = hoistopt.load_problem(LINE)
    found = _result(problem).margin
    assert found is not None
    seen = found.out_of_window
    nearly = replace(found, out_of_window=replace(seen, out=99_999, loads=100_000))
    assert percent_out(nearly) == "more than 99.9 %"
    assert good_words(problem, nearly) == "less than 0.01"
    all_out = replace(found, out_of_window=replace(seen, out=100_000, loads=100_000))
    assert (percent_out(all_out), good_words(problem, all_out)) == ("100 %", "0")
    half = replace(found, out_of_window=replace(seen, out=1, loads=2))
    assert percent_out(half) == "50 %"
    assert float(good_words(problem, half)) > 1
