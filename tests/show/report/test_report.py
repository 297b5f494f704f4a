"""The report as a page: what it says, that it needs nothing else and lets nothing in."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from fractions import Fraction as F

import pytest

import hoistopt
from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.checker import Refused, replay
from hoistopt.show.report import report_html
from tests.helpers.shown.report_lines import HOSTILE, solved
from tests.helpers.shown.report_pages import WRITTEN, Node, page_of, player_record, rows, tree

LINES = ("quillhaven_anodising", "phillips_unger_1976", "mixed", "hostile")


def only(nodes: list[Node]) -> Node:
    assert len(nodes) == 1
    return nodes[0]


# -- what it says ----------------------------------------------------------------------


def test_the_summary_gives_the_published_optimum() -> None:
    """521 s at degree 1: Phillips and Unger (1976), AIIE Transactions 8, 219-225."""
    page = tree(page_of("phillips_unger_1976"))
    cards = {card.all("dt")[0].text: card for card in page.all("div") if card.all("dt")}
    cycle = cards["Cycle time"]
    assert cycle.all("dd")[0].text == "521 s"
    assert "Proved least" in cycle.text
    # 3600 / 521 = 6.9098...
    assert cards["Loads per hour"].all("dd")[0].text == "6.91"
    assert "one every 521 s" in cards["Loads per hour"].text


def test_an_unproved_schedule_says_so_with_its_bound_and_gap() -> None:
    problem, result = solved("three_tanks_dryer")
    assert result.schedule is not None and result.replay is not None
    open_ended = replace(result, status="feasible", lower_bound=175.5)
    text = tree(report_html(problem, result.schedule, result.replay, open_ended)).text
    assert "Not proved least" in text
    assert "No schedule of degree 1 is below 175.5 s, a gap of 25.0%" in text
    assert "Not proved to be the least cycle time" in text


def test_a_table_from_elsewhere_is_not_called_optimal() -> None:
    problem, result = solved("three_tanks_dryer")
    assert result.schedule is not None and result.replay is not None
    text = tree(report_html(problem, result.schedule, result.replay)).text
    assert "Whether a shorter cycle exists was not asked" in text
    assert "Proved" not in text
    assert "Optimal" not in text


def test_a_refused_schedule_has_no_report() -> None:
    problem, result = solved("three_tanks_dryer")
    assert result.schedule is not None
    first, *others = result.schedule.steps
    wrong = replace(result.schedule, steps=(replace(first, start=first.start + 300), *others))
    seen = replay(problem, wrong)
    assert not seen.clean
    with pytest.raises(Refused, match="refuses"):
        report_html(problem, wrong, seen)


@pytest.mark.parametrize("name", LINES)
def test_the_step_table_is_the_schedule(name: str) -> None:
    problem, result = solved(name)
    assert result.schedule is not None
    told = rows(only(tree(page_of(name)).all("table", class_="steps")))
    assert [(F(row["Start, s"]), row["From"], row["To"]) for row in told] == [
        (result.schedule.time(step.start), step.source, step.target) for step in result.schedule
    ]
    assert [row["Step"] for row in told] == [str(n + 1) for n in range(len(told))]
    if len(problem.recipes) > 1:
        assert {row["Recipe"] for row in told} == set(problem.recipe_by_name)


def test_the_margins_add_up_to_the_window_and_agree_with_the_problem_file() -> None:
    problem, _ = solved("phillips_unger_1976")
    told = rows(only(tree(page_of("phillips_unger_1976")).all("table", class_="margins")))
    stages = problem.recipes[0].stages
    assert [row["Stage"] for row in told] == [stage.label for stage in stages]
    for row, stage in zip(told, stages, strict=True):
        assert F(row["Min, s"]) == F(stage.min)
        assert F(row["Dwell, s"]) - F(row["Above min, s"]) == F(stage.min)
        if stage.max is None:
            assert row["Max, s"] == row["Below max, s"] == "\N{EN DASH}"
        else:
            assert F(row["Dwell, s"]) + F(row["Below max, s"]) == F(row["Max, s"]) == F(stage.max)


def test_the_small_bars_stand_where_the_dwell_stands_in_its_window() -> None:
    table = only(tree(page_of("phillips_unger_1976")).all("table", class_="margins"))
    seen = 0
    for row, cells in zip(rows(table), table.all("tbody")[0].all("tr"), strict=True):
        window = only(cells.all("rect", class_="window")).attributes
        left, width = float(window["x"] or 0), float(window["width"] or 0)
        path = only(cells.all("path", class_="dwell")).attributes["d"] or ""
        at = float(path[1:].split()[0])
        if row["Max, s"] != "\N{EN DASH}":
            least, most = float(row["Min, s"]), float(row["Max, s"])
            share = (float(row["Dwell, s"]) - least) / (most - least)
            assert at == pytest.approx(left + share * width, abs=0.01)
            seen += 1
        else:
            assert left < at < left + width
            assert only(cells.all("path", class_="open"))
    assert seen == 10


@pytest.mark.parametrize("name", LINES)
def test_cautions_versions_and_assumptions_are_there(name: str) -> None:
    problem, _ = solved(name)
    page = tree(page_of(name))
    closing = only(page.all("footer")).text
    assert STANDING in closing
    assert "ortools" in closing and "python" in closing
    read = page.text
    for word in ("Optimal", "Rounding", "Checking", "Loaded moves", "Empty travel", "Not modelled"):
        assert word in read
    for station in problem.stations:
        if station.loads or station.unloads:
            assert f"{station.name}: read as holding one carrier at a time" in read
    assert WRITTEN.isoformat() in read


def test_tables_and_physics_are_told_apart() -> None:
    text = tree(page_of("phillips_unger_1976")).text
    assert "13 of the 13 loaded moves come from a table" in text
    assert "a quarter is drawn as lifting" in text
    text = tree(page_of("quillhaven_anodising")).text
    assert "12 of the 12 loaded moves are worked out" in text
    assert (
        "speed 0.5 m/s, acceleration and braking 0.3 m/s\N{SUPERSCRIPT TWO}, settling 2 s" in text
    )
    assert "drawn as lifting" not in text


def test_the_same_schedule_gives_the_same_page() -> None:
    problem, result = solved("mixed")
    assert result.schedule is not None and result.replay is not None
    again = report_html(problem, result.schedule, result.replay, result, WRITTEN)
    assert again == page_of("mixed")


# -- that it needs nothing else --------------------------------------------------------


@pytest.mark.parametrize("name", LINES)
def test_nothing_in_it_asks_for_anything_outside(name: str) -> None:
    page = tree(page_of(name))
    for node in page.every():
        assert node.name not in {"img", "iframe", "object", "embed", "link", "base", "form"}
        for key, value in node.attributes.items():
            assert key not in {"src", "srcset", "action", "style", "data", "ping"}, (node.name, key)
            assert not key.startswith("on")
            if key == "href":
                assert (value or "").startswith("#")
            if "url(" in (value or ""):
                assert (value or "").startswith("url(#timeway-")
    for sheet in page.all("style"):
        assert "url(" not in sheet.text and "@import" not in sheet.text


@pytest.mark.parametrize("name", LINES)
def test_the_policy_lets_only_the_pages_own_script_and_styles_work(name: str) -> None:
    page = tree(page_of(name))
    policy = only(page.all("meta", **{"http-equiv": "Content-Security-Policy"}))
    rules = dict(rule.split(" ", 1) for rule in (policy.attributes["content"] or "").split("; "))
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    assert set(rules) == {"default-src", "script-src", "style-src", "base-uri", "form-action"}
    (script,) = [node for node in page.all("script") if "type" not in node.attributes]
    for rule, node in (("script-src", script), ("style-src", only(page.all("style")))):
        digest = hashlib.sha256(node.text.encode()).digest()
        assert rules[rule] == f"'sha256-{base64.b64encode(digest).decode()}'"
    # A policy in the page holds for what comes after it.
    first = [node.name for node in only(page.all("head")).every()][:2]
    assert first == ["meta", "meta"]


@pytest.mark.parametrize("name", LINES)
def test_identities_are_unique_and_references_lead_somewhere(name: str) -> None:
    nodes = tree(page_of(name)).every()
    identities = [node.attributes["id"] for node in nodes if "id" in node.attributes]
    assert len(identities) == len(set(identities))
    for node in nodes:
        for key in ("aria-labelledby", "aria-describedby"):
            if key in node.attributes:
                assert node.attributes[key] in identities
        for value in node.attributes.values():
            for target in re.findall(r"^#([\w.-]+)$|^url\(#([\w.-]+)\)$", value or ""):
                # A colour begins with the same sign.
                if not re.fullmatch(r"[0-9a-f]{6}", "".join(target)):
                    assert "".join(target) in identities


@pytest.mark.parametrize("name", LINES)
def test_whatever_takes_the_focus_or_groups_has_a_name(name: str) -> None:
    page = tree(page_of(name))
    for node in page.every():
        if node.attributes.get("role") in ("region", "group", "img") or node.name == "section":
            assert {"aria-label", "aria-labelledby"} & set(node.attributes), node.attributes
        if node.attributes.get("tabindex") == "0":
            assert node.attributes.get("role") in ("region", "group")
        if node.name == "table":
            assert node.all("caption") and all(h.attributes.get("scope") for h in node.all("th"))


# -- that it lets nothing in -----------------------------------------------------------


def test_hostile_names_stay_text() -> None:
    problem, _ = solved("hostile")
    page = tree(page_of("hostile"))
    assert only(page.all("title")).text.startswith(HOSTILE[0])
    assert only(page.all("h1")).text == HOSTILE[0]
    names = [node.text for node in only(page.all("table", class_="board")).all("bdi")]
    assert names == list(HOSTILE)
    # As many elements as a page of harmless names, of the same kinds.
    harmless = tree(page_of("three_tanks_dryer"))
    kinds = {node.name for node in harmless.every()}
    assert {node.name for node in page.every()} <= kinds
    assert len(page.all("script")) == len(harmless.all("script")) == 2
    assert problem.stations[7].name not in {node.attributes.get("href") for node in page.every()}


def test_hostile_names_cannot_end_the_data() -> None:
    page = page_of("hostile")
    block = page.split('id="player-data">', 1)[1].split("</script>", 1)[0]
    assert not set("<>&") & set(block)
    assert [s["name"] for s in player_record(page)["stations"]] == list(HOSTILE)


def test_control_characters_of_a_note_do_not_get_through() -> None:
    """Refused in a problem file; here they are slipped in behind its back."""
    problem, result = solved("three_tanks_dryer")
    assert result.schedule is not None and result.replay is not None
    slipped = problem.model_copy(update={"note": "and \x1b[2J \u2028 <b>"})
    page = report_html(slipped, result.schedule, result.replay, result)
    assert "\x1b" not in page
    assert "\N{REPLACEMENT CHARACTER}[2J" in page


def test_importing_the_report_does_not_load_the_drawing_library() -> None:
    import subprocess
    import sys

    code = "import sys, hoistopt.show.report; print('matplotlib' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert found.stdout == "False\n"
    assert hoistopt.__all__
