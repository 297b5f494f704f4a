"""What the player plays of a programme: the checker's record as plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any

from ...analysis.figures.dwells import SMALL
from ...checker import LoadStay, ProgrammeReplay
from ...problem import Station
from ..programme.rows import tick_of
from ..tables.jsonfile import json_rounded
from ..timeway.lanes import track_order
from .motion import Travel, drawn_move, drawn_way
from .record import (
    drawn_recipes,
    drawn_stations,
    round_part,
    shown_decimals,
    to_scale,
    travel_of,
)
from .ways import ways_once


def once_data(seen: ProgrammeReplay) -> dict[str, Any]:
    """Stations, moves and stays of a programme, in the form of those of a cycle.

    Times are numbers in the problem's unit to six decimals, from the moment of the state.
    A stay in doubt counts from the latest time at which it can have begun; `doubt` is by how
    much longer it can have been.
    """
    problem = seen.problem
    stations = track_order(problem)
    numbers = {station.name: number for number, station in enumerate(stations)}
    recipes = {recipe.name: number for number, recipe in enumerate(problem.recipes)}
    hoists = ways_once(seen)
    return {
        **({"hoists": hoists} if hoists else {}),
        "once": True,
        "mark": "L",
        "unit": problem.unit,
        "secondsPerUnit": float(problem.seconds_per_unit),
        "decimals": shown_decimals(tick_of(seen)),
        "smallMargin": float(SMALL),
        "lengthUnit": problem.length_unit,
        "scaled": to_scale(stations),
        "cycleTime": json_rounded(seen.finish) or 1,
        "cycles": 1,
        "steadyFrom": 0,
        "parts": [
            {"id": "all", "name": "Whole programme", "from": 0, "to": json_rounded(seen.finish)}
        ],
        "scrub": json_rounded(scrub_of(seen)),
        "stations": drawn_stations(stations, places_of(seen, stations)),
        "recipes": drawn_recipes(problem),
        "steps": [run.step for run in seen.runs],
        "runs": [*_begun(seen, numbers, recipes), *_runs(seen, numbers, recipes)],
        "stays": [
            _stay(stay, place, seen.finish, numbers, recipes) for stay, place in _placed(seen)
        ],
    }


def scrub_of(seen: ProgrammeReplay) -> Fraction:
    """By how much an arrow key scrubs."""
    return round_part(seen.finish or Fraction(1))


def places_of(seen: ProgrammeReplay, stations: Sequence[Station]) -> list[int]:
    """For each station how many loads ever stand there at once."""
    most: dict[str, int] = {}
    for stay, place in _placed(seen):
        most[stay.station] = max(most.get(stay.station, 0), place + 1)
    return [most.get(station.name, 1) for station in stations]


def _placed(seen: ProgrammeReplay) -> list[tuple[LoadStay, int]]:
    """Every stay in order of time, in the first place that is free."""
    found = []
    free_from: dict[str, list[Fraction]] = {}
    for stay in sorted(seen.stays, key=lambda stay: (stay.since.most, stay.load)):
        taken = free_from.setdefault(stay.station, [])
        free = (n for n, until in enumerate(taken) if until <= stay.since.most)
        place = next(free, len(taken))
        taken[place : place + 1] = [seen.finish + 1 if stay.until is None else stay.until]
        found.append((stay, place))
    return found


def _begun(
    seen: ProgrammeReplay, stations: dict[str, int], recipes: dict[str, int]
) -> list[dict[str, Any]]:
    """The moves that hoists are making when the programme begins, as moves without parts."""
    found = []
    for at, load in seen.course.state.carried:
        if at.free_in.most <= 0:
            continue
        there, free = stations[at.station], json_rounded(at.free_in.most)
        found.append(
            {
                **_whose(seen, at.name),
                "step": 0,
                "carrier": load.load,
                "recipe": recipes[load.recipe],
                "load": load.load,
                "from": there,
                "to": there,
                "start": 0,
                "end": free,
                "lift": 0,
                "drip": 0,
                "travel": [free, 0, 0],
                "known": False,
                "cameFrom": None,
                "empty": [0, 0, 0],
                "waited": 0,
            }
        )
    return found


def _runs(
    seen: ProgrammeReplay, stations: dict[str, int], recipes: dict[str, int]
) -> list[dict[str, Any]]:
    problem = seen.problem
    found = []
    for run, (at, empty, waited) in zip(seen.runs, _ways_there(seen), strict=True):
        move = drawn_move(problem, run)
        found.append(
            {
                **_whose(seen, run.hoist),
                "step": run.step,
                "carrier": run.load,
                "recipe": recipes[run.recipe],
                "load": run.load,
                "from": stations[run.source],
                "to": stations[run.target],
                "start": json_rounded(run.start),
                "end": json_rounded(run.end),
                "lift": json_rounded(move.lift),
                "drip": json_rounded(move.drip),
                "travel": travel_of(move.travel),
                "known": move.known,
                "cameFrom": None if at is None else stations[at],
                "empty": travel_of(empty),
                "waited": json_rounded(waited),
            }
        )
    return found


def _whose(seen: ProgrammeReplay, hoist: str | None) -> dict[str, Any]:
    """Which of several hoists it is that makes a move."""
    return {"hoist": hoist} if len(seen.problem.hoists) > 1 else {}


def _ways_there(seen: ProgrammeReplay) -> Iterator[tuple[str | None, Travel, Fraction]]:
    """From where the one hoist comes to each move, its empty travel, and how long it waits.

    Of several hoists the checker tells the whole way (:func:`ways_once`).
    """
    if len(seen.problem.hoists) > 1:
        yield from ((None, Travel(Fraction(0)), Fraction(0)) for _ in seen.runs)
        return
    table, hoist = seen.course.table, seen.course.state.hoist
    free = Fraction(0) if hoist is None else max(Fraction(0), hoist.free_in.most)
    at = None if hoist is None else hoist.station
    for run in seen.runs:
        way = Fraction(0)
        if at is not None:
            way = table.clock.fraction(table.times.empty(at, run.source) or 0)
        # A hoist that has been free for a while before the state may be on its way then.
        waited = max(Fraction(0), run.start - free - way)
        yield at, drawn_way(seen.problem, at, run.source, min(way, run.start - free)), waited
        free, at = run.end, run.target


def _stay(
    stay: LoadStay, place: int, end: Fraction, stations: dict[str, int], recipes: dict[str, int]
) -> dict[str, Any]:
    return {
        "carrier": stay.load,
        "recipe": recipes[stay.recipe],
        "load": stay.load,
        "stage": stay.label,
        "station": stations[stay.station],
        "place": place,
        "since": json_rounded(stay.since.most),
        "doubt": json_rounded(stay.since.most - stay.since.least),
        "until": json_rounded(end + 1 if stay.until is None else stay.until),
        "least": json_rounded(stay.least),
        "most": None if stay.most is None else json_rounded(stay.most),
    }
