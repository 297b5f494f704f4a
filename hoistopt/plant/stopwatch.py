"""Read a stopwatch list: times of the hoist that somebody took, one move or travel a row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from ..base.encodings import decoded
from ..base.errors import InputError
from ..base.numbers.duration import SECONDS
from ..base.numbers.exact import LARGEST
from ..base.separated import exact_cell, rows_of, separator
from ..base.workbook.package import is_workbook
from ..base.workbook.table_text import naming_sheet_cells, table_text
from ..problem import Problem
from .readings import Readings, Timed, grouped, step_of

SHEETS = ("Stopwatch",)
"""The sheet of a workbook that holds a list."""
PLACES = ("from", "to", "loaded", "hoist", "note")
TIMES = ("time", "lift", "travel", "lower", "drip")
COLUMNS = (*PLACES, *TIMES)
MOST_ROWS = 100_000
_BEGINNING = 10_000
_YES = {"yes": True, "y": True, "true": True, "1": True, "loaded": True}
_NO = {"no": False, "n": False, "false": False, "0": False, "empty": False}
_LOADED: Mapping[str, bool] = _YES | _NO
_WITH_UNIT = re.compile(r"([a-z]+)\s*[\[(_]\s*(ms|s|min|h)\s*[\])]?")
_WAY_OUT = (
    "A list has the columns from, to, loaded (yes or no) and time, or lift, travel and lower in "
    "place of time; a unit may follow: time [s]. Remarks stand in a column note."
)


@dataclass(frozen=True)
class _Column:
    name: str
    place: int
    unit: str
    factor: Decimal
    """From its unit to the problem's."""


def starts_as_list(path: str | Path) -> bool:
    """Whether a file begins as a stopwatch list does; any other may be a log."""
    try:
        if is_workbook(path):
            beginning = table_text(Path(path), SHEETS)[:_BEGINNING]
        else:
            with open(path, "rb") as stream:
                start = stream.read(_BEGINNING)
            beginning = decoded(start[: len(start) // 2 * 2], Path(path))[0]
    except (OSError, InputError):
        return False  # what is wrong with it is told when it is read
    header = next((line for line in beginning.splitlines() if _counts(line)), "")
    names = {_named(cell)[0].split("[")[0].strip() for cell in re.split(r"[,;\t]", header)}
    return bool(names & {"from", "to"}) and bool(names & set(TIMES))


def read_stopwatch(
    path: str | Path,
    problem: Problem,
    hoist: int = 0,
    stations: Mapping[str, str | None] | None = None,
) -> Readings:
    """Read a stopwatch list.

    Commas, semicolons or tabs may separate the cells; with the latter two a comma may mark
    decimals. Columns, in any order: ``from`` and ``to``, stations by name or by the number that
    the problem gives them; ``loaded``, yes or no,
    left out all are loaded; ``time``, of a loaded move from the start of lifting to the end of
    lowering, or of empty travel until the hoist is at rest; in place of it ``lift``, ``travel``
    (until at rest) and ``lower``, any of them; ``drip``, taken off ``time``; ``hoist``, its
    name where there are several: rows of others are passed over; ``note``. Times
    are in the problem's unit unless the header says another one, such as ``time [s]``, or a
    cell its own, such as ``1:05`` or ``22 s``; ``seconds`` means ``time [s]``.

    Parameters
    ----------
    path : str or Path
    problem : Problem
        The line.
    hoist : int
        Which of its hoists was timed, from 0.
    stations : mapping of str to str or None, optional
        The problem's station for other words of the list, as of a
        :class:`~hoistopt.plant.mapping.LogMapping`; rows with a word for None are left out.

    Raises
    ------
    InputError
        One error naming the file, the row, the column and the value.
    """
    with naming_sheet_cells(Path(path), SHEETS):
        text = table_text(Path(path), SHEETS)
        head = next((line for line in text.splitlines() if _counts(line)), "")
        delimiter = separator(head, lambda cell: _named(cell)[0] in COLUMNS)
        rows = [
            (number, cells)
            for number, cells in rows_of(text, delimiter, MOST_ROWS)
            if not cells[0].lstrip().startswith("#")
        ]
        columns = _header(rows, problem)
        written: list[Decimal] = []
        found = []
        for number, cells in rows[1:]:
            row = _Row(number, cells, columns, problem, stations or {}, comma=delimiter != ",")
            wanted = row.of(hoist) and not row.left_out()
            for timed, time in row.readings() if wanted else ():
                written.append(time)
                found.append((timed, float(time), number))
        if not found:
            raise InputError("at least one row with a time", way_out=_WAY_OUT)
    return Readings(
        problem, "list", (str(path),), grouped(found), step=float(step_of(written)), hoist=hoist
    )


def _counts(line: str) -> bool:
    return bool(line.strip(" ,;\t")) and not line.lstrip('"\ufeff ').startswith("#")


def _named(cell: str) -> tuple[str, str | None]:
    """The name of a column and the unit its header states."""
    plain = cell.strip().strip('"').lower()
    if plain == "seconds":
        return "time", "s"
    found = _WITH_UNIT.fullmatch(plain)
    return (found[1], found[2]) if found and found[1] in TIMES else (plain, None)


def _header(rows: list[tuple[int, list[str]]], problem: Problem) -> dict[str, _Column]:
    if not rows:
        raise InputError("a stopwatch list, but it is empty", way_out=_WAY_OUT)
    number, cells = rows[0]
    field = f"row {number}, header"
    columns: dict[str, _Column] = {}
    for place, cell in enumerate(cells):
        name, unit = _named(cell)
        if not name:
            continue
        if name not in COLUMNS:
            raise InputError(
                "a column of a stopwatch list, with no unit or one of ms, s, min and h",
                field=field, value=cell.strip(), way_out=_WAY_OUT,
            )  # fmt: skip
        if name in columns:
            raise InputError(f'one column "{name}"', field=field, way_out=_WAY_OUT)
        unit = unit or problem.unit
        columns[name] = _Column(
            name, place, unit, Decimal(SECONDS[unit]) / problem.seconds_per_unit
        )
    if not {"time", "lift", "travel", "lower"} & columns.keys():
        raise InputError("a column of times", field=field, way_out=_WAY_OUT)
    if not {"from", "to"} & columns.keys():
        raise InputError('a column "from" or "to"', field=field, way_out=_WAY_OUT)
    return columns


class _Row:
    """One row of the list."""

    def __init__(
        self,
        number: int,
        cells: list[str],
        columns: dict[str, _Column],
        problem: Problem,
        stations: Mapping[str, str | None],
        *,
        comma: bool,
    ) -> None:
        if any(cell.strip() for cell in cells[len(columns) :]) and len(cells) > 1 + max(
            column.place for column in columns.values()
        ):
            raise InputError(
                f"{len(columns)} cells, as in the header", field=f"row {number}",
                value=f"{len(cells)} cells",
            )  # fmt: skip
        self._number, self._cells, self._columns = number, cells, columns
        self._problem, self._stations, self._comma = problem, stations, comma

    def _field(self, name: str) -> str:
        return f'row {self._number}, column "{name}"'

    def _text(self, name: str) -> str:
        column = self._columns.get(name)
        if column is None or column.place >= len(self._cells):
            return ""
        return self._cells[column.place].strip()

    def _time(self, name: str) -> Decimal | None:
        text = self._text(name)
        if not text:
            return None
        field = self._field(name)
        unit = self._columns[name].unit
        time = exact_cell(text, field, decimal_comma=self._comma, largest=LARGEST, unit=unit)
        if time < 0:
            raise InputError("a time of at least 0", field=field, value=text)
        return time * self._columns[name].factor

    def _station(self, name: str) -> str | None:
        text = self._text(name)
        if not text:
            return None
        meant = self._stations.get(text, self._stations.get(text.lower()))
        name_of_it = self._problem.station_called(text) if meant is None else meant
        if name_of_it in self._problem.station_by_name:
            return name_of_it
        raise InputError(
            "the name of a station of this line, or its number where the file states one",
            field=self._field(name), value=text,
            way_out="Correct the spelling, or say what it means: --station WORD=NAME.",
        )  # fmt: skip

    def left_out(self) -> bool:
        """Whether a mapping says to leave one of its stations out."""
        words = (self._text("from"), self._text("to"))
        return any(
            self._stations.get(key, "") is None for word in words for key in (word, word.lower())
        )

    def of(self, hoist: int) -> bool:
        """Whether the row is about this hoist; one that names none is."""
        text = self._text("hoist")
        names = [each.name for each in self._problem.hoists]
        if text and text not in names:
            known = ", ".join(name for name in names if name)
            raise InputError(
                "the name of a hoist of this line", field=self._field("hoist"), value=text,
                way_out=f"Known: {known}." if known else "Its one hoist has no name.",
            )  # fmt: skip
        return not text or text == names[hoist]

    def _loaded(self) -> bool:
        text = self._text("loaded").lower()
        if text in _LOADED:
            return _LOADED[text]
        if text or "loaded" in self._columns:
            raise InputError("yes or no", field=self._field("loaded"), value=text or "nothing")
        return True

    def readings(self) -> Iterator[tuple[Timed, Decimal]]:
        """What was timed, and its time in the problem's unit."""
        source, target, loaded = self._station("from"), self._station("to"), self._loaded()
        times = {name: self._time(name) for name in TIMES}
        if all(time is None for time in times.values()):
            raise InputError("a time", field=f"row {self._number}", way_out=_WAY_OUT)
        if source is not None and source == target:
            raise InputError("two different stations", field=f"row {self._number}", value=source)
        if not loaded:
            yield from self._empty(source, target, times)
            return
        parts = {name for name in ("lift", "travel", "lower") if times[name] is not None}
        if times["time"] is None and times["drip"] is not None:
            raise InputError("time as well, to take it off", field=self._field("drip"))
        if times["time"] is not None and parts:
            raise InputError("either time or its parts", field=f"row {self._number}")
        for what, at in (("lift", (source, None)), ("lower", (None, target))):
            if (time := times[what]) is not None:
                yield self._timed(what, *at), time
        if (time := times["travel"]) is not None:
            yield self._timed("travel", source, target), time
        if times["time"] is not None:
            whole = times["time"] - (times["drip"] or 0)
            if whole <= 0:
                least = "more than the drip" if times["drip"] else "a time above 0"
                raise InputError(least, field=self._field("time"), value=self._text("time"))
            yield self._timed("move", source, target), whole

    def _empty(
        self, source: str | None, target: str | None, times: Mapping[str, Decimal | None]
    ) -> Iterator[tuple[Timed, Decimal]]:
        for name in ("lift", "lower", "drip"):
            if times[name] is not None:
                raise InputError(
                    "nothing, as the hoist was empty", field=self._field(name),
                    value=self._text(name),
                )  # fmt: skip
        if times["time"] is not None and times["travel"] is not None:
            raise InputError("either time or travel", field=f"row {self._number}")
        time = times["travel"] if times["time"] is None else times["time"]
        assert time is not None
        yield self._timed("empty", source, target), time

    def _timed(self, what: str, source: str | None, target: str | None) -> Timed:
        needed = {"lift": ("from",), "lower": ("to",)}.get(what, ("from", "to"))
        for name in needed:
            if (source if name == "from" else target) is None:
                raise InputError("the name of a station", field=self._field(name))
        return Timed(what, source, target)  # type: ignore[arg-type]
