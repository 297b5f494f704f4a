"""A tank out of service is told at the head of a page, in the drawing and on the board."""

from __future__ import annotations

from functools import cache

import pytest

import hoistopt
from hoistopt import Order, Problem
from hoistopt.show.report import programme_html, report_html
from tests.helpers.command import PROBLEMS
from tests.helpers.shown.report_pages import player_record, tree

pytestmark = pytest.mark.quick


@cache
def without(*names: str) -> Problem:
    line = hoistopt.load_problem(PROBLEMS / "parallel_tanks.toml")
    return line.with_out_of_service(names)


@cache
def page(*names: str) -> str:
    problem = without(*names)
    result = hoistopt.solve(problem, 1, workers=1)
    assert result.schedule is not None and result.replay is not None
    return report_html(problem, result.schedule, result.replay, result)


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (("Nickel 2",), "Nickel 2 is out of service: planned without it."),
        (
            ("Nickel 2", "Nickel 3"),
            "Nickel 2 and Nickel 3 are out of service: planned without them.",
        ),
    ],
)
def test_the_head_names_tanks_out_of_service(names: tuple[str, ...], told: str) -> None:
    found = tree(page(*names))
    (top,) = found.all("div", class_="warning")
    assert told in top.text
    assert not any(
        "out of service" in top.text for top in tree(page()).all("div", class_="warning")
    )


def test_drawing_and_board_know_which_tank_it_is() -> None:
    made = page("Nickel 2")
    drawn = player_record(made)["stations"]
    assert [station["name"] for station in drawn if station.get("out")] == ["Nickel 2"]
    free = [cell.attributes.get("data-free") for cell in tree(made).all("td", class_="state")]
    assert free.count("out of service") == 1
    assert "data-free" not in page().split("<script")[0]


def test_the_page_of_a_programme_tells_it_too() -> None:
    problem = without("Nickel 2")
    recipe = problem.recipes[0].name
    plan = hoistopt.plan(problem, [Order(recipe)], workers=1, time_limit=20)
    assert plan.replay is not None
    made = programme_html(plan.replay, plan)
    (top,) = tree(made).all("div", class_="warning")
    assert "Nickel 2 is out of service" in top.text
    assert any(station.get("out") for station in player_record(made)["stations"])
