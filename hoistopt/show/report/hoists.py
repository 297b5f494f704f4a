"""Several hoists in the page: how they give way, and what they leave one another."""

from __future__ import annotations

from fractions import Fraction
from xml.etree.ElementTree import Element

from ...base.decimals import aligned, as_decimal
from ..schedule.data import MILLI, neighbour_row
from .case import Case
from .markup import tag, user
from .tables import figure_cell, titled_table


def hoist_section(case: Case) -> list[Element]:
    """A section on several hoists; nothing where there is one."""
    if len(case.problem.hoists) == 1:
        return []
    names = [
        tag("li", f"{number} ", user(hoist.name or ""))
        for number, hoist in enumerate(case.problem.hoists, start=1)
    ]
    note = (
        "Late by: what one hoist may be late, the other on time, before the two are closer than "
        "the clearance; a dash for any time. Between two moves a hoist goes to where its next one "
        "begins at once, but for the travels to give way. Distance control stays in the machine."
    )
    return [
        tag(
            "section",
            tag("h2", "The hoists, side by side", id="hoists-head"),
            tag("ul", *names, class_="letters"),
            tag(
                "div",
                *_neighbours(case),
                *_travels(case),
                class_="scrolled",
                role="region",
                aria_label="Tables of the hoists",
                tabindex="0",
            ),
            tag("p", note, class_="note"),
            aria_labelledby="hoists-head",
        )
    ]


def _neighbours(case: Case) -> list[Element]:
    rows = [neighbour_row(found, case.tick) for found in case.told.neighbours]
    if not rows:
        return []
    length, unit = case.problem.length_unit, case.unit
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
    return [titled_table("Least distances in a cycle", head, body, "neighbours")]


def _travels(case: Case) -> list[Element]:
    travels, tick = case.schedule.travels, case.tick
    if not travels:
        return []
    starts = aligned([as_decimal(t.start * tick, tick / 1000) for t in travels])
    ends = aligned([as_decimal(t.to, MILLI) for t in travels])
    named = {
        Fraction(station.position): station.name
        for station in case.problem.stations
        if station.position is not None
    }
    head = [f"Start, {case.unit}", "Hoist", f"To position, {case.problem.length_unit}", "Station"]
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
