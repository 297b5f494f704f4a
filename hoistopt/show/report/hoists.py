"""Several hoists in the page: how they give way, and what they leave one another."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from xml.etree.ElementTree import Element

from ...base.numbers.decimals import aligned, nearest
from ...checker import ProgrammeReplay
from ...checker.courses import travels_made
from ...checker.neighbours import Neighbours, neighbours_once
from ...problem import Problem
from ...schedule import Travel
from ..programme.at_first import TITLE, at_first_rows
from ..programme.rows import tick_of
from ..schedule.data import MILLI, shown_neighbours
from .case import Case
from .markup import tag, user
from .tables import figure_cell, titled_table


def hoist_section(case: Case) -> list[Element]:
    """A section on several hoists; nothing where there is one."""
    if len(case.problem.hoists) == 1:
        return []
    travels = _travels(case.problem, case.schedule.travels, case.tick)
    near = _neighbours(case.problem, case.told.neighbours, case.tick, "in a cycle")
    return [_section(case.problem, [*near, *travels])]


def programme_hoists(seen: ProgrammeReplay) -> list[Element]:
    """A section on the hoists of a programme; nothing where there is one."""
    if len(seen.problem.hoists) == 1:
        return []
    near = _neighbours(seen.problem, neighbours_once(seen), tick_of(seen), "in the programme")
    tick = Fraction(1) / seen.programme.ticks_per_unit
    travels = _travels(seen.problem, travels_made(seen), tick)
    return [_section(seen.problem, [*_at_first(seen), *near, *travels])]


def _at_first(seen: ProgrammeReplay) -> list[Element]:
    """Where each hoist is when the programme begins."""
    length, unit = seen.problem.length_unit, seen.problem.unit
    head = ["Hoist", f"Position, {length}", "Where", f"Free at, {unit}"]
    body = [
        tag(
            "tr",
            tag("td", user(name)),
            figure_cell(position),
            tag("td", user(where)),
            figure_cell(free),
        )
        for name, position, where, free in at_first_rows(seen)
    ]
    return [titled_table(TITLE, head, body, "at-first")]


def _section(problem: Problem, tables: Sequence[Element]) -> Element:
    names = [
        tag("li", f"{number} ", user(hoist.name or ""))
        for number, hoist in enumerate(problem.hoists, start=1)
    ]
    note = (
        "Late by: what one hoist may be late, the other on time, before the two are closer than "
        "the clearance; a dash for any time. Between two moves a hoist goes to where its next one "
        "begins at once, but for the travels to give way. Distance control stays in the machine."
    )
    return tag(
        "section",
        tag("h2", "The hoists, side by side", id="hoists-head"),
        tag("ul", *names, class_="letters"),
        tag(
            "div",
            *tables,
            class_="scrolled",
            role="region",
            aria_label="Tables of the hoists",
            tabindex="0",
        ),
        tag("p", note, class_="note"),
        aria_labelledby="hoists-head",
    )


def _neighbours(
    problem: Problem, neighbours: Sequence[Neighbours], tick: Fraction, when: str
) -> list[Element]:
    rows = shown_neighbours(neighbours, tick)
    if not rows:
        return []
    length, unit = problem.length_unit, problem.unit
    keys = ("distance", "spare", "time", "here", "there", "left_late", "right_late")
    columns = [aligned([row[key] for row in rows]) for key in keys]
    head = ["Left", "Right", f"Least distance, {length}", f"Beyond clearance, {length}"]
    head += [f"At, {unit}", f"Left is at, {length}", f"Right is at, {length}"]
    head += [f"Left late by, {unit}", f"Right late by, {unit}"]
    body = [
        tag(
            "tr",
            tag("td", user(row["left"])),
            tag("td", user(row["right"])),
            *(figure_cell(cell) for cell in cells),
        )
        for row, *cells in zip(rows, *columns, strict=True)
    ]
    return [titled_table(f"Least distances {when}", head, body, "neighbours")]


def _travels(problem: Problem, travels: Sequence[Travel], tick: Fraction) -> list[Element]:
    if not travels:
        return []
    starts = aligned([nearest(t.start * tick, tick) for t in travels])
    ends = aligned([nearest(t.to, MILLI) for t in travels])
    named = {
        Fraction(station.position): station.name
        for station in problem.stations
        if station.position is not None
    }
    head = [f"Start, {problem.unit}", "Hoist", f"To position, {problem.length_unit}", "Station"]
    body = [
        tag(
            "tr",
            figure_cell(start),
            tag("td", user(travel.hoist)),
            figure_cell(end),
            tag("td", user(named.get(travel.to, ""))),
        )
        for start, end, travel in zip(starts, ends, travels, strict=True)
    ]
    return [titled_table("Travels to give way", head, body, "travels")]
