"""Several hoists in tables, data and drawings."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from io import StringIO

import pytest
from matplotlib.figure import Figure
from rich.console import Console

import hoistopt
from hoistopt import Problem, Replay, Travel
from hoistopt.analysis.figures.cautions import SEVERAL
from hoistopt.app.solve import solve as solve_line
from hoistopt.base.effort import Effort
from hoistopt.base.text import STANDING
from hoistopt.show.drawing.axes import figure_of
from hoistopt.show.report import report_html
from hoistopt.show.schedule.answer import RefusedAnswer, VerifiedAnswer
from hoistopt.show.timeway import draw_timeway
from tests.helpers.hoists.hand_over import handed_over, line
from tests.helpers.shown.report_pages import rows, tree

pytestmark = pytest.mark.quick


@pytest.fixture(scope="module")
def seen() -> Replay:
    """A and B hand over in time; B gives way by a travel of its own."""
    aside = Travel(Fraction(10), "B", Fraction(10)), Travel(Fraction(20), "B", Fraction(4))
    return hoistopt.replay(line(), handed_over(30, *aside))


def test_what_they_leave_one_another_is_in_tables_and_data(seen: Replay) -> None:
    answer = VerifiedAnswer(seen)
    (row,) = answer.data()["neighbours"]
    assert row == {
        "left": "A",
        "right": "B",
        "distance": 4,
        "spare": 2,
        "time": row["time"],
        "here": row["here"],
        "there": row["here"] + 4,
        "left_late": row["left_late"],
        "right_late": row["right_late"],
    }
    console = Console(width=200, record=True, file=StringIO())
    console.print(*answer.tables())
    text = console.export_text()
    assert "Hoists side by side" in text and "Left late by" in text
    assert answer.data()["travels"]


def test_travels_are_shown_to_the_tick_and_exact_in_files() -> None:
    aside = Travel(Fraction(40, 3), "B", Fraction(10)), Travel(Fraction(20), "B", Fraction(4))
    answer = VerifiedAnswer(hoistopt.replay(line(), handed_over(30, *aside)))
    console = Console(width=200, record=True, file=StringIO())
    console.print(*answer.tables())
    travels = console.export_text().split("Travels to give way")[1].splitlines()
    assert [row.split()[:3] for row in travels if " B " in row][:2] == [
        ["13", "B", "10"],
        ["20", "B", "4"],
    ]
    assert answer.data()["travels"][0]["start"] == pytest.approx(40 / 3, abs=1e-6)


def test_what_is_wrong_with_hoists_has_its_distance_and_its_travel() -> None:
    near = RefusedAnswer(hoistopt.replay(line(), handed_over(30)))
    (found,) = near.data()["violations"]
    assert (found["found"], found["limit"], found["distances"]) == (0, 2, True)
    (table,) = near.data_tables()
    cells = dict(zip(table.header, table.rows[0], strict=True))
    assert (cells["found_s"], cells["found_m"], cells["limit_m"]) == (None, 0, 2)
    outside = Travel(Fraction(20), "A", Fraction(-5)), Travel(Fraction(30), "A", Fraction(0))
    off = RefusedAnswer(hoistopt.replay(line(), handed_over(30, *outside)))
    console = Console(width=200, record=True, file=StringIO())
    console.print(*near.tables(), *off.tables())
    text = console.export_text()
    assert " 0 m " in text and " 2 m " in text and " travel 1 " in text
    assert "to -5 m: the hoist is at -5 m" in text


def test_a_hoist_without_a_move_is_told() -> None:
    """B reaches no tank, so A makes both moves of every schedule."""
    data = line().to_data()
    data["hoist"][1]["from"] = 7
    answer = solve_line(Problem.from_data(data), effort=Effort(5, 1), least_only=True)
    told = " ".join(answer.sentences())
    assert "Hoist B makes no move" in told and "none of degree 1 is shorter with it" in told
    assert answer.data()["idle"]["hoists"] == ["B"]


def test_travels_to_give_way_are_empty_travel(seen: Replay) -> None:
    (row,) = (row for row in VerifiedAnswer(seen).report.steps if row.hoist == "B")
    assert (row.empty, row.wait) == (Decimal(8), Decimal(44))


def test_empty_lines_of_two_hoists_have_different_dashes(seen: Replay) -> None:
    figure: Figure = figure_of(draw_timeway(seen.problem, seen.schedule, seen))
    lines = [line for axes in figure.axes for line in axes.lines if line.get_gid() == "empty"]
    dashes = {str(line._unscaled_dash_pattern) for line in lines}  # type: ignore[attr-defined]
    assert len(lines) == 2 and len(dashes) == 2
    legend = [text.get_text() for axes in figure.axes for text in _legend(axes)]
    assert {"hoist A, empty", "hoist B, empty", "hoist, loaded"} <= set(legend)


def _legend(axes: object) -> list[object]:
    legend = axes.get_legend()  # type: ignore[attr-defined]
    return [] if legend is None else list(legend.get_texts())


def test_a_report_names_the_hoist_of_every_step_and_both_cautions(seen: Replay) -> None:
    page = tree(report_html(seen.problem, seen.schedule, seen))
    (steps,) = page.all("table", class_="steps")
    assert [row["Hoist"] for row in rows(steps)] == ["A", "B"]
    (near,) = page.all("table", class_="neighbours")
    assert list(rows(near)[0].values())[:4] == ["A", "B", "4", "2"]
    (travels,) = page.all("table", class_="travels")
    assert [row["Hoist"] for row in rows(travels)] == ["B", "B"]
    assert SEVERAL in page.text and STANDING in page.text
    assert "A second hoist on the same track" not in page.text


def test_a_line_with_a_second_hoist_is_compared_with_the_line_before(seen: Replay) -> None:
    data = dict(seen.problem.to_data())
    del data["track"]
    one = Problem.from_data({**data, "hoist": data["hoist"][0]})
    before = hoistopt.solve(one, time_limit=10, workers=1)
    assert before.schedule is not None
    found = hoistopt.compare_schedules(one, before.schedule, seen.problem, seen.schedule)
    changed = {change.place for change in found.changes}
    assert {"track", "hoist", 'hoist "A"', 'hoist "B"'} <= changed
