"""What a user can ask for, asked for by a program: objects or files in, an answer out."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from hoistopt import Effort, Problem, Schedule, load_problem
from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.analysis.study.parameter import parameters_of
from hoistopt.app.compare import NoSchedule, Version, compare
from hoistopt.app.conflict import conflict
from hoistopt.app.jitter import jitter
from hoistopt.app.levers import levers
from hoistopt.app.machine.sequencer import sequencer
from hoistopt.app.order import order
from hoistopt.app.report import report
from hoistopt.app.robust import robust, tradeoff
from hoistopt.app.slack import slack
from hoistopt.app.solve import solve
from hoistopt.app.study import study
from hoistopt.app.verify import verify
from hoistopt.app.why import why
from hoistopt.base.effort import Progress, Stop
from hoistopt.base.errors import InputError
from hoistopt.base.text import json_text
from hoistopt.checker import Refused
from hoistopt.show.answer import Answer
from hoistopt.show.schedule.answer import SolvedAnswer
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.csv_files import csv_table

pytestmark = pytest.mark.quick

ONE = Effort(workers=1)
FILE = PROBLEMS / "three_tanks_dryer.toml"
SCATTER = ["move times triangular 0.98 1 1.2"]

# Asked for with a line and moves on it, each an object or a file.
ASKED: dict[str, Callable[[Any, Any], Answer]] = {
    "solve": lambda line, _: solve(line, (1, 2), ONE),
    "verify": verify,
    "why": lambda line, moves: why(line, moves),
    "why, solved": lambda line, _: why(line, effort=ONE),
    "levers": lambda line, _: levers(line, effort=ONE),
    "conflict": lambda line, _: conflict(line, 1, 200, effort=ONE),
    "order": lambda line, moves: order(line, moves, compare=False, effort=ONE),
    "slack": slack,
    "jitter": lambda line, moves: jitter(line, moves, SCATTER, 2, 3, 1),
    "robust": lambda line, _: robust(line, aims=["travel"], effort=ONE),
    "tradeoff": lambda line, _: tradeoff(line, points=2, effort=ONE),
    "compare": lambda line, moves: compare(Version(line, moves), Version(line, moves)),  # type: ignore[dict-item, return-value]
    "study": lambda line, _: study(line, parameters_of(["hoist.empty.speed = 0.4"]), jobs=1),
}
DRAWN = {"solve", "verify", "why", "why, solved", "order", "jitter", "robust", "tradeoff", "study"}
IN_CSV = {*DRAWN, "levers", "conflict", "slack", "compare"}


@pytest.fixture(scope="module")
def line() -> Problem:
    return load_problem(FILE)


@pytest.fixture(scope="module")
def moves(line: Problem) -> Schedule:
    best = solve(line, effort=ONE).best
    assert best is not None and best.schedule is not None
    return best.schedule


def without_runtimes(data: Any) -> Any:
    if isinstance(data, dict):
        return {key: without_runtimes(x) for key, x in data.items() if key != "runtime"}
    return [without_runtimes(x) for x in data] if isinstance(data, list) else data


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("name", ASKED)
def test_an_answer_has_its_data_tables_figure_and_words_and_prints_nothing(
    name: str, line: Problem, moves: Schedule, capfd: pytest.CaptureFixture[str]
) -> None:
    from matplotlib.figure import Figure
    from rich.console import Console

    answer = ASKED[name](line, moves)
    assert STANDING in json.loads(json_text(answer.data()))["cautions"]
    assert answer.cautions()[-1] == STANDING
    assert answer.problem == line
    assert answer.sentences()[0]
    figure, text = answer.figure(), answer.csv()
    assert isinstance(figure, Figure) == (name in DRAWN)
    assert (text is not None) == (name in IN_CSV)
    assert text is None or csv_table(text)
    assert capfd.readouterr() == ("", "")
    console = Console(width=160)
    for table in (*answer.tables(), *answer.short_tables()):
        console.print(table)
    assert len(capfd.readouterr().out.splitlines()) > 5


@pytest.mark.parametrize("name", ["solve", "verify", "why", "order", "slack", "jitter", "compare"])
def test_files_give_the_same_answer_as_what_is_in_them(
    name: str, line: Problem, moves: Schedule, tmp_path: Path
) -> None:
    path = tmp_path / "moves.json"
    path.write_text(json_text(verify(line, moves).data()))
    asked = ASKED[name]
    assert without_runtimes(asked(FILE, path).data()) == without_runtimes(asked(line, moves).data())


def test_moves_that_break_a_rule_are_refused_with_what_they_break(
    line: Problem, moves: Schedule
) -> None:
    quicker = replace(moves, cycle=moves.cycle * 9 // 10)
    for name in ("verify", "why", "slack", "jitter"):
        with pytest.raises(Refused) as refused:
            ASKED[name](line, quicker)
        assert refused.value.replay.violations
        assert not refused.value.made_here


def test_what_is_wrong_with_a_file_names_it(moves: Schedule, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"nowhere\.toml"):
        slack("nowhere.toml", moves)
    path = tmp_path / "line.toml"
    path.write_text(FILE.read_text() + "\n[cycle]\nmix = { Cases = 100 }\n")
    with pytest.raises(InputError, match=r"line\.toml: degree = 90"):
        solve(path, (90,))


def test_a_listener_hears_of_every_degree_and_a_stop_ends_them(line: Problem) -> None:
    heard: list[Progress] = []
    stop = Stop()

    def hear(news: Progress) -> None:
        heard.append(news)
        if news.doing == "degree 2":
            stop.set()

    answer = solve(line, (1, 2, 3), Effort(workers=1, stop=stop, on_progress=hear))
    assert {news.doing for news in heard} == {"degree 1", "degree 2"}
    assert {news.total for news in heard} == {3}
    assert [result.degree for result in answer.results] == [1, 2]
    assert answer.outcome == "done"


def test_without_a_schedule_the_answer_is_no(line: Problem) -> None:
    never = Problem.from_data({**line.to_data(), "cycle": {"max": 50}})
    answer = solve(never, effort=ONE)
    assert answer.outcome == "no"
    assert answer.csv() is None and answer.figure() is None and answer.tables() == []
    assert isinstance(why(never, effort=ONE), SolvedAnswer)
    assert report(never, effort=ONE).page is None
    compared = compare(Version(never), Version(never), effort=ONE)
    assert isinstance(compared, NoSchedule)
    assert compared.solved.outcome == "no"
    assert tradeoff(never, points=2, effort=ONE).outcome == "no"


def test_a_report_and_step_tables_are_texts(line: Problem, moves: Schedule) -> None:
    page = report(line, moves).page
    assert page is not None and page.startswith("<!doctype html>")
    handed = sequencer(line, moves, ["csv", "st"], "s")
    assert handed.texts[0].startswith('"# CAUTION. ')
    assert "END_" in handed.texts[1]
