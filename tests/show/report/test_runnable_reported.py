"""Report and notebook tell of the least cycle and of the shortest that can be run."""

from __future__ import annotations

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt.app.report import report
from hoistopt.app.solve import solve
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.checker import Refused
from hoistopt.checker.record import Replay
from hoistopt.margin.figures import margin_figures
from hoistopt.planning.forgiving import with_runnable
from hoistopt.planning.result import Result
from hoistopt.problem import Problem, Scattering
from hoistopt.schedule.files import MovesFile
from hoistopt.schedule.json_moves import Take
from hoistopt.show.notebook import html
from hoistopt.show.report import report_html
from hoistopt.show.schedule.answer import SolvedAnswer
from hoistopt.show.schedule.runnable import (
    good_words,
    margin_data,
    percent_out,
    said_of,
    side_by_side,
)
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.report_pages import Node, player_record, rows, tree

LINE = PROBLEMS / "three_tanks_dryer.toml"


def _stated() -> Problem:
    scatter = Scattering("move times triangular 0.97 1 1.15", source="Invented.")
    return hoistopt.load_problem(LINE).model_copy(update={"scatter": scatter})


_results: dict[str, Result] = {}


def _result(problem: Problem) -> Result:
    """Both schedules, looked for once and the same for all who ask."""
    key = json.dumps(problem.to_data(), default=str)
    if key not in _results:
        _results[key] = with_runnable(hoistopt.solve(problem, workers=1))
    return _results[key]


def test_the_report_has_both_and_plays_the_one_chosen() -> None:
    for show in ("least", "runnable"):
        made = report(LINE, show=show)  # type: ignore[arg-type]
        assert made.page is not None
        page = tree(made.page)
        (table,) = page.all("table", class_="both")
        found = {row["Schedule"]: row for row in rows(table)}
        assert found["Cycle time"]["Least cycle time, proved"] == "234 s"
        longer = float(found["Cycle time"]["Shortest found that can be run"].removesuffix(" s"))
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


# -- warned of where nobody can miss it -------------------------------------------------


def _page(result: Result, seen: Replay | None) -> Node:
    assert result.problem is not None and seen is not None
    return tree(report_html(result.problem, seen.schedule, seen, result))


def _top(page: Node) -> str:
    (top,) = page.all("div", class_="warning")
    return top.text


def test_a_page_of_a_cycle_that_cannot_be_run_says_so_before_its_figures() -> None:
    result = _result(hoistopt.load_problem(LINE))
    least, other = result.margin, result.runnable
    assert least is not None and other is not None and other.met
    page = _page(result, result.replay)
    top = _top(page)
    assert top.startswith("This cycle cannot be run as planned: ")
    assert f"{percent_out(least)} of the loads out of window" in top
    assert f"Shortest cycle found that can be run: {other.cycle_time:g} s, " in top
    assert "--show runnable writes the page of that one" in top
    (card,) = page.all("div", class_="card big")
    badges = [badge.text for badge in card.all("strong")]
    assert [badge[2:] for badge in badges] == ["Proved least", "Cannot be run as planned"]
    (steps,) = page.all("table", class_="steps")
    assert "cannot be run as planned" in steps.all("caption")[0].text
    # The one that can be run is not warned of, nor one of which that is not known.
    for unwarned in (
        _page(result, other.replay),
        _page(replace(result, margin=None, runnable=None), result.replay),
    ):
        assert "annot be run as planned" not in unwarned.text


def test_a_proof_in_a_file_of_moves_is_warned_of_as_well(tmp_path: Path) -> None:
    path = tmp_path / "moves.json"
    path.write_text(json.dumps(solve(LINE, effort=Effort(workers=1)).data()))
    for which, warned in (("least", True), ("runnable", False)):
        made = report(LINE, MovesFile(path, which)).page  # type: ignore[arg-type]
        assert made is not None
        page = tree(made)
        assert ("This cycle cannot be run as planned: " in _top(page)) == warned
        (card,) = page.all("div", class_="card big")
        assert ("Proved least" in card.text) == warned
        assert ("Cannot be run as planned" in card.text) == warned


_files: dict[str, str] = {}


def _solved_json() -> dict[str, Any]:
    """What `solve --json` writes, searched for once."""
    if not _files:
        _files["data"] = json.dumps(solve(LINE, effort=Effort(workers=1)).data())
    found: dict[str, Any] = json.loads(_files["data"])
    return found


@pytest.mark.parametrize("which", ["least", "runnable"])
def test_the_page_of_a_file_with_both_has_the_section_of_the_search(
    which: Take, tmp_path: Path
) -> None:
    """The figures are those that `solve` told: the same draws judge the same moves."""
    data, path = _solved_json(), tmp_path / "moves.json"
    path.write_text(json.dumps(data))
    made = report(LINE, MovesFile(path, which)).page
    assert made is not None
    page = tree(made)
    (table,) = page.all("table", class_="both")
    found = {row["Schedule"]: row for row in rows(table)}
    ours, titles = hoistopt.load_problem(LINE), list(found["Cycle time"])
    assert titles[1:] == ["Least cycle time, proved", "Shortest found that can be run"]
    for title, part in zip(titles[1:], (data, data["runnable"]), strict=True):
        assert found["Cycle time"][title] == f"{part['cycle_time']:g} {ours.unit}"
        told = float(found["Loads an hour, good ones"][title])
        assert told == pytest.approx(part["margin"]["good_loads_per_hour"], rel=0.005)
    (card,) = page.all("div", class_="card big")
    if which == "least":
        assert "Shortest cycle found that can be run: " in _top(page)
        assert "--take runnable writes the page of that one" in _top(page)
        assert "--show" not in page.text
    else:
        assert "Can be run" in card.text
        assert "Longer than the least cycle, 234 s, proved, as stated in moves.json" in card.text
        assert "the bound was not proved again" in card.text
    assert player_record(made)["cycleTime"] == (
        data if which == "least" else data["runnable"]
    )["cycle_time"]  # fmt: skip


def test_a_least_cycle_that_can_be_run_stands_alone_in_the_section(tmp_path: Path) -> None:
    line = tmp_path / "line.toml"
    line.write_text(f"{LINE.read_text(encoding='utf-8')}\n[cycle]\nmin = 300\n", encoding="utf-8")
    path = tmp_path / "moves.json"
    path.write_text(json.dumps(solve(line, effort=Effort(workers=1)).data()))
    made = report(line, MovesFile(path)).page
    assert made is not None
    (table,) = tree(made).all("table", class_="both")
    assert list(rows(table)[0]) == ["Schedule", "Least cycle time, proved"]


@pytest.mark.parametrize(("which", "where"), [("least", "runnable"), ("runnable", "")])
def test_moves_beside_those_asked_for_are_shown_only_where_the_checker_accepts_them(
    which: Take, where: str, tmp_path: Path
) -> None:
    data = _solved_json()
    moves = (data[where] if where else data)["moves"]
    moves[0]["start"] += 40
    path = tmp_path / "moves.json"
    path.write_text(json.dumps(data))
    with pytest.raises(Refused) as refused:
        report(LINE, MovesFile(path, which))
    place = "under `runnable`" if where else "on top"
    assert f"the moves {place} in moves.json" in refused.value.__notes__[-1]


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"runnable": [1]}, "runnable = [1]: expected an object"),
        ({"runnable": {"moves": []}}, "runnable, cycle_time: expected this key"),
        ({"runnable": {"cycle_time": 300, "moves": 5}}, "runnable, moves: expected a list"),
        (
            {"runnable": {"cycle_time": 300, "moves": [{"from": "Bench", "to": "Wash"}]}},
            "runnable, moves, entry 1, start: expected this key",
        ),
    ],
)
def test_what_is_wrong_under_runnable_is_named_there(
    change: dict[str, Any], told: str, tmp_path: Path
) -> None:
    path = tmp_path / "moves.json"
    path.write_text(json.dumps(_solved_json() | change))
    with pytest.raises(InputError) as error:
        report(LINE, MovesFile(path, "least"))
    assert "moves.json: " in str(error.value) and told in str(error.value)


def test_another_number_of_loads_is_set_beside_it_with_its_degree(tmp_path: Path) -> None:
    data = _solved_json()
    cycle, moves = data["runnable"]["cycle_time"], data["runnable"]["moves"]
    plain = [{key: move[key] for key in ("start", "from", "to")} for move in moves]
    twice = [*plain, *({**move, "start": move["start"] + cycle} for move in plain)]
    data["runnable"] = {"cycle_time": 2 * cycle, "degree": 2, "moves": twice}
    path = tmp_path / "moves.json"
    path.write_text(json.dumps(data))
    for take in ("least", "runnable"):
        page = report(LINE, MovesFile(path, take=take)).page  # type: ignore[arg-type]
        assert page is not None
        (table,) = tree(page).all("table", class_="both")
        found = {row["Schedule"]: row for row in rows(table)}
        assert list(found["Degree"].values())[1:] == ["1", "2"]
        assert list(found["Cycle time"].values())[1:] == ["234 s", f"{2 * cycle:g} s"]


def test_moves_of_which_nothing_is_stated_are_simulated_and_told_of(tmp_path: Path) -> None:
    data, path = _solved_json(), tmp_path / "moves.csv"
    for part, out in ((data, False), (data["runnable"], True)):
        lines = [f"{move['start']},{move['from']},{move['to']}" for move in part["moves"]]
        rest = [f"{line},{part['cycle_time']}" for line in lines]
        path.write_text("\n".join(["start,from,to,cycle_time", *rest]))
        made = report(LINE, path).page
        assert made is not None
        (card,) = tree(made).all("div", class_="card big")
        said = "Simulated under move times triangular 0.97 1 1.15 (assumed, invented): "
        assert "Checked" in card.text and said in card.text
        assert (f"{said}0 % (0 of " in card.text) == out
        assert ("the planned pace is not kept" in card.text) == (
            not part["margin"]["keeps_pace"]
        )  # fmt: skip


def test_a_page_says_so_where_none_that_can_be_run_was_found() -> None:
    result = _result(hoistopt.load_problem(LINE))
    other = result.runnable
    assert other is not None and result.margin is not None
    assert result.schedule is not None and result.replay is not None
    own = replace(other, schedule=result.schedule, replay=result.replay, margin=result.margin)
    assert "None that can be run was found." in _top(
        _page(replace(result, runnable=own), result.replay)
    )
    share = replace(other.margin.out_of_window, out=other.margin.out_of_window.loads // 2)
    nearest = replace(other, margin=replace(other.margin, out_of_window=share))
    page = _page(replace(result, runnable=nearest), other.replay)
    assert _top(page).startswith("No schedule tried can be run: 50 % of the loads")
    assert "Nearest found to what can be run" in page.text


def test_no_load_out_of_window_is_said_to_hold_for_the_scatter_alone() -> None:
    result = _result(hoistopt.load_problem(LINE))
    other = result.runnable
    assert other is not None and other.margin.slack is not None
    slack = replace(other.margin.slack, step=3, time=Fraction(7, 10))
    figures = replace(other.margin, slack=slack)
    text = (
        "0 % holds for this scatter alone: one stop that makes step 3 more than 0.7 s late, its "
        "tightest slack, still costs a load."
    )
    some = replace(figures.out_of_window, out=1)
    for margin, said in (
        (figures, True),
        (replace(figures, out_of_window=some), False),
        (replace(figures, slack=None), False),
    ):
        found = side_by_side(replace(result, runnable=replace(other, margin=margin)))
        assert found is not None
        assert (text in found.reading) == said and ("holds for" in found.reading) == said


def test_times_that_vary_are_called_simulated_only_where_they_were() -> None:
    result = _result(hoistopt.load_problem(LINE))
    simulated = _page(result, result.replay).text
    said = "vary from one move to the next, in the plan itself; what they do to it is simulated."
    assert said in simulated
    plain = _page(replace(result, margin=None, runnable=None), result.replay).text
    assert "vary from one move to the next." in plain and "in the plan itself" not in plain


def test_another_degree_of_the_one_that_can_be_run_is_told(tmp_path: Path) -> None:
    """In words, table, JSON and page; and its moves are read again from the JSON."""
    problem = _stated()
    one = _result(problem)
    two = hoistopt.solve(problem, degree=2, workers=1)
    assert one.runnable is not None and two.replay is not None
    other = replace(one.runnable, fuller=replace(one.runnable.margin, cycle_time=Fraction(235)))
    both = replace(two, margin=margin_figures(problem, two.replay), runnable=other)
    cycle = f"{one.runnable.cycle_time:g} s"
    said = said_of(both, "runnable")
    assert f"{cycle} at degree 1, {cycle} a load, " in said[0]
    assert "longer than the least mean time" in said[0]
    assert said[1].startswith("With some loads out of window there are more good ones: 235 s")
    found = side_by_side(both)
    assert found is not None and found.names[:2] == ("Degree", "Mean time per load")
    assert [column[0] for column in found.columns] == ["2", "1"]
    assert found.columns[1][1] == found.columns[1][2] == cycle
    answer = SolvedAnswer(problem, (both,), both, two.replay, "runnable")
    data = json.loads(json.dumps(answer.data()))
    assert (data["degree"], data["runnable"]["degree"]) == (2, 1)
    assert data["runnable"]["fuller"]["cycle_time"] == 235
    (tmp_path / "moves.json").write_text(json.dumps(data))
    taken = MovesFile(tmp_path / "moves.json", take="runnable")
    assert hoistopt.read_moves(taken, problem).cycle_time == one.runnable.cycle_time
    made = report(problem, taken)
    assert made.page is not None
    (card,) = tree(made.page).all("div", class_="card big")
    assert cycle in card.text and "1 load per cycle (degree 1)" in card.text
    page = report_html(problem, other.schedule, other.replay, both)
    assert "Can be run" in page and "(degree 1)" in page
    assert "Takes longer per load than the least cycle, 234 s a load at degree 2, proved" in page
    assert other.degree == 1
