"""A problem in a notebook: the line and its recipes as tables."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from ...problem import Hoist, Motion, Problem, Recipe
from ..report.markup import tag, user
from .table import Column, table, wide


def line_tables(problem: Problem) -> list[Element]:
    """Name and notes, each hoist in a sentence, the stations, and each recipe's stages."""
    stations = problem.stations
    unit, length = problem.unit, problem.length_unit
    track = [
        Column("Station", [station.name for station in stations]),
        Column("Kind", [station.kind for station in stations]),
        Column(f"Position, {length}", [station.position for station in stations], number=True),
        Column("Carriers at once", [station.capacity for station in stations], number=True),
        Column(
            f"Min occupation, {unit}",
            [station.min_occupation or None for station in stations],
            number=True,
        ),
        Column(f"Min rest, {unit}", [s.min_rest or None for s in stations], number=True),
        Column(f"Own lift, {unit}", [station.lift for station in stations], number=True),
        Column(f"Own lower, {unit}", [station.lower for station in stations], number=True),
        Column(f"Own settling, {unit}", [station.settling for station in stations], number=True),
    ]
    told = [text for text in (problem.note, problem.source and f"Data: {problem.source}") if text]
    return [
        tag("p", user(problem.name), class_="head"),
        *(tag("p", user(text), class_="quiet") for text in told),
        tag("p", user(" ".join(_sentences(problem)))),
        wide(table("Stations", track)),
        *(wide(_stages(recipe, unit)) for recipe in problem.recipes),
    ]


def _stages(recipe: Recipe, unit: str) -> Element:
    stages = recipe.stages
    columns = [
        Column("Stage", [stage.label for stage in stages]),
        Column("Station", [" or ".join(stage.station) for stage in stages]),
        Column(f"Min, {unit}", [stage.min for stage in stages], number=True),
        Column(f"Max, {unit}", [stage.max for stage in stages], number=True),
        Column(f"Aimed at, {unit}", [stage.nominal for stage in stages], number=True),
        Column(f"Drip, {unit}", [stage.drip or None for stage in stages], number=True),
    ]
    return table(f"Recipe: {recipe.name}", columns)


def _sentences(problem: Problem) -> list[str]:
    """What stands in no table: hoist, carriers, the set of loads, tables of times."""
    unit, carriers = problem.unit, problem.carriers
    found = [text for hoist in problem.hoists for text in _of_hoist(problem, hoist)]
    if problem.track is not None:
        apart = f"{problem.track.clearance:f} {problem.length_unit}"
        found.append(f"Hoists keep at least {apart} apart, middle to middle.")
    if carriers.count is not None:
        found.append(f"{carriers.count} carriers.")
    if carriers.return_ == "hoist":
        found.append("The hoist brings empty carriers back.")
    elif carriers.return_time:
        found.append(f"Empty carriers come back outside in {carriers.return_time:f} {unit}.")
    entries = len(problem.times.loaded), len(problem.times.empty)
    if any(entries):
        found.append(f"Times by table: {entries[0]} loaded, {entries[1]} empty.")
    if len(problem.load_set) > 1:
        found.append(f"One set of loads: {', '.join(problem.load_set)}.")
    for crossing in problem.crossings:
        ways = f"{', '.join(crossing.from_)} over {', '.join(crossing.over)}"
        least = crossing.min_drip
        limit = "never" if least is None else f"only after dripping {least:f} {unit}"
        found.append(f"Loads from {ways}: {limit}.")
    return found


def _of_hoist(problem: Problem, hoist: Hoist) -> list[str]:
    """The times of a hoist, and where it cannot go."""
    unit = problem.unit
    said = [
        *(f"{name} {time:f} {unit}" for name, time in _given(hoist.lift, hoist.lower)),
        *(
            f"{name} {_motion(motion, problem)}"
            for name, motion in (("loaded", hoist.loaded), ("empty", hoist.empty))
            if motion is not None
        ),
    ]
    for word, end in (("from", hoist.from_), ("to", hoist.to)):
        if end is not None:
            at = end if isinstance(end, str) else f"{end:f} {problem.length_unit}"
            said.append(f"{word} {at}")
    called = "Hoist" if hoist.name is None else f"Hoist {hoist.name}"
    found = [f"{called}: {', '.join(said)}."] if said else []
    if hoist.unreachable:
        found.append(f"It cannot serve {', '.join(hoist.unreachable)}.")
    return found


def _given(lift: object, lower: object) -> list[tuple[str, object]]:
    return [(name, time) for name, time in (("lift", lift), ("lower", lower)) if time is not None]


def _motion(motion: Motion, problem: Problem) -> str:
    length, unit = problem.length_unit, problem.unit
    said = f"at up to {motion.speed:f} {length}/{unit}"
    if motion.acceleration is not None:
        said += f" with {motion.acceleration:f} {length}/{unit}\N{SUPERSCRIPT TWO}"
    return f"{said}, settling {motion.settling:f} {unit}" if motion.settling else said
