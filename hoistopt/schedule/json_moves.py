"""Moves in JSON: an object with the cycle time and the list of moves."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, Literal

from ..base.errors import InputError
from ..problem import Problem
from .programme import Programme, not_a_cycle
from .raw_move import (
    COUNTS,
    MOST_MOVES,
    RawMove,
    RawTravel,
    build_order,
    build_programme,
    build_schedule,
    exact_figure,
    exact_time,
    whole_number,
)
from .schedule import Schedule

_SHAPE = 'Write { "cycle_time": 521, "moves": [ { "start": 0, "from": "A", "to": "B" } ] }.'


Take = Literal["shown", "least", "runnable"]
"""Which schedule of a file that holds two: the one shown when it was written, that of the
least cycle, or the shortest found that can be run."""


def moves_from_json(
    text: str, problem: Problem, *, timed: bool = True, take: Take = "least"
) -> Schedule:
    """Read what ``hoistopt solve --json`` writes, or the same typed in by hand.

    Needed are ``cycle_time`` and ``moves``, and of each move ``start``, ``from`` and
    ``to``; ``recipe``, ``load``, ``stage``, ``boundaries`` and ``hoist`` may be left out or
    null. Of several hoists ``travels`` tells how they give way to one another.
    Every other key is ignored, but for ``runnable`` and ``shown`` where `take` asks for
    another schedule than the one on top.

    With `timed` False only the order of the moves is wanted: by ``start`` where any move
    has one, else as listed; see :func:`.csv_moves.moves_from_csv`.

    Raises
    ------
    InputError
        For the first thing that is wrong, without the file's name.
    """
    if timed and is_programme(text):
        raise not_a_cycle()
    whole = _object_in(text, ("cycle_time", "moves") if timed else ("moves",))
    under = "runnable" if runnable_meant(whole, take) else ""
    with _naming_place(under):
        return _schedule_in(whole[under] if under else whole, problem, timed=timed)


def _schedule_in(data: dict[str, Any], problem: Problem, *, timed: bool) -> Schedule:
    unit = problem.unit
    moves = _list_of(data, ("cycle_time", "moves") if timed else ("moves",))
    if not timed:
        started = any(isinstance(move, dict) and move.get("start") is not None for move in moves)
        return build_order(
            problem,
            [
                _move(move, number, problem, None if started else Decimal(number))
                for number, move in enumerate(moves, start=1)
            ],
        )
    cycle = exact_time(_scalar(data["cycle_time"], "cycle_time"), "cycle_time", unit)
    if cycle <= 0:
        raise InputError("a number above 0", field="cycle_time", value=cycle)
    return build_schedule(
        problem,
        cycle,
        [_move(entry, number, problem) for number, entry in enumerate(moves, start=1)],
        _travels(data.get("travels"), unit),
    )


def _travels(given: object, unit: str) -> list[RawTravel]:
    """How several hoists give way to one another; the key may be left out."""
    if given is None:
        return []
    if not isinstance(given, list) or len(given) > MOST_MOVES:
        raise InputError(f"a list of at most {MOST_MOVES} travels", field="travels")
    found = []
    for number, entry in enumerate(given, start=1):
        place = f"travels, entry {number}"
        if not isinstance(entry, dict) or not {"start", "hoist", "to"} <= set(entry):
            raise InputError("an object with start, hoist and to", field=place)
        fields = {key: f"{place}, {key}" for key in ("start", "hoist", "to")}
        start = exact_time(_scalar(entry["start"], fields["start"]), fields["start"], unit)
        to = exact_figure(_scalar(entry["to"], fields["to"]), fields["to"])
        found.append(RawTravel(start, _name(entry["hoist"], fields["hoist"]), to, fields))
    return found


def programme_from_json(text: str, problem: Problem) -> Programme:
    """Read moves in absolute time, as ``hoistopt plan --json`` writes them.

    Raises
    ------
    InputError
        For the first thing that is wrong, without the file's name.
    """
    unit = problem.unit
    data = _object_in(text, ("moves",))
    moves = _list_of(data, ("moves",))
    if data.get("cycle_time") is not None:
        raise InputError(
            "no cycle time in a programme, which runs once",
            field="cycle_time",
            value=data["cycle_time"],
            way_out="A cycle goes where one is asked for, as by --to.",
        )
    return build_programme(
        problem,
        [_move(entry, number, problem) for number, entry in enumerate(moves, start=1)],
        _repeats(data.get("repeats"), unit),
        _travels(data.get("travels"), unit),
    )


def _repeats(given: object, unit: str) -> tuple[Decimal, Decimal] | None:
    """From when on a programme repeats, and every how long."""
    if given is None:
        return None
    if not isinstance(given, dict) or not {"from", "every"} <= set(given):
        raise InputError("an object with from and every", field="repeats")
    first, every = (
        exact_time(_scalar(given[key], f"repeats, {key}"), f"repeats, {key}", unit)
        for key in ("from", "every")
    )
    return first, every


def is_programme(text: str) -> bool:
    """Whether JSON has a key ``finish`` and no cycle time: it runs once."""
    try:
        data = parse_json(text)
    except InputError:
        return False
    return isinstance(data, dict) and "finish" in data and data.get("cycle_time") is None


@contextmanager
def _naming_place(under: str) -> Iterator[None]:
    """Let an error about what stands under a key name that key, as the same ones stand on top."""
    try:
        yield
    except InputError as error:
        if under:
            error.field = under if error.field is None else f"{under}, {error.field}"
        raise


def _object_in(text: str, needed: tuple[str, ...]) -> dict[str, Any]:
    """The object that a file of moves is."""
    data = parse_json(text)
    if not isinstance(data, dict):
        raise InputError(f"an object with {' and '.join(needed)}", way_out=_SHAPE)
    return data


def _list_of(data: dict[str, Any], needed: tuple[str, ...]) -> list[Any]:
    """The list of moves in the object that holds the schedule meant."""
    moves = data.get("moves")
    status = data.get("status")
    if not moves and isinstance(status, str) and status not in ("optimal", "feasible"):
        raise InputError(
            "a file that holds a schedule", field="status", value=status, way_out="Nothing to read."
        )
    for key in needed:
        if data.get(key) is None:
            raise InputError("this key to be present", field=key, way_out=_SHAPE)
    if not isinstance(moves, list):
        raise InputError("a list of moves", field="moves", way_out=_SHAPE)
    if len(moves) > MOST_MOVES:
        raise InputError(f"at most {MOST_MOVES} moves", field="moves", value=f"{len(moves)} moves")
    return moves


def runnable_meant(data: object, take: Take) -> bool:
    """Whether the moves are to be read from under ``runnable``.

    Raises
    ------
    InputError
        When they are and there are none.
    """
    if not isinstance(data, dict) or take == "least":
        return False
    there = isinstance(data.get("runnable"), dict)
    if take == "runnable" and not there:
        raise InputError(
            "a file that holds a schedule that can be run",
            field="runnable",
            way_out="`hoistopt solve FILE --json OUT` writes one where it finds one.",
        )
    return there and (take == "runnable" or data.get("shown") == "runnable")


def is_json(path: Path, text: str) -> bool:
    """Whether a file of moves counts as JSON, by its name or how it begins."""
    return path.suffix.lower() == ".json" or text.lstrip().startswith("{")


def parse_json(text: str) -> Any:
    """JSON with exact numbers, and each key once in an object.

    Raises
    ------
    InputError
        When it is none.
    """
    try:
        return json.loads(
            text, parse_float=Decimal, parse_constant=Decimal, object_pairs_hook=_keys_once
        )
    except json.JSONDecodeError as error:
        raise InputError(f"a JSON file ({error})") from None
    except RecursionError:
        raise InputError("a JSON file of ordinary depth") from None
    except (InvalidOperation, ValueError):  # numbers of thousands of digits
        raise InputError("numbers of ordinary size") from None


def _keys_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise InputError("each key once in an object", field=key)
        found[key] = value
    return found


def _scalar(value: object, field: str) -> object:
    if isinstance(value, dict | list):
        raise InputError("a single value", field=field)
    return value


def _move(entry: object, number: int, problem: Problem, start: Decimal | None = None) -> RawMove:
    place = f"moves, entry {number}"
    if not isinstance(entry, dict):
        raise InputError("an object with start, from and to", field=place, way_out=_SHAPE)
    keys = ("start", "from", "to", "recipe", "hoist", *COUNTS)
    fields = {key: f"{place}, {key}" for key in keys}
    given = {key: _scalar(entry.get(key), fields[key]) for key in keys}
    for key in ("start", "from", "to"):
        if given[key] is None and (key != "start" or start is None):
            raise InputError("this key to be present", field=fields[key])
    counts = {
        key: None if given[key] is None else whole_number(given[key], key, fields[key])
        for key in COUNTS
    }
    return RawMove(
        start=exact_time(given["start"], fields["start"], problem.unit) if start is None else start,
        source=_station(given["from"], fields["from"], problem),
        target=_station(given["to"], fields["to"], problem),
        recipe=None if given["recipe"] is None else _name(given["recipe"], fields["recipe"]),
        hoist=None if given["hoist"] is None else _name(given["hoist"], fields["hoist"]),
        fields=fields,
        **counts,
    )


def _station(value: object, field: str, problem: Problem) -> str:
    """The name of a station given by its name or its number."""
    if isinstance(value, int) and not isinstance(value, bool):
        called = problem.station_called(str(value))
        return called if called in problem.station_by_name else _name(value, field)
    return problem.station_called(_name(value, field))


def _name(value: object, field: str) -> str:
    if not isinstance(value, str):
        raise InputError("text in quotes", field=field, value=value)
    return value
