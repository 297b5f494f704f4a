"""Several hoists in tables, data and drawings."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from io import StringIO

import pytest
from matplotlib.figure import Figure
from rich.console import Console

import hoistopt
from hoistopt import Replay, Travel
from hoistopt.show.drawing.axes import figure_of
from hoistopt.show.schedule.answer import VerifiedAnswer
from hoistopt.show.timeway import draw_timeway
from tests.checker.test_distance import handed_over, line

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
