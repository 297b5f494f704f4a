"""What the report says of how the line was read: every reading a problem file can ask for."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

import hoistopt
from hoistopt.problem import Problem
from hoistopt.show.report import report_html
from hoistopt.show.report.case import Case
from hoistopt.show.report.summary import summary
from tests.helpers.shown.report_pages import page_of, rows, tree


def line(bench: dict[str, Any] | None = None, **parts: Any) -> Problem:
    """One bench and two tanks, 2 apart; the first bath's window has no width."""
    return Problem.from_data(
        {
            "name": "Readings",
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "Bench", "kind": "load-unload", "position": 0, **(bench or {})},
                {"name": "Bath", "position": 2},
                {"name": "Oven", "kind": "dryer", "position": 4},
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [
                        {"station": "Bath", "min": 60, "max": 60, "drip": 2},
                        {"station": "Oven", "min": 30},
                    ],
                }
            ],
            **parts,
        }
    )


def said(problem: Problem) -> str:
    """The text of the report on the least cycle of a line."""
    result = hoistopt.solve(problem, workers=1)
    assert result.schedule is not None and result.replay is not None
    page = tree(report_html(problem, result.schedule, result.replay, result))
    (section,) = page.all("section", class_="behind")
    return section.text


@pytest.mark.parametrize(
    ("bench", "reading"),
    [
        ({}, "Bench: read as holding one carrier at a time; each stands there at least 0 s."),
        ({"capacity": 2, "min_occupation": 8}, "holding 2 carriers at a time; each"),
        ({"min_occupation": 8}, "one carrier at a time; each stands there at least 8 s."),
        ({"capacity": "unlimited"}, "Bench: read as an unlimited buffer; each stands"),
    ],
)
def test_the_reading_of_the_ends_is_named(bench: dict[str, Any], reading: str) -> None:
    text = said(line(bench))
    assert reading in text
    assert "Load and unload" in text
    assert "carriers are unloaded and loaded again where they stand" in text


def test_the_number_of_carriers_is_named() -> None:
    assert "Any number may circulate" in said(line())
    assert "At most 2 may circulate" in said(line(carriers={"count": 2}))


def test_carriers_brought_back_by_the_hoist_or_outside_are_named() -> None:
    assert "the hoist carries each empty carrier back" in page_of("mixed")
    assert "come back outside the line in 90 s" in page_of("quillhaven_anodising")


def test_tanks_of_several_places_and_alternatives_are_named() -> None:
    text = tree(page_of("mixed")).text
    assert "A tank holds one carrier; Plate holds 3, first in first out." in text
    assert "the choice repeats in every cycle" in text
    assert "A tank holds one carrier." in said(line())


def test_crossings_are_named_only_where_there_are_any() -> None:
    assert "Crossings" not in said(line())
    crossing = [{"from": ["Oven"], "over": ["Bath"], "min_drip": 9}]
    assert "pass over others not at all, or only after a longer drip" in said(
        line(crossing=crossing)
    )


def test_a_mix_of_tables_and_physics_is_counted() -> None:
    """One of the three moves, and one of the ways between them, comes from a table."""
    times = {
        "loaded": [{"from": "Bath", "to": "Oven", "time": 15}],
        "empty": [{"from": "Oven", "to": "Bench", "time": 4}],
    }
    text = said(line(times=times))
    assert "1 of the 3 loaded moves come from a table" in text
    assert "2 of the 3 loaded moves are worked out" in text
    assert "speed 1 m/s, top speed at once" in text


def test_the_tick_is_named() -> None:
    assert "on a grid of 0.1 s" in said(line())
    assert "on a grid of 0.5 s" in said(line(tick=0.5))


def test_a_dwell_that_uses_its_whole_window_is_marked() -> None:
    problem = line()
    result = hoistopt.solve(problem, workers=1)
    assert result.schedule is not None and result.replay is not None
    page = tree(report_html(problem, result.schedule, result.replay, result))
    bath, oven = rows(page.all("table", class_="margins")[0])
    assert bath["In its window"] == "no margin"
    assert oven["In its window"] == ""
    cards = {card.all("dt")[0].text: card.text for card in page.all("div") if card.all("dt")}
    assert cards["Smallest margin"] == "Smallest margin0 sleft in Bath"
    assert "it overstays if the hoist is late" in page.all("footer")[0].text


def test_every_dwell_closest_to_a_maximum_is_named() -> None:
    problem = line()
    result = hoistopt.solve(problem, workers=1)
    assert result.schedule is not None and result.replay is not None
    case = Case(problem, result.schedule, result.replay, result)
    (full,) = [row for row in case.told.dwells if row.margin_max == 0]
    dwells = [full, replace(full, load=2), replace(full, load=2, label="Swill")]
    vars(case)["told"] = replace(case.told, dwells=dwells)
    assert "0 sleft in 3 dwells: Bath and Swill" in "".join(summary(case).itertext())


def test_a_line_without_maxima_has_none_to_be_close_to() -> None:
    data = line().to_data()
    del data["recipe"][0]["stage"][0]["max"]
    problem = Problem.from_data(data)
    result = hoistopt.solve(problem, workers=1)
    assert result.schedule is not None and result.replay is not None
    text = tree(report_html(problem, result.schedule, result.replay, result)).text
    assert "no stage has a maximum" in text


def test_output_per_hour_of_a_line_told_in_minutes() -> None:
    data = line().to_data()
    minutes = Problem.from_data(
        {
            **data,
            "unit": "min",
            "hoist": {"lift": 0.25, "lower": 0.25, "loaded": {"speed": 4}, "empty": {"speed": 8}},
            "recipe": [{"name": "R", "stage": [{"station": "Bath", "min": 3, "max": 4}]}],
        }
    )
    found = hoistopt.solve(minutes, workers=1)
    assert found.schedule is not None and found.replay is not None
    page = tree(report_html(minutes, found.schedule, found.replay, found))
    cards = {c.all("dt")[0].text: c.all("dd")[0].text for c in page.all("div") if c.all("dt")}
    cycle = float(cards["Cycle time"].split()[0])
    assert cards["Cycle time"].endswith(" min")
    assert float(cards["Loads per hour"]) == pytest.approx(60 / cycle, rel=1e-3)
    heads = [head.text for head in page.all("table", class_="steps")[0].all("th", scope="col")]
    assert "Start, min" in heads
