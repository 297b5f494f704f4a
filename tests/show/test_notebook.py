"""What a notebook shows: well formed, escaped, self-contained, and only what was accepted."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Problem, Recipe, Result, Schedule, Stage, Station, load_problem
from hoistopt.analysis.figures.cautions import STANDING
from hoistopt.show.report.palette import DARK, LIGHT
from tests.helpers.answers import answer

PROBLEMS = sorted((Path(__file__).parents[2] / "problems").glob("*.toml"))
SEVERAL = PROBLEMS[0].parent / "several" / "two_hoists.toml"
VOID = {"br", "hr", "img", "input", "link", "meta"}
HOSTILE = ("<script>alert(1)</script>", "</style><b>", "a & b \"c\" 'd'", "<!-- x", "$x_1$ ]]>")


class Reader(HTMLParser):
    """Reads HTML strictly: every element closed in order, every attribute kept."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        assert len(dict(attrs)) == len(attrs)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] != "style":
            self.texts.append(data)

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.texts).split())


def shown(value: object) -> Reader:
    """The HTML of an object, read after what holds of every output has been looked at."""
    text = value._repr_html_()  # type: ignore[attr-defined]
    read = Reader(text)
    names = {name for name, _ in read.tags}
    assert not names & {"script", "link", "img", "iframe", "object", "embed", "base", "form"}
    for _, attributes in read.tags:
        for key, given in attributes.items():
            assert not key.startswith("on")
            assert key not in ("src", "srcset", "style", "action")
            if key in ("href", "xlink:href"):
                assert given is not None and given.startswith("#")
    assert "url(http" not in text and "@import" not in text
    return read


@cache
def solved(name: str = "three_tanks_dryer") -> Result:
    return answer(load_problem(PROBLEMS[0].with_name(f"{name}.toml")))


def hostile() -> Problem:
    """A line whose names, notes and units are out to break the page."""
    load, wash, rinse, recipe, name = HOSTILE
    return Problem(
        name,
        note=load,
        source=wash,
        length_unit="<i>m",
        hoist=hoistopt.Hoist(lift=5, lower=5, loaded=hoistopt.Motion(1), empty=hoistopt.Motion(1)),
        stations=[
            Station(load, kind="load-unload", position=0),
            Station(wash, position=2),
            Station(rinse, position=4),
        ],
        recipes=[
            Recipe(recipe, [Stage(wash, min=30, max=60, name="<u>"), Stage(rinse, min=20)]),
        ],
    )


def late() -> tuple[Problem, Schedule]:
    """A schedule the checker refuses: one move of an accepted one starts at another time."""
    result = solved()
    assert result.problem is not None and result.schedule is not None
    steps = list(result.schedule.steps)
    moved = replace(steps[1], start=steps[1].start + 200)
    steps[1] = moved
    schedule = Schedule(result.schedule.cycle, result.schedule.ticks_per_unit, tuple(steps))
    assert hoistopt.verify(result.problem, schedule)
    return result.problem, schedule


# -- what is shown ----------------------------------------------------------------


def test_a_result_shows_sentence_cautions_diagram_and_both_tables() -> None:
    result = solved()
    read = shown(result)
    assert f"Cycle time {result.cycle_time} s at degree 1, proved to be the least" in read.text
    assert STANDING in read.text
    tags = [tag for tag, _ in read.tags]
    assert tags.count("table") == 2
    diagram = [found for tag, found in read.tags if tag == "svg" and found["class"] == "timeway"]
    assert len(diagram) == 1 and diagram[0]["aria-label"]
    assert result.schedule is not None
    # Each move has a row in the step table, each stage one in the dwell table.
    assert tags.count("tr") == 2 + len(result.schedule) + 4


def test_a_result_without_a_schedule_shows_its_reason_alone() -> None:
    none = Result("infeasible", None, None, 1, 1, None, 0.1, reason="Because <b>.")
    read = shown(none)
    assert read.text == "No schedule of degree 1 exists. Because <b>."


def test_nothing_is_shown_that_the_checker_has_not_accepted() -> None:
    result = solved()
    problem, schedule = late()
    refused = replace(result, schedule=schedule, replay=hoistopt.replay(problem, schedule))
    # With the replay of another schedule, with none, and without a line to ask about.
    of_another = replace(refused, replay=result.replay)
    alone = replace(refused, replay=None)
    for doubtful in (refused, of_another, alone, replace(result, problem=None)):
        read = shown(doubtful)
        assert {tag for tag, _ in read.tags} == {"div", "style", "p"}
        assert read.text == "No schedule is shown, as the checker has accepted none."


def test_a_replay_shows_every_broken_rule_or_that_there_is_none() -> None:
    problem, schedule = late()
    seen = hoistopt.replay(problem, schedule)
    read = shown(seen)
    assert "The checker refuses this schedule" in read.text
    assert all(violation.message in read.text for violation in seen.violations)
    assert len([tag for tag, _ in read.tags if tag == "tr"]) == 1 + len(seen.violations)


def test_a_clean_replay_shows_the_schedule_it_accepts() -> None:
    result = solved()
    assert result.replay is not None and result.problem is not None and result.schedule is not None
    read = shown(result.replay)
    assert "No rule is broken" in read.text
    assert STANDING in read.text
    tags = [tag for tag, _ in read.tags]
    assert tags.count("tr") == 2 + len(result.schedule) + 4
    # Cut short, it has no cycle that repeats, so that there is no steady one to show.
    short = hoistopt.replay(result.problem, result.schedule, cycles=1)
    assert short.clean and not short.steady_cycles
    assert "table" not in {tag for tag, _ in shown(short).tags}


def test_a_schedule_shows_its_moves_and_that_they_are_not_checked() -> None:
    schedule = solved().schedule
    assert schedule is not None
    read = shown(schedule)
    assert "Not checked" in read.text
    assert len([tag for tag, _ in read.tags if tag == "tr"]) == 1 + len(schedule)


@pytest.mark.parametrize("path", [*PROBLEMS, SEVERAL], ids=lambda path: path.stem)
def test_a_problem_shows_every_station_stage_and_window(path: Path) -> None:
    problem = load_problem(path)
    read = shown(problem)
    rows = len([tag for tag, _ in read.tags if tag == "tr"])
    stages = [stage for recipe in problem.recipes for stage in recipe.stages]
    assert rows == 1 + len(problem.stations) + len(problem.recipes) + len(stages)
    cells = set(read.texts)
    for station in problem.stations:
        assert station.name in cells
    for stage in stages:
        assert {stage.label, f"{stage.min:f}"} <= cells
        assert stage.max is None or f"{stage.max:f}" in cells
    for hoist in problem.hoists:
        assert hoist.name is None or f"Hoist {hoist.name}: lift {hoist.lift} s" in read.text


def test_a_line_without_any_speeds_is_shown_too() -> None:
    table = {("A", "B"): 3, ("B", "C"): 4}
    back = {(start, end): 2 for start in "ABC" for end in "ABC" if start != end}
    line = Problem(
        "Tables only",
        stations=[Station("A", kind="load"), Station("B"), Station("C", kind="unload")],
        recipes=[Recipe("R", [Stage("B", min=5)])],
        times=hoistopt.Times(loaded=table, empty=back),
    )
    assert "Times by table: 2 loaded, 6 empty." in shown(line).text


# -- escaped, light and dark, quick ---------------------------------------------------


def test_names_out_to_break_the_page_come_out_as_text() -> None:
    problem = hostile()
    result = answer(problem)
    assert result.schedule is not None and result.replay is not None
    text = shown(problem).text
    for name in HOSTILE:
        assert name in text
    for name in HOSTILE[:3]:
        assert name in shown(result).text
        assert name in shown(result.schedule).text


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_every_colour_used_is_set_both_light_and_dark(colours: dict[str, str]) -> None:
    text = solved()._repr_html_()
    assert text is not None
    used = set(re.findall(r"var\(--([\w-]+)\)", text))
    assert used and used <= set(colours)
    for name in used:
        assert f"--{name}: {colours[name]};" in text


def test_rules_of_style_reach_nothing_but_the_output() -> None:
    text = solved()._repr_html_()
    assert text is not None
    styles = text[text.index("<style>") + 7 : text.index("</style>")]
    plain = re.sub(r"/\*.*?\*/", "", styles, flags=re.DOTALL)
    selectors = [part for part in re.findall(r"([^{}]+)\{", plain) if "@media" not in part]
    assert len(selectors) > 20
    for selector in ",".join(selectors).split(","):
        assert ".hoistopt" in selector


def test_showing_draws_nothing_before_it_is_asked_to() -> None:
    code = (
        "import sys, hoistopt\n"
        f"line = hoistopt.load_problem({str(PROBLEMS[-1])!r})\n"
        "assert '<table' in line._repr_html_()\n"
        "print('matplotlib' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=Path(hoistopt.__file__).parents[1],
        timeout=60,
        check=True,
    )
    assert done.stdout.split() == ["False"]
