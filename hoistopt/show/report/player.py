"""The player's place in the page; scripts bring it to life.

Without scripts it stays hidden, and the rest of the page is whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element

from ...problem import Problem, Station
from ...problem.numbering import numbered
from .case import Case
from .markup import Content, tag, user
from .record import recipe_letter, scrub_step, station_places, to_scale
from .tables import step_table

OUT = "out of service"
_ICONS = {
    "first": "M3 3h2v10H3zM14 3v10L6 8z",
    "back": "M12 3v10L4 8z",
    "play": "M4 2v12l10-6z",
    "on": "M4 3v10l8-5z",
    "last": "M11 3h2v10h-2zM2 3v10l8-5z",
}


def player(case: Case) -> Element:
    """Line, controls, dwell board and step table of a cycle."""
    steps = scrolled(step_table(case), "Steps of one cycle", "steps-box")
    return played(
        case.problem, case.stations, station_places(case), case.time(scrub_step(case)), steps
    )


def played(
    problem: Problem,
    stations: Sequence[Station],
    places: Sequence[int],
    scrub: str,
    steps: Element,
    stands: str = "Carrier",
) -> Element:
    """Line, controls, dwell board and a table of steps.

    Parameters
    ----------
    problem : Problem
    stations : sequence of Station
        As they are drawn.
    places : sequence of int
        For each, how many carriers ever stand there at once.
    scrub : str
        By how much an arrow key scrubs.
    steps : Element
        In a box of its own.
    stands : str
        What the board names: carriers, or loads.
    """
    return tag(
        "section",
        tag("h2", "The line at work", id="player-head"),
        tag("noscript", tag("p", "The player needs JavaScript; all else here does without.")),
        tag("div", _stage(problem, stations, scrub), _controls(), id="player", hidden="hidden"),
        tag(
            "div",
            tag("div", _board(problem, stations, places, stands), id="board-box", hidden="hidden"),
            steps,
            class_="pair",
        ),
        aria_labelledby="player-head",
    )


def scrolled(content: Element, label: str, identity: str) -> Element:
    """A part that scrolls by itself where it is too wide or too long; keys reach it."""
    return tag(
        "div",
        content,
        id=identity,
        class_="scrolled",
        role="region",
        aria_label=label,
        tabindex="0",
    )


def _stage(problem: Problem, stations: Sequence[Station], scrub: str) -> Element:
    keys = (
        "Keys: space plays and pauses, left and right arrow scrub by "
        f"{scrub}, page up and page down go move by move, home and end to "
        "the ends."
    )
    scale = (
        "To scale along the track." if to_scale(stations) else "Not to scale: positions not given."
    )
    stage = {"aria_labelledby": "stage-name", "aria_describedby": "keys"}
    return tag(
        "div",
        tag("p", id="now-line", class_="now-line"),
        tag("div", id="stage", tabindex="0", role="group", **stage),
        tag("p", "Drawing of the line", id="stage-name", class_="spoken"),
        *_recipes(problem),
        tag("p", keys, " ", scale, class_="note", id="keys"),
        tag("p", id="spoken", class_="spoken", role="status", aria_live="polite"),
    )


def _recipes(problem: Problem) -> list[Element]:
    """What the letters on the carriers mean, where there are several recipes."""
    listed = [
        tag("li", tag("b", letter), " ", user(recipe.name))
        for number, recipe in enumerate(problem.recipes)
        if (letter := recipe_letter(problem, number))
    ]
    return [tag("ul", *listed, class_="letters")] if listed else []


def _controls() -> Element:
    buttons = [
        _button("first", "To the start"),
        _button("back", "Previous move"),
        _button("play", "Play"),
        _button("on", "Next move"),
        _button("last", "To the end"),
    ]
    speed = tag("label", "Speed ", tag("select", id="speed"))
    again = tag("label", tag("input", type="checkbox", id="again"), " Start again at the end")
    parts = tag("fieldset", tag("legend", "Part of the run", class_="spoken"), id="parts")
    slider = tag("input", type="range", id="time", min="0", step="any", aria_label="Time")
    return tag(
        "div",
        tag("div", parts, class_="row"),
        tag("div", slider, class_="row"),
        tag("div", tag("div", *buttons, class_="buttons"), speed, again, class_="row"),
        class_="controls",
    )


def _button(name: str, label: str) -> Element:
    shape = tag("path", d=_ICONS[name])
    icon = tag("svg", shape, viewBox="0 0 16 16", width="16", height="16", aria_hidden="true")
    words: Content = tag("span", label, class_="words" if name == "play" else "spoken")
    return tag("button", icon, words, type="button", id=f"go-{name}", title=label)


def _board(
    problem: Problem, stations: Sequence[Station], most: Sequence[int], stands: str
) -> Element:
    """A row for every place a carrier can stand in; the script fills it.

    Its roles are spelled out: on a narrow screen it is laid out as no table is, and browsers
    would take it for none.
    """
    unit = problem.unit
    rows = []
    numbers = numbered(problem)
    for number, (station, places) in enumerate(zip(stations, most, strict=True)):
        for place in range(places):
            name: list[Content] = [user(station.name)] if not place else ["place ", str(place + 1)]
            # The script writes what stands in a place that is free.
            free = {"data_free": OUT} if station.out_of_service else {}
            rows.append(
                tag(
                    "tr",
                    tag(
                        "td",
                        str(numbers[station.name]) if not place else "",
                        role="cell",
                        class_="number",
                    ),
                    tag(
                        "th",
                        *name,
                        scope="row",
                        role="rowheader",
                        class_="" if not place else "more",
                    ),
                    tag("td", role="cell", class_="carrier"),
                    tag("td", role="cell", class_="number reading", data_unit=unit),
                    tag("td", role="cell", class_="gauge"),
                    tag("td", role="cell", class_="state", **free),
                    role="row",
                    id=f"place-{number}-{place}",
                )
            )
    heads = (
        tag("th", tag("span", "Number", class_="spoken"), scope="col", role="columnheader"),
        tag("th", "Station", scope="col", role="columnheader"),
        tag("th", stands, scope="col", role="columnheader"),
        tag(
            "th",
            tag("span", f"Dwell, {unit}", class_="kept"),
            scope="col",
            role="columnheader",
            class_="number",
        ),
        tag("th", tag("span", f"Window, {unit}", class_="kept"), scope="col", role="columnheader"),
        tag("th", "Ready to lift?", scope="col", role="columnheader"),
    )
    return tag(
        "table",
        tag("caption", "Dwell now"),
        tag("thead", tag("tr", *heads, role="row"), role="rowgroup"),
        tag("tbody", *rows, role="rowgroup"),
        class_="board",
        role="table",
    )
