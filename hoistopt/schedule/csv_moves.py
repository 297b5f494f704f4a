"""Moves in CSV: our own step table, or one typed in from an existing machine."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal

from ..base.cells import unguarded
from ..base.errors import InputError
from ..problem import Problem
from .csv_rows import KNOWN, REQUIRED, TRAVEL, Row, number_of, split_comments, table_of
from .programme import Programme, not_a_cycle
from .raw_move import (
    COUNTS,
    RawMove,
    RawTravel,
    build_order,
    build_programme,
    build_schedule,
    whole_number,
)
from .schedule import Schedule

PROGRAMME = "programme"
_CYCLE_COMMENT = re.compile(r"#\s*cycle[ _]time\s*[=:](.*)", re.IGNORECASE)
_REPEATS = re.compile(r"#\s*repeats_(from|every)\s*[=:](.*)", re.IGNORECASE)


def moves_from_csv(text: str, problem: Problem, *, timed: bool = True) -> Schedule:
    """Read a table of moves with one header row.

    Columns are known by their names; needed are ``start``, ``from`` and ``to``, others
    than ours are ignored. Starts are in the problem's unit, which a header may repeat
    (``start [s]``), or durations such as ``1:30`` or ``22 s``. The cycle time stands in a
    column ``cycle_time``, in the first row or in all, or in a line ``# cycle_time = 521``
    above the header. Commas, semicolons and tabs may separate the cells; with the latter
    two, a comma may mark decimals.

    With `timed` False only the order of the moves is wanted: by ``start`` where that
    column is filled in, else by row. No cycle time is needed, and the schedule has the
    moves at 0, 1, 2, ... of a cycle as long as there are moves.

    Raises
    ------
    InputError
        For the first thing that is wrong, without the file's name.
    """
    comments, rows = table_of(text, problem, timed)
    if not timed:
        started = any(row.cells.get("start") for row in rows)
        moves = [
            _move(row, problem, None if started else Decimal(number))
            for number, row in enumerate(rows)
            if not row.cells.get(TRAVEL)
        ]
        return build_order(problem, moves)
    cycle = _cycle_time(comments, rows)
    travels = [row for row in rows if row.cells.get(TRAVEL)]
    return build_schedule(
        problem,
        cycle,
        [_move(row, problem) for row in rows if row not in travels],
        [_travel(row, problem) for row in travels],
    )


def programme_from_csv(text: str, problem: Problem) -> Programme:
    """Read moves in absolute time: the same columns, and no cycle time.

    Raises
    ------
    InputError
        For the first thing that is wrong, without the file's name.
    """
    comments, rows = table_of(text, problem, True)
    for row in rows:
        if row.cells.get("cycle_time"):
            raise InputError(
                "no cycle time in a programme, which runs once",
                field=row.place("cycle_time"),
                value=row.cells["cycle_time"],
                way_out=f'If this is a cycle, take out a line "# {PROGRAMME}" and give it where a '
                "cycle is asked for, as by --to; else take out the column.",
            )
    repeats = _repeats(comments, problem.unit, decimal_comma=rows[0].decimal_comma)
    travels = [row for row in rows if row.cells.get(TRAVEL)]
    return build_programme(
        problem,
        [_move(row, problem) for row in rows if row not in travels],
        repeats,
        [_travel(row, problem) for row in travels],
    )


def _repeats(
    comments: Mapping[int, str], unit: str, *, decimal_comma: bool
) -> tuple[Decimal, Decimal] | None:
    """From when on a programme repeats, and every how long: two lines above its header."""
    found: dict[str, Decimal] = {}
    for number, comment in comments.items():
        if (stated := _REPEATS.match(comment)) is not None:
            found[stated[1].lower()] = number_of(
                stated[2].strip(), f"row {number}", decimal_comma, unit
            )
    if not found:
        return None
    if len(found) < 2:
        raise InputError(
            "both lines, # repeats_from = ... and # repeats_every = ...",
            field=f"repeats_{next(iter(found))}",
        )
    return found["from"], found["every"]


def is_programme(text: str) -> bool:
    """Whether a table says, in a line ``# programme`` above its header, that it runs once."""
    comments, _, _ = split_comments(text)
    return _says_programme(comments)


def _says_programme(comments: Mapping[int, str]) -> bool:
    return any(comment.strip("# ").lower() == PROGRAMME for comment in comments.values())


def _cycle_time(comments: dict[int, str], rows: list[Row]) -> Decimal:
    """The one cycle time the file states, wherever it does."""
    stated: dict[str, Decimal] = {}
    for number, comment in comments.items():
        found = _CYCLE_COMMENT.match(comment)
        if found:
            field = f"row {number}, cycle_time"
            stated[field] = number_of(found[1].strip(), field, rows[0].decimal_comma, rows[0].unit)
    for row in rows:
        if row.cells.get("cycle_time"):
            stated[row.place("cycle_time")] = row.time_in("cycle_time")
    if not stated and "cycle_time" in rows[0].cells:
        raise InputError("the cycle time, in one row or in all", field=rows[0].place("cycle_time"))
    if not stated and _says_programme(comments):
        raise not_a_cycle()
    if not stated:
        raise InputError(
            "the cycle time",
            field="cycle_time",
            way_out='Add a column "cycle_time", or a first line such as "# cycle_time = 521"; a '
            f'programme, which runs once, begins with a line "# {PROGRAMME}".',
        )
    (first, cycle), *others = stated.items()
    if cycle <= 0:
        raise InputError("a number above 0", field=first, value=cycle)
    for field, other in others:
        if other != cycle:
            raise InputError(f"one cycle time; {first} says {cycle}", field=field, value=other)
    return cycle


def _move(row: Row, problem: Problem, start: Decimal | None = None) -> RawMove:
    for column in REQUIRED:
        if column == "start" and start is not None:
            continue
        if not row.cells.get(column):
            raise InputError("a value, but the cell is empty", field=row.place(column))
    counts = {
        key: whole_number(row.number_in(key), key, row.place(key)) if row.cells.get(key) else None
        for key in COUNTS
    }
    recipe = row.cells.get("recipe")
    return RawMove(
        start=row.time_in("start") if start is None else start,
        source=_station(row.cells["from"], problem),
        target=_station(row.cells["to"], problem),
        recipe=_unprotected(recipe, problem.recipe_by_name) if recipe else None,
        hoist=_hoist(row, problem),
        fields={column: row.place(column) for column in KNOWN},
        **counts,
    )


def _travel(row: Row, problem: Problem) -> RawTravel:
    """A row that is a travel of one of several hoists to a position, with no load."""
    for column in ("from", "to"):
        if row.cells.get(column):
            raise InputError(
                f'either a move, or a travel in column "{TRAVEL}"',
                field=row.place(column),
                value=row.cells[column],
            )
    if not row.cells.get("start"):
        raise InputError("a value, but the cell is empty", field=row.place("start"))
    return RawTravel(
        start=row.time_in("start"),
        hoist=_hoist(row, problem),
        to=row.number_in(TRAVEL),
        fields={column: row.place(column) for column in KNOWN},
    )


def _hoist(row: Row, problem: Problem) -> str | None:
    name = row.cells.get("hoist")
    return (
        _unprotected(name, {hoist.name or "": None for hoist in problem.hoists}) if name else None
    )


def _station(word: str, problem: Problem) -> str:
    """The name of a station given by its name or its number."""
    return problem.station_called(_unprotected(word, problem.station_by_name))


def _unprotected(name: str, known: Mapping[str, object]) -> str:
    """A name without the apostrophe that kept a spreadsheet from seeing a formula in it."""
    bare = unguarded(name)
    # A table typed by hand may have a name that begins with an apostrophe as it is.
    return bare if bare in known else name
