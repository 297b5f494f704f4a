"""Report and notebook tell of the best degree, of each one compared, and of what stands idle."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import tostring

import pytest

from hoistopt import InputError, Schedule, Step
from hoistopt.app.report import report
from hoistopt.app.solve import solve
from hoistopt.base.effort import Effort
from hoistopt.checker import accepted
from hoistopt.margin.runnable import Runnable
from hoistopt.schedule.files import MovesFile
from hoistopt.show.notebook import html
from hoistopt.show.report.case import Case
from hoistopt.show.report.summary import summary
from hoistopt.show.schedule.answer import SolvedAnswer
from tests.helpers.lines.grouped import grouped
from tests.helpers.shown.report_pages import Node, rows, tree

ONE = Effort(time_limit=20, workers=1)


@cache
def answered(degrees: tuple[int, ...] = ()) -> SolvedAnswer:
    """A line with two tanks for one stage; without degrees the best is chosen."""
    return solve(grouped(2), degrees or "best", ONE, least_only=True)


def page_of(answer: SolvedAnswer) -> Node:
    """The summary of its report."""
    seen = answer.shown
    assert seen is not None
    case = Case(answer.problem, seen.schedule, seen, answer.best, degrees=answer.compared)
    return tree(tostring(summary(case), encoding="unicode", method="html"))


def shown_of(page: Node) -> tuple[list[str], list[dict[str, str]]]:
    """What it says of degree and idle parts, and the degrees it compares."""
    tables = page.all("table", class_="degrees")
    return [p.text for p in page.all("p", class_="told")], rows(tables[0]) if tables else []


def longer_one(answer: SolvedAnswer, more: int = 10) -> SolvedAnswer:
    """The same, where a longer schedule with the same tanks is shown as the one to run."""
    best, least = answer.best, answer.replay
    assert best is not None and least is not None and best.margin is None
    schedule = least.schedule
    slower = Schedule(schedule.cycle + more, schedule.ticks_per_unit, schedule.steps)
    seen = accepted(answer.problem, slower)
    other = Runnable(slower, seen, margin=None, found="by hand")  # type: ignore[arg-type]
    return replace(answer, best=replace(best, runnable=other), show="runnable")


def test_the_page_says_what_the_terminal_says_of_the_best_degree() -> None:
    answer = answered()
    said, table = shown_of(page_of(answer))
    terminal = " ".join(answer.sentences())
    assert said[0].startswith("Best degree: 2, ")
    assert "no cycle of any degree" in said[1].lower() and said[1] in terminal
    data = next(found for found in answer.data_tables() if found.name == "Degrees")
    assert [(row["Degree"], row["Answer"]) for row in table] == [
        (str(row[0]), row[-1]) for row in data.rows
    ]
    assert [Fraction(row["Mean per load, s"]) for row in table] == [row[4] for row in data.rows]
    notebook = tree(html(answer.best))
    assert said[1] in notebook.text and "Degrees compared" in notebook.text


def test_cycle_times_and_their_bounds_have_as_many_decimals() -> None:
    """2167.0 beside a bound of 2167 looks like another number."""
    compared = answered((1, 2)).compared
    first, second = compared.rows
    changed = replace(first, cycle_time=Decimal(100), lower_bound=Decimal(100))
    other = replace(second, cycle_time=Decimal("150.5"), lower_bound=Decimal(90))
    cells = replace(compared, rows=(changed, other)).cells()
    assert cells[2] == ["100.0", "150.5"]
    assert cells[3] == ["100.0", "90.0"]
    none = replace(other, lower_bound=None)
    assert replace(compared, rows=(changed, none)).cells()[3] == ["100.0", "-"]


def test_idle_tanks_are_named_and_degrees_given_claim_nothing_of_others() -> None:
    one = answered((1,))
    said, table = shown_of(page_of(one))
    assert table == []
    assert said[0].startswith("Degree 1 was asked for: whether another one takes less")
    assert any("stands idle, 1 of 2 for" in text for text in said)
    assert "Proved: none of degree 1 is shorter with it." in said
    assert set(said[1:]) <= set(one.sentences())
    assert one.best is not None and "stands idle, 1 of 2 for" in html(one.best)
    assert one.best.idle_tanks == one.idle
    said, table = shown_of(page_of(answered((1, 2))))
    assert said[0].startswith("Degrees 1 and 2 were asked for")
    assert [row["Answer"] for row in table] == ["proved least", "proved least, best"]


def test_no_proof_is_told_of_idle_tanks_of_a_longer_schedule() -> None:
    one = answered((1,))
    least, longer = " ".join(one.sentences()), " ".join(longer_one(one).sentences())
    assert "Proved: none of degree 1 is shorter with it." in least
    assert "Proved: none" not in longer
    assert "Whether a shorter cycle that can be run could use it is not proved." in longer


# -- moves from a file ------------------------------------------------------------------


def reported(folder: Path, answer: SolvedAnswer, change: dict[str, Any] | None = None) -> Node:
    """The report on the JSON of an answer, some keys changed or, by None, left out."""
    data = {**json.loads(json.dumps(answer.data())), **(change or {})}
    path = folder / "moves.json"
    path.write_text(json.dumps({key: value for key, value in data.items() if value is not None}))
    page = report(answer.problem, MovesFile(path)).page
    assert page is not None
    return tree(page)


def test_a_choice_in_a_file_is_told_as_stated(tmp_path: Path) -> None:
    answer = answered()
    searched, searched_table = shown_of(page_of(answer))
    said, table = shown_of(reported(tmp_path, answer))
    assert table == searched_table
    assert said[0] == searched[0] and said[2:] == searched[1:]
    assert said[1].startswith("As stated in moves.json, and not proved again")


def test_a_degree_not_searched_is_told_as_that_from_a_file(tmp_path: Path) -> None:
    answer = answered()
    rows_there: list[dict[str, Any]] = json.loads(json.dumps(answer.data()))["degrees"]
    one, *others = rows_there
    copied = {
        **one, "degree": 3, "loads_per_cycle": 3 * one["loads_per_cycle"], "status": "feasible",
        "cycle_time": 3 * one["cycle_time"], "lower_bound": 2 * one["cycle_time"],
    }  # fmt: skip
    for runtime, searched, told in (
        (0, None, True), (0.2, None, False), (None, None, False),
        (0, True, False), (0.2, False, True),
    ):  # fmt: skip
        changed = [one, *others[:1], {**copied, "runtime": runtime, "searched": searched}]
        _, table = shown_of(reported(tmp_path, answer, {"degrees": changed}))
        answer_there = table[2]["Answer"]
        assert answer_there.startswith("not searched, ") == told
        assert ("; cycle of degree 1, 3 times over" in answer_there) == told


def test_a_proof_that_the_bounds_in_a_file_do_not_bear_is_none(tmp_path: Path) -> None:
    answer = answered()
    choice = {**answer.data()["choice"], "proved": "any degree"}
    for low, told in ((1, "of degrees 1 to 4 none"), (0, "is not proved")):
        compared = choice["least_per_load_compared"] if low else 1
        changed = {**choice, "least_per_load": 1, "least_per_load_compared": compared}
        said, _ = shown_of(reported(tmp_path, answer, {"choice": changed}))
        assert told in said[2].lower() and "is below 1 s a load" in said[2]


def test_without_a_choice_in_the_file_it_is_not_known(tmp_path: Path) -> None:
    one = answered((1,))
    said, _ = shown_of(reported(tmp_path, one))
    assert said[0] == "How the degree was chosen is not known: moves.json does not state it."
    assert "Proved, as stated in moves.json: none of degree 1 is shorter with it." in said
    said, _ = shown_of(reported(tmp_path, one, {"status": None}))
    assert said[0].startswith("How the degree was chosen is not known: the moves were given")
    assert "Whether a shorter cycle could use it is not known." in said
    assert one.replay is not None
    schedule = one.replay.schedule
    bare = tuple(Step(step.start, step.source, step.target) for step in schedule)
    page = report(one.problem, Schedule(schedule.cycle, schedule.ticks_per_unit, bare)).page
    assert page is not None and "a cycle has 1 load for these 2 tanks" in page
    said, table = shown_of(reported(tmp_path, answered((1, 2))))
    assert "were asked for, as stated in moves.json: whether another" in said[0]
    assert len(table) == 2


def test_the_choice_is_that_of_the_least_cycle_where_a_longer_one_is_taken(tmp_path: Path) -> None:
    answer = answered()
    longer = longer_one(answer).shown
    assert longer is not None
    moves = replace(longer_one(answer), show="least").data()
    data = {**answer.data(), "shown": "runnable"}
    cycle = float(longer.schedule.time(longer.schedule.cycle))
    data["runnable"] = {"cycle_time": cycle, "moves": moves["moves"]}
    said, _ = shown_of(reported(tmp_path, answer, data))
    searched, _ = shown_of(page_of(answer))
    assert said[0] == searched[0].replace("2, ", "2, by its least cycle, ", 1)
    assert said[1] == "The schedule shown takes longer, for what it forgives."
    assert searched[1] in said


@pytest.mark.parametrize(
    ("place", "change", "field"),
    [
        ("choice", {"proved": "surely"}, "choice, proved"),
        ("choice", {"least_per_load": 1e6}, "choice, least_per_load"),
        ("choice", {"least_per_load_compared": 1e6}, "choice, least_per_load_compared"),
        ("choice", {"least_per_load": [1]}, "choice, least_per_load"),
        ("choice", {"least_per_load": None}, "choice, least_per_load"),
        ("choice", {"left_out": [{"degree": 4}]}, "choice, left_out, entry 1, reason"),
        ("choice", 7, "choice"),
        ("degrees", {"cycle_time": 1}, "degrees, entry 1, lower_bound"),
        ("degrees", {"cycle_time": 1, "lower_bound": 1}, "degrees, entry 1, cycle_time"),
        ("degrees", {"status": "unknown"}, "degrees, entry 1, cycle_time"),
        ("degrees", {"degree": 2}, "degrees"),
        ("degrees", {"degree": 0}, "degrees, entry 1, degree"),
        ("degrees", {"runtime": -1}, "degrees, entry 1, runtime"),
        ("degrees", {"searched": "no"}, "degrees, entry 1, searched"),
    ],
)
def test_what_makes_no_sense_is_refused(
    place: str, change: Any, field: str, tmp_path: Path
) -> None:
    data = json.loads(json.dumps(answered().data()))
    changed = data[place]
    if place == "degrees":
        changed = [{**changed[0], **change}, *changed[1:]]
    else:
        changed = {**changed, **change} if isinstance(change, dict) else change
    with pytest.raises(InputError) as refused:
        reported(tmp_path, answered(), {place: changed})
    assert refused.value.field == field
    assert "moves.json" in str(refused.value) and "\n" not in str(refused.value)
