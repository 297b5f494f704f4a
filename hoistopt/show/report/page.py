"""Put the report together: one HTML file that needs nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import Element

from ...analysis.figures.dwells import SMALL
from ...base.errors import InputError
from ...base.files import check_target, write_atomically
from ...checker.record import Replay
from ...planning.result import Result
from ...problem import Problem
from ...schedule import Schedule
from .assumptions import assumptions, closing, out_of_service, warning
from .case import Case
from .diagram import timeway_svg
from .hoists import hoist_section
from .markup import document, json_block, policy, script, style, tag
from .palette import style_variables
from .player import player
from .record import player_data
from .summary import heading, summary
from .tables import margin_table

STYLES = ("page.css", "player.css", "print.css")
SCRIPTS = ("state.js", "words.js", "layout.js", "line.js", "board.js", "player.js", "theme.js")
ENDINGS = (".html", ".htm")
TALL = 0.85
"""Height over width from which the diagram is printed on an upright page."""


def report_html(
    problem: Problem,
    schedule: Schedule,
    replay: Replay,
    result: Result | None = None,
    written: date | None = None,
    source: str | None = None,
) -> str:
    """The report on a schedule as one self-contained HTML page.

    Parameters
    ----------
    problem, schedule : Problem, Schedule
        The line and its moves.
    replay : Replay
        What the checker saw; it must be clean.
    result : Result, optional
        The solver's answer, for status, bound and gap.
    written : date, optional
        The day to print on the report. The same input gives the same page.
    source : str, optional
        Name of the file that `result` was read from, where it was not searched for now.

    Raises
    ------
    Refused
        When the replay broke a rule: nothing about such a schedule is shown.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> page = hoistopt.report_html(problem, result.schedule, result.replay, result)
    >>> page.startswith("<!doctype html>")
    True
    """
    return case_html(Case(problem, schedule, replay, result, written, source))


def case_html(case: Case) -> str:
    """The report on a schedule of which all that it shows is gathered already."""
    title = f"{case.problem.name} \N{EN DASH} hoist schedule"
    return whole_page(title, _body(case), player_data(case))


def whole_page(title: str, body: Sequence[Element], data: dict[str, Any]) -> str:
    """A page with its styles, its scripts and the player's data."""
    styles = style_variables() + "".join(map(_asset, STYLES))
    scripts = '"use strict";\n' + "".join(map(_asset, SCRIPTS))
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        policy(scripts, styles),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="generator", content="hoistopt"),
        tag("title", title),
        style(styles),
    )
    played = json_block("player-data", data)
    page = tag("html", head, tag("body", *body, played, script(scripts)), lang="en")
    return document(page)


def plain_page(title: str, body: Sequence[Element]) -> str:
    """A page to read and print, with its styles and without any script."""
    styles = style_variables() + "".join(_asset(name) for name in STYLES if name != "player.css")
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        policy("", styles),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="generator", content="hoistopt"),
        tag("title", title),
        style(styles),
    )
    return document(tag("html", head, tag("body", *body), lang="en"))


def save_report(
    problem: Problem,
    schedule: Schedule,
    replay: Replay,
    path: str | Path,
    result: Result | None = None,
    written: date | None = None,
) -> None:
    """Write the report to a file, whole or not at all.

    Parameters
    ----------
    problem, schedule, replay, result, written
        As of :func:`report_html`.
    path : str or Path
        The file to write; its name ends in .html.

    Raises
    ------
    InputError
        When `path` does not end in .html or cannot be written, before any work.
    Refused
        When the replay broke a rule.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> hoistopt.save_report(problem, result.schedule, result.replay, "report.html", result)
    """
    check_name(path)
    check_target(path)
    write_atomically(path, report_html(problem, schedule, replay, result, written))


def check_name(path: str | Path) -> None:
    """Raise unless the name is that of an HTML file, which no other file's name is."""
    if not str(path).lower().endswith(ENDINGS):
        raise InputError(
            "a file name ending in .html",
            file=path,
            way_out="The report is an HTML page; name it so.",
        )


def _asset(name: str) -> str:
    return files(__package__).joinpath("assets", name).read_text(encoding="utf-8")


def _body(case: Case) -> list[Element]:
    return [
        *top(heading(case)),
        warning([*case.warned, *out_of_service(case.problem), *case.told.cautions]),
        tag(
            "main",
            summary(case),
            player(case),
            _diagram(case),
            *hoist_section(case),
            _margins(case),
            assumptions(case),
        ),
        closing(case.told.cautions),
    ]


def top(heading: Element) -> list[Element]:
    """What stands at the head of a page."""
    skip = tag("a", "Skip to the summary", href="#summary", class_="skip")
    return [skip, tag("div", heading, _appearance(), class_="top")]


def _appearance() -> Element:
    choices = (("system", "As system"), ("light", "Light"), ("dark", "Dark"))
    return tag(
        "fieldset",
        tag("legend", "Appearance", class_="spoken"),
        *(
            tag(
                "label",
                tag(
                    "input",
                    type="radio",
                    name="appearance",
                    value=value,
                    **({"checked": "checked"} if value == "system" else {}),
                ),
                tag("span", label),
            )
            for value, label in choices
        ),
        id="appearance",
        class_="choice",
        hidden="hidden",
    )


def _diagram(case: Case) -> Element:
    several = len(case.problem.hoists) > 1
    line = "a line is a hoist, each with its mark" if several else "the line is the hoist"
    text = (
        f"Time-way diagram of two cycles: time runs to the right, each of the "
        f"{len(case.stations)} stations has a lane in track order, bars are carriers standing "
        f"there, {line}. The step table and the dwell table hold the same figures."
    )
    return diagram_section("Time-way diagram", timeway_svg(case), text)


def diagram_section(title: str, drawn: Element, text: str) -> Element:
    """A diagram that scrolls where it is too wide, and what it shows in words."""
    _, _, width, height = map(float, drawn.attrib["viewBox"].split())
    tall = height > TALL * width
    return tag(
        "section",
        tag("h2", title, id="timeway-head"),
        tag("p", text, id="timeway-text", class_="spoken"),
        tag(
            "div",
            drawn,
            class_="scrolled",
            role="region",
            aria_label="Diagram, scrolls where it is too wide",
            tabindex="0",
        ),
        class_="timeway-section upright" if tall else "timeway-section",
        aria_labelledby="timeway-head",
    )


def _margins(case: Case) -> Element:
    return margin_section(margin_table(case))


def margin_section(table: Element) -> Element:
    """The table of dwells against their windows."""
    note = (
        "In the bar: the window from min. to max. dwell, and where in it the dwell ends; "
        "each bar to a scale of its own. An arrow stands for no maximum. A small margin is at "
        f"most {float(SMALL):.0%} of the window."
    )
    return tag(
        "section",
        tag("h2", "Dwell margins", id="margins-head"),
        tag(
            "div",
            table,
            class_="scrolled",
            role="region",
            aria_label="Table of dwell margins",
            tabindex="0",
        ),
        tag("p", note, class_="note"),
        aria_labelledby="margins-head",
    )
