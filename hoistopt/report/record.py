"""What the player plays: the checker's record as plain data."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from ..checker.record import CarrierStay, HoistRun
from ..drawing.palette import paint
from ..problem import Problem
from .case import Case
from .motion import Travel, drawn_empty, drawn_move

MOST_RUNS = 40_000
"""Beyond this many moves a report holds the steady cycles only."""
_DECIMALS = 6


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
    stays = [(stay, leaves(problem, stay)) for stay in replay.stays]
    end = max([run.end for run in runs] + [left for _, left in stays if left is not None])
    if not whole:
        # The move before the first one shown tells where the hoist stands till then.
        before = [run for run in runs if run.start < since][-1:]
        runs = before + [run for run in runs if since <= run.start < until]
        stays = [pair for pair in stays if pair[0].since < until and (pair[1] or end) > since]
    numbers = {station.name: number for number, station in enumerate(case.stations)}
    recipes = {recipe.name: number for number, recipe in enumerate(problem.recipes)}
    placed = sorted(stays, key=lambda pair: (pair[0].since, pair[1] or end))
    places = _places(placed, end)
    return {
        "unit": problem.unit,
        "secondsPerUnit": float(problem.seconds_per_unit),
        "decimals": _shown_decimals(case),
        "lengthUnit": problem.length_unit,
        "scaled": to_scale(case),
        "cycleTime": _number(replay.cycle_time),
        "cycles": replay.cycles,
        "steadyFrom": _number(since),
        "parts": _parts(since, until, end, whole),
        "stations": [
            {"name": station.name, "kind": station.kind, "x": x}
            for station, x in zip(case.stations, positions(case), strict=True)
        ],
        "recipes": [
            {"name": recipe.name, "fill": paint(number).fill, "line": paint(number).line}
            for number, recipe in enumerate(problem.recipes)
        ],
        "steps": sorted({run.step for run in case.cycle_runs}),
        "runs": [_run(problem, run, numbers, recipes) for run in runs],
        "stays": [
            _stay(stay, left, end, place, numbers, recipes)
            for (stay, left), place in zip(placed, places, strict=True)
        ],
    }


def to_scale(case: Case) -> bool:
    """Whether the line can be drawn to scale: all positions known, and not all equal."""
    known = [station.position for station in case.stations]
    return None not in known and len(set(known)) > 1


def positions(case: Case) -> list[float]:
    """Where to draw the stations, in track order; evenly spaced where not to scale."""
    if not to_scale(case):
        return [float(number) for number in range(len(case.stations))]
    return [float(station.position or Decimal(0)) for station in case.stations]


def leaves(problem: Problem, stay: CarrierStay) -> Fraction | None:
    """When a carrier leaves its station; None where it is still there at the end.

    A carrier the hoist never lifts again is taken away by hand, after its least time.
    """
    if stay.until is not None:
        return stay.until
    last = len(problem.recipe_by_name[stay.recipe].stages)
    return stay.since + stay.least if stay.stage > last or stay.stage == 0 else None


def station_places(case: Case) -> list[int]:
    """For each station, in track order, how many carriers ever stand there at once."""
    numbers = {station.name: number for number, station in enumerate(case.stations)}
    found = [1] * len(numbers)
    stays = [(stay, leaves(case.problem, stay)) for stay in case.replay.stays]
    end = max([run.end for run in case.replay.runs] + [left for _, left in stays if left])
    placed = sorted(stays, key=lambda pair: (pair[0].since, pair[1] or end))
    for (stay, _), place in zip(placed, _places(placed, end), strict=True):
        number = numbers[stay.station]
        found[number] = max(found[number], place + 1)
    return found


def _places(stays: Iterable[tuple[CarrierStay, Fraction | None]], end: Fraction) -> list[int]:
    """For each stay, in order of time, the first place of its station that is free."""
    free_from: dict[str, list[Fraction]] = {}
    found = []
    for stay, left in stays:
        taken = free_from.setdefault(stay.station, [])
        place = next((n for n, free in enumerate(taken) if free <= stay.since), len(taken))
        if place == len(taken):
            taken.append(end)
        taken[place] = end if left is None else left
        found.append(place)
    return found


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
        {"id": name, "name": label, "from": _number(start), "to": _number(stop)}
        for name, label, start, stop in (listed if whole else [steady])
        if stop > start
    ]


def _run(
    problem: Problem, run: HoistRun, stations: dict[str, int], recipes: dict[str, int]
) -> dict[str, Any]:
    move, empty = drawn_move(problem, run), drawn_empty(problem, run)
    return {
        "step": run.step,
        "carrier": run.carrier,
        "recipe": recipes[run.recipe],
        "load": run.load,
        "from": stations[run.source],
        "to": stations[run.target],
        "start": _number(run.start),
        "end": _number(run.end),
        "lift": _number(move.lift),
        "drip": _number(move.drip),
        "travel": _travel(move.travel),
        "known": move.known,
        "cameFrom": None if run.came_from is None else stations[run.came_from],
        "empty": _travel(empty),
        "waited": _number(run.waited),
    }


def _travel(travel: Travel) -> list[float]:
    return [_number(travel.time), _number(travel.ramp), _number(travel.settling)]


def _stay(
    stay: CarrierStay,
    left: Fraction | None,
    end: Fraction,
    place: int,
    stations: dict[str, int],
    recipes: dict[str, int],
) -> dict[str, Any]:
    return {
        "carrier": stay.carrier,
        "recipe": recipes[stay.recipe],
        "load": stay.load,
        "stage": stay.label,
        "station": stations[stay.station],
        "place": place,
        "since": _number(stay.since),
        "until": _number(end + 1 if left is None else left),
        "least": _number(stay.least),
        "most": None if stay.most is None else _number(stay.most),
    }


def _number(value: Fraction) -> int | float:
    number = round(float(value), _DECIMALS)
    return int(number) if number == int(number) else number


def _shown_decimals(case: Case) -> int:
    """Decimals of the tick: what a reading needs to be exact where the schedule is."""
    tick = case.tick
    return next((n for n in range(_DECIMALS) if (tick * 10**n).denominator == 1), _DECIMALS)
