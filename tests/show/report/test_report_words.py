"""Words, units, marks and cautions of the report."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.show.report import report_html
from tests.helpers.shown.report_lines import solved
from tests.helpers.shown.report_pages import Node, page_of, rows, tree

pytestmark = pytest.mark.quick
LINES = ("quillhaven_anodising", "phillips_unger_1976", "mixed")


def places(node: Node, wanted: str, at: int = 0) -> list[int]:
    """How far into the page's text a text stands."""
    return [found.start() for found in re.finditer(re.escape(wanted), node.text)]


@pytest.mark.parametrize("name", LINES)
def test_cautions_and_note_stand_before_the_first_figure(name: str) -> None:
    problem, _ = solved(name)
    page = tree(page_of(name))
    first = page.text.index("Summary", page.text.index("Appearance"))
    assert min(places(page, STANDING)) < first
    assert problem.note and min(places(page, problem.note)) < first
    # And at the end, where people look for them.
    assert len(places(page, STANDING)) == 2
    (top,) = page.all("div", class_="warning")
    assert top.attributes["role"] == "note" and top.attributes["aria-label"]


def test_what_a_schedule_calls_for_is_warned_of_at_the_top_too() -> None:
    problem, result = solved("three_tanks_dryer")
    assert result.schedule is not None and result.replay is not None
    open_ended = replace(result, status="feasible", lower_bound=175.5)
    page = tree(report_html(problem, result.schedule, result.replay, open_ended))
    (top,) = page.all("div", class_="warning")
    assert "Not proved to be the least cycle time" in top.text


@pytest.mark.parametrize("name", LINES)
def test_headings_are_the_trades(name: str) -> None:
    text = tree(page_of(name)).text
    assert "Basis and assumptions" in text and "Hoist utilisation" in text
    assert "What stands behind" not in text and "The hoist's time" not in text


@pytest.mark.parametrize("name", LINES)
def test_a_step_table_says_how_many_moves_there_are(name: str) -> None:
    (steps,) = tree(page_of(name)).all("table", class_="steps")
    count = len(rows(steps))
    caption = steps.all("caption")[0].text
    assert f"Steps of one cycle in the steady state: {count} moves" in caption
    assert ("scroll for the rest" in caption) == (count > 13)


_WITHOUT_UNIT = {
    "Step", "From", "To", "Recipe", "Load", "Stage", "Station", "In its window", "Number",
    "Carrier", "Ready to lift?",
}  # fmt: skip


@pytest.mark.parametrize("name", LINES)
def test_every_column_of_figures_has_its_unit(name: str) -> None:
    for table in tree(page_of(name)).all("table"):
        for head in table.all("thead")[0].all("th"):
            assert head.text in _WITHOUT_UNIT or head.text.endswith(", s"), head.text


@pytest.mark.parametrize("name", LINES)
def test_a_unit_is_never_on_a_line_of_its_own(name: str) -> None:
    for table in tree(page_of(name)).all("table"):
        for head in table.all("thead")[0].all("th"):
            if head.text.endswith(", s"):
                (kept,) = head.all("span", class_="kept")
                assert re.fullmatch(r"\S+, s", kept.text)


@pytest.mark.parametrize("name", LINES)
def test_limits_are_min_and_max_and_a_loaded_move_includes_its_drip(name: str) -> None:
    page = tree(page_of(name))
    heads = [head.text for table in page.all("table") for head in table.all("th", scope="col")]
    assert {"Min, s", "Max, s", "Above min, s", "Below max, s"} <= set(heads)
    assert heads.index("incl. drip, s") == heads.index("Loaded move, s") + 1
    assert not any(re.search("least|greatest|most", head, re.IGNORECASE) for head in heads)


def test_loads_and_carriers_are_told_apart() -> None:
    """Loads L1, L2 in the tables; the player's carriers are C1, C2 (see its own tests)."""
    page = tree(page_of("mixed"))
    for name in ("steps", "margins"):
        (table,) = page.all("table", class_=name)
        assert {row["Load"] for row in rows(table)} == {"L1", "L2"}
    assert "L1 is the first load of each cycle" in page.text


def test_small_margins_are_marked_by_sign_words_and_class() -> None:
    """By hand: Tank 6 leaves 2 of 60 s, Tank 8 leaves 1 of 30 s; all others more."""
    (table,) = tree(page_of("phillips_unger_1976")).all("table", class_="margins")
    marked = {}
    for row, cells in zip(rows(table), table.all("tbody")[0].all("tr"), strict=True):
        signs = [svg for svg in cells.all("svg") if "sign" in str(svg.attributes["class"])]
        if row["In its window"]:
            marked[row["Stage"]] = (row["In its window"], str(signs[0].attributes["class"]))
            assert cells.all("svg", class_="window-bar small")
        else:
            assert not signs and cells.all("svg", class_="window-bar enough")
    sign = ("small margin", "sign small")
    assert marked == {"Tank 6": sign, "Tank 8": sign}
    (card,) = [
        card
        for card in tree(page_of("phillips_unger_1976")).all("div", class_="card margin small")
        if card.all("svg", class_="sign small")
    ]
    assert card.text == "Smallest margin1 sleft in Tank 8"


@pytest.mark.parametrize("name", LINES)
def test_no_figure_has_an_exponent(name: str) -> None:
    page = tree(page_of(name))
    shown = [node.text for node in page.every() if node.name in ("td", "dd", "li", "p")]
    assert not any(re.search(r"\d[eE][+-]?\d", text) for text in shown)
