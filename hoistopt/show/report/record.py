"""What the player plays: the checker's record as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor, log10
from string import ascii_uppercase
from typing import Any

from ...analysis.figures.dwells import SMALL
from ...base.numbers.decimals import MOST_DECIMALS
from ...checker.record import CarrierStay, HoistRun
from ...problem import Problem, Station
from ..drawing.palette import paint
from ..tables.jsonfile import json_rounded
from .case import Case
from .motion import Travel, drawn_empty, drawn_move
from .ways import ways

MOST_RUNS = 40_000
"""Beyond this many moves a report holds the steady cycles only."""
SCRUBS = 400


def player_data(case: Case) -> dict[str, Any]:
    """Stations, moves and stays of the whole replay, or of its steady cycles.

    Times are numbers in the problem's unit to six decimals, counted from the start of
    the replay; stations, recipes and steps are named by their place in the lists.
    """
    problem, replay = case.problem, case.replay
    whole = len(replay.runs) <= MOST_RUNS
    since = replay.steady_from * replay.cycle_time
    until = since + replay.steady_cycles * replay.cycle_time
    runs = sorted(replay.runs, key=lambda run: run.start)
    end, stays = _placed(case)
    if not whole:
        # The move before the first one shown tells where the hoist stands till then.
        last = {run.hoist: run for run in runs if run.start < since}
        before = sorted(last.values(), key=lambda run: run.start)
        runs = before + [run for run in runs if since <= run.start < until]
        stays = [stood for stood in stays if stood.stay.since < until and stood.left > since]
    numbers = {station.name: number for number, station in enumerate(case.stations)}
    recipes = {recipe.name: number for number, recipe in enumerate(problem.recipes)}
    hoists = ways(case)
    return {
        **({"hoists": hoists} if hoists else {}),
        "unit": problem.unit,
        "secondsPerUnit": float(problem.seconds_per_unit),
        "decimals": shown_decimals(case.tick),
        "smallMargin": float(SMALL),
        "lengthUnit": problem.length_unit,
        "scaled": to_scale(case.stations),
        "cycleTime": json_rounded(replay.cycle_time),
        "cycles": replay.cycles,
        "steadyFrom": json_rounded(since),
        "parts": _parts(since, until, end, whole),
        "scrub": json_rounded(scrub_step(case)),
        "stations": drawn_stations(case.stations, station_places(case)),
        "recipes": drawn_recipes(problem),
        "steps": sorted({run.step for run in case.cycle_runs}),
        "runs": [_run(problem, run, numbers, recipes) for run in runs],
        "stays": [_stay(stood, numbers, recipes) for stood in stays],
    }


def drawn_recipes(problem: Problem) -> list[dict[str, str]]:
    """Name, letter and look of every recipe."""
    return [
        {
            "name": recipe.name,
            "letter": recipe_letter(problem, number),
            "fill": paint(number).fill,
            "line": paint(number).line,
        }
        for number, recipe in enumerate(problem.recipes)
    ]


def drawn_stations(stations: Sequence[Station], most: Sequence[int]) -> list[dict[str, Any]]:
    """Name, kind, position and places of every station, in track order; which is out of service."""
    described = zip(stations, positions(stations), most, strict=True)
    return [
        {
            "name": station.name,
            "kind": station.kind,
            "x": x,
            "places": places,
            **({"out": True} if station.out_of_service else {}),
        }
        for station, x, places in described
    ]


def recipe_letter(problem: Problem, number: int) -> str:
    """What marks the carriers of a recipe besides their colour; nothing if there is but one."""
    if len(problem.recipes) == 1:
        return ""
    first, last = divmod(number, len(ascii_uppercase))
    return (ascii_uppercase[first - 1] if first else "") + ascii_uppercase[last]


def scrub_step(case: Case) -> Fraction:
    """By how much an arrow key scrubs: a round part of the cycle."""
    return round_part(case.replay.cycle_time)


def round_part(whole: Fraction) -> Fraction:
    """A round part of a time, some hundreds in all."""
    wanted = whole / SCRUBS
    power = Fraction(10) ** floor(log10(wanted))
    return next(n * power for n in (1, 2, 5, 10) if n * power >= wanted)


def to_scale(stations: Sequence[Station]) -> bool:
    """Whether stations can be drawn to scale: all positions known, and not all equal."""
    known = [station.position for station in stations]
    return None not in known and len(set(known)) > 1


def positions(stations: Sequence[Station]) -> list[float]:
    """Where to draw the stations, in track order; evenly spaced where not to scale."""
    if not to_scale(stations):
        return [float(number) for number in range(len(stations))]
    return [float(station.position or Decimal(0)) for station in stations]


@dataclass(frozen=True)
class Stood:
    """A stay, when its carrier leaves, and the place of the station it stands in."""

    stay: CarrierStay
    left: Fraction
    place: int


def station_places(case: Case) -> list[int]:
    """For each station, in track order, how many carriers ever stand there at once."""
    most: dict[str, int] = {}
    for stood in _placed(case)[1]:
        most[stood.stay.station] = max(most.get(stood.stay.station, 0), stood.place + 1)
    return [most.get(station.name, 1) for station in case.stations]


def _placed(case: Case) -> tuple[Fraction, list[Stood]]:
    """When all is over, and every stay in order of time in the first place that is free."""
    runs, stays = case.replay.runs, case.replay.stays
    known = [_leaves(case.problem, stay) for stay in stays]
    end = max([run.end for run in runs] + [left for left in known if left is not None])
    lefts = [end + 1 if left is None else left for left in known]
    found = []
    free_from: dict[str, list[Fraction]] = {}
    for stay, left in sorted(
        zip(stays, lefts, strict=True), key=lambda pair: (pair[0].since, pair[1])
    ):
        taken = free_from.setdefault(stay.station, [])
        place = next((n for n, free in enumerate(taken) if free <= stay.since), len(taken))
        taken[place : place + 1] = [left]
        found.append(Stood(stay, left, place))
    return end, found


def _leaves(problem: Problem, stay: CarrierStay) -> Fraction | None:
    """When a carrier leaves its station; None where it is still there at the end.

    A carrier the hoist never lifts again is taken away by hand, after its least time.
    """
    if stay.until is not None:
        return stay.until
    last = len(problem.recipe_by_name[stay.recipe].stages)
    return stay.since + stay.least if stay.stage > last or stay.stage == 0 else None


def _parts(
    since: Fraction, until: Fraction, end: Fraction, whole: bool
) -> list[dict[str, str | float]]:
    steady = ("steady", "Steady cycles", since, until)
    listed = [
        ("all", "Whole run", Fraction(0), end),
        ("fill", "Fill from empty", Fraction(0), since),
        steady,
        ("run-out", "Run-out", until, end),
    ]
    return [
        {"id": name, "name": label, "from": json_rounded(start), "to": json_rounded(stop)}
        for name, label, start, stop in (listed if whole else [steady])
        if stop > start
    ]


def _run(
    problem: Problem, run: HoistRun, stations: dict[str, int], recipes: dict[str, int]
) -> dict[str, Any]:
    move, empty = drawn_move(problem, run), drawn_empty(problem, run)
    return {
        **({} if run.hoist is None else {"hoist": run.hoist}),
        "step": run.step,
        "carrier": run.carrier,
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
        "cameFrom": None if run.came_from is None else stations[run.came_from],
        "empty": travel_of(empty),
        "waited": json_rounded(run.waited),
    }


def travel_of(travel: Travel) -> list[float]:
    return [json_rounded(travel.time), json_rounded(travel.ramp), json_rounded(travel.settling)]


def _stay(stood: Stood, stations: dict[str, int], recipes: dict[str, int]) -> dict[str, Any]:
    stay = stood.stay
    return {
        "carrier": stay.carrier,
        "recipe": recipes[stay.recipe],
        "load": stay.load,
        "stage": stay.label,
        "station": stations[stay.station],
        "place": stood.place,
        "since": json_rounded(stay.since),
        "until": json_rounded(stood.left),
        "least": json_rounded(stay.least),
        "most": None if stay.most is None else json_rounded(stay.most),
    }


def shown_decimals(tick: Fraction) -> int:
    """Decimals of the tick: what a reading needs to be exact where the schedule is."""
    return next((n for n in range(MOST_DECIMALS) if (tick * 10**n).denominator == 1), MOST_DECIMALS)
