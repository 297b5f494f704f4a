"""Moves in CSV: our own step table, or one typed in from an existing machine."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from operator import and_

from ..base.cells import unguarded
from ..base.errors import InputError
from ..base.separated import POINT_OR_SEMICOLON, exact_cell, rows_of, separator
from ..problem import Problem
from .programme import Programme
from .raw_move import (
    COUNTS,
    LONGEST,
    MOST_MOVES,
    RawMove,
    RawTravel,
    build_order,
    build_programme,
    build_schedule,
    whole_number,
)
from .schedule import Schedule

PROGRAMME = "programme"
REQUIRED = ("start", "from", "to")
TRAVEL = "travel_to"
KNOWN = (*REQUIRED, "recipe", *COUNTS, "cycle_time", "hoist", TRAVEL)
_CYCLE_COMMENT = re.compile(r"#\s*cycle[ _]time\s*[=:](.*)", re.IGNORECASE)
_REPEATS = re.compile(r"#\s*repeats_(from|every)\s*[=:](.*)", re.IGNORECASE)
_WITH_UNIT = re.compile(r"(.+?)\s*[\[(]\s*(ms|s|min|h)\s*[\])]")
_WAY_OUT = (
    "The first row names the columns: start, from, to; also recipe, load, stage, boundaries, "
    "cycle_time where known."
)


@dataclass(frozen=True)
class _Row:
    number: int
    cells: Mapping[str, str]
    decimal_comma: bool
    unit: str
    full: bool = True

    def place(self, column: str) -> str:
        return f'row {self.number}, column "{column}"'

    def number_in(self, column: str) -> Decimal:
        """The number in a cell, exactly."""
        return _number(self.cells[column], self.place(column), self.decimal_comma)

    def time_in(self, column: str) -> Decimal:
        """The time in a cell: a number of units, or a duration turned into them."""
        return _number(self.cells[column], self.place(column), self.decimal_comma, self.unit)


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
    comments, rows = _table_of(text, problem, timed)
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
    comments, rows = _table_of(text, problem, True)
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
            found[stated[1].lower()] = _number(
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
    comments, _, _ = _split_comments(text)
    return any(comment.strip("# ").lower() == PROGRAMME for comment in comments.values())


def _table_of(text: str, problem: Problem, timed: bool) -> tuple[dict[int, str], list[_Row]]:
    """Comments above the header, and the rows below it."""
    if "\0" in text:
        raise InputError("a text file")
    comments, body, skipped = _split_comments(text)
    if not body.strip():
        raise InputError("a header row and at least one move", way_out=_WAY_OUT)
    header = body.split("\n", 1)[0]
    delimiter = separator(header, lambda cell: _without_unit(_plain(cell), problem.unit) in KNOWN)
    rows = list(_rows(body, delimiter, skipped, problem.unit, timed))
    if not rows:
        raise InputError("at least one move below the header row")
    for row in rows:
        _no_split_decimals(row, problem)
    return comments, rows


def _split_comments(text: str) -> tuple[dict[int, str], str, int]:
    """Leading comment lines by number, the rest, and how many lines came before it."""
    comments: dict[int, str] = {}
    lines = io.StringIO(text, newline=None).read().split("\n")
    for number, line in enumerate(lines):
        # Spreadsheets put quotes around a comment and empty cells after it.
        bare = line.strip(" \t,;\"'")
        if bare.startswith("#") and not _looks_like_header(bare):
            comments[number + 1] = bare
        elif bare:
            return comments, "\n".join(lines[number:]), number
    return comments, "", len(lines)


def _looks_like_header(line: str) -> bool:
    # "#" may also head a column of step numbers.
    return {"from", "to"} <= {cell.strip(' "') for cell in re.split(r"[,;\t]", line.lower())}


def _plain(cell: str) -> str:
    return cell.strip().lower().replace(" ", "_")


def _without_unit(name: str, unit: str) -> str:
    """A header without the problem's unit after it; another unit stays, to be refused."""
    found = _WITH_UNIT.fullmatch(name)
    return found[1].rstrip("_") if found and found[2] == unit else name


def _header(cells: list[str], number: int, unit: str, timed: bool) -> list[str]:
    names: list[str] = []
    for cell in cells:
        plain = _plain(cell)
        name = _without_unit(plain, unit)
        found = _WITH_UNIT.fullmatch(name)
        if found and found[1].rstrip("_") in KNOWN:
            raise InputError(
                f'times in the unit of the problem, "{unit}"',
                field=f"row {number}, header",
                value=cell.strip(),
                way_out="Convert the column, then correct its header.",
            )
        if name and name in names:
            raise InputError("each column once", field=f"row {number}, header", value=cell.strip())
        names.append(name)
    for needed in REQUIRED:
        if needed not in names and (timed or needed != "start"):
            raise InputError(
                f'a column "{needed}"', field=f"row {number}, header", way_out=_WAY_OUT
            )
    return names


def _rows(body: str, delimiter: str, skipped: int, unit: str, timed: bool) -> Iterator[_Row]:
    names: list[str] | None = None
    for number, cells in rows_of(body, delimiter, MOST_MOVES + 1, skipped):
        if names is None:
            names = _header(cells, number, unit, timed)
            continue
        if any(cell.strip() for cell in cells[len(names) :]):
            raise InputError(
                f"at most {len(names)} cells, as in the header",
                field=f"row {number}",
                value=f"{len(cells)} cells",
                way_out=_too_many(cells, delimiter),
            )
        padded = [cell.strip() for cell in cells] + [""] * len(names)
        found = {name: cell for name, cell in zip(names, padded, strict=False) if name in KNOWN}
        yield _Row(number, found, delimiter != ",", unit, len(cells) >= len(names))


def _too_many(cells: list[str], delimiter: str) -> str:
    """The way out where a row has more cells than the header."""
    whole = [cell.strip().lstrip("+-").isdecimal() for cell in cells]
    if delimiter == "," and any(map(and_, whole, whole[1:])):
        return POINT_OR_SEMICOLON
    return "Put quotes around a name that holds the separator."


def _number(text: str, field: str, decimal_comma: bool, unit: str | None = None) -> Decimal:
    return exact_cell(text, field, decimal_comma=decimal_comma, largest=LONGEST, unit=unit)


def _cycle_time(comments: dict[int, str], rows: list[_Row]) -> Decimal:
    """The one cycle time the file states, wherever it does."""
    stated: dict[str, Decimal] = {}
    for number, comment in comments.items():
        found = _CYCLE_COMMENT.match(comment)
        if found:
            field = f"row {number}, cycle_time"
            stated[field] = _number(found[1].strip(), field, rows[0].decimal_comma, rows[0].unit)
    for row in rows:
        if row.cells.get("cycle_time"):
            stated[row.place("cycle_time")] = row.time_in("cycle_time")
    if not stated and "cycle_time" in rows[0].cells:
        raise InputError("the cycle time, in one row or in all", field=rows[0].place("cycle_time"))
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


def _move(row: _Row, problem: Problem, start: Decimal | None = None) -> RawMove:
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


def _travel(row: _Row, problem: Problem) -> RawTravel:
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


def _hoist(row: _Row, problem: Problem) -> str | None:
    name = row.cells.get("hoist")
    return (
        _unprotected(name, {hoist.name or "": None for hoist in problem.hoists}) if name else None
    )


def _no_split_decimals(row: _Row, problem: Problem) -> None:
    """Refuse ``12,5,Dip,...`` in a table with commas, which has 5 for the station.

    Raises
    ------
    InputError
        When a whole number stands where a station should, and no station is called so.
    """
    source = row.cells["from"]
    if row.decimal_comma or not row.cells.get("start"):
        return
    # A split row has a cell more than it should: one that is numbered may have none missing.
    known = source in problem.station_by_name or (
        row.full and problem.station_called(source) != source
    )
    if source.isdecimal() and not known:
        raise InputError(
            "a station of this line, by its name or by the number that the file gives it",
            field=row.place("from"),
            value=source,
            way_out=POINT_OR_SEMICOLON,
        )


def _station(word: str, problem: Problem) -> str:
    """The name of a station given by its name or its number."""
    return problem.station_called(_unprotected(word, problem.station_by_name))


def _unprotected(name: str, known: Mapping[str, object]) -> str:
    """A name without the apostrophe that kept a spreadsheet from seeing a formula in it."""
    bare = unguarded(name)
    # A table typed by hand may have a name that begins with an apostrophe as it is.
    return bare if bare in known else name
