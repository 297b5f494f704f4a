"""Read a workbook as the plain data of a problem file, and where each value stood."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from ...base.errors import InputError
from ...base.workbook.reading import Cell, ReadSheet, Unusable, read_sheets
from ..statement import Statement
from .heads import check_unit, plain_head
from .layout import CYCLE, LINE, MIX, TIMES, Field, Layout, Table, layout
from .texts import value_of

Path_ = tuple[int | str, ...]
_TEMPLATE = "`hoistopt template line.xlsx` writes a workbook to start from."


@dataclass
class Found:
    """What was read.

    Attributes
    ----------
    wanted : Layout
        What may stand where.
    data : dict
        As a TOML file gives it.
    names : set of str
        What stands where things of the line are named.
    places : dict
        The cell, row or sheet of each value and table, by its path in the data.
    """

    wanted: Layout
    data: dict[str, Any] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)
    places: dict[Path_, str] = field(default_factory=dict)

    @property
    def units(self) -> tuple[str, str]:
        """Units of time and length that the line states."""
        return str(self.data.get("unit", "s")), str(self.data.get("length_unit", "m"))

    def put(self, path: Path_, keys: Sequence[str], value: object, place: str) -> None:
        """Keep a value under `keys` of the table at `path`."""
        here: Any = self.data
        for step in path:
            here = here[step]
        for key in keys[:-1]:
            here = here.setdefault(key, {})
        here[keys[-1]] = value
        self.places[(*path, *keys)] = place


def read_problem_data(path: Path, problem: type[Statement]) -> Found:
    """The data of a problem's workbook.

    Parameters
    ----------
    path : Path
    problem : type
        :class:`hoistopt.Problem`, the keys of which it may hold.

    Raises
    ------
    InputError
        When it is no workbook, a sheet or column is missing or unknown, or a cell cannot be
        used; it names the sheet and the cell. What the values mean is not looked at.
    """
    wanted = layout(problem)
    found = Found(wanted)
    sheets = read_sheets(path, [LINE, *(table.sheet for table in wanted.tables), TIMES, CYCLE])
    for name in (LINE, *(table.sheet for table in wanted.tables if table.key != "crossing")):
        if name not in sheets and name != "Hoist":
            raise InputError(f'a sheet "{name}"', file=path, way_out=_TEMPLATE)
    try:
        for table in wanted.tables:
            if table.sheet in sheets and not table.fields[0].many:
                found.names |= _names(sheets[table.sheet], table)
        _read_line(sheets[LINE], found)
        for table in wanted.tables:
            if table.sheet in sheets:
                _read_table(sheets[table.sheet], table, found)
        if TIMES in sheets:
            _read_times(sheets[TIMES], found)
    except InputError as error:
        raise error.in_file(path) from None
    return found


def _names(sheet: ReadSheet, table: Table) -> set[str]:
    """What stands below the head of the first field, where that is a name."""
    header, rows = _split(sheet)
    named = [c for c, cell in header.items() if plain_head(_name(cell))[0] == table.fields[0].head]
    found = (cells.get(column) for _, cells in rows for column in named)
    return {cell.text for cell in found if isinstance(cell, Cell)}


def _read_line(sheet: ReadSheet, found: Found) -> None:
    known = {(part, field.head): field for part, field in found.wanted.line}
    header, rows = _split(sheet)
    columns = {plain_head(_name(cell))[0]: place for place, cell in header.items()}
    for needed in ("part", "key", "value"):
        if needed not in columns:
            raise InputError(f'a column "{needed}"', field=f"sheet {LINE}", way_out=_TEMPLATE)
    for number, cells in rows:
        part, key, value = (cells.get(columns[name]) for name in ("part", "key", "value"))
        if value is None:
            continue
        value = _usable(value)
        place = sheet.place(number, columns["value"])
        named = "line" if part is None else _name(part).lower()
        if named == MIX:
            if key is None:
                raise InputError("the name of a recipe", field=sheet.place(number, columns["key"]))
            mapping = found.wanted.mapping
            found.put((), (*mapping.keys, _name(key)), value_of(mapping, value), place)
            continue
        meant = known.get((named, "" if key is None else plain_head(_name(key))[0]))
        if meant is None:
            raise _unknown_key(sheet.place(number, columns["key"]), named, key, found.wanted)
        keys = meant.keys if named == "line" else (named, *meant.keys)
        if keys in found.places:
            raise InputError(
                "each value once", field=place, way_out=f"{found.places[keys]} states it already."
            )
        found.put((), keys, value_of(meant, value, found.names), place)


def _unknown_key(place: str, part: str, key: Cell | Unusable | None, wanted: Layout) -> InputError:
    named = "" if key is None else _name(key)
    known = [f"{part_}, {field.head}" for part_, field in wanted.line] + [f"{MIX}, RECIPE"]
    near = get_close_matches(f"{part}, {named}", known, n=1)
    return InputError(
        "a part and key of the line",
        field=place,
        value=f"{part}, {named}",
        way_out=f"Did you mean {near[0]}?" if near else _TEMPLATE,
    )


def _read_table(sheet: ReadSheet, table: Table, found: Found) -> None:
    header, rows = _split(sheet)
    columns = _columns(sheet, header, table.columns, found.units)
    entries: list[dict[str, Any]] = []
    last: str | None = None
    for number, cells in rows:
        if not table.inner:
            entries.append({})
            found.data[table.key] = entries
            path: Path_ = (table.key, len(entries) - 1)
            found.places[path] = f"{sheet.name}, row {number}"
            _read_row(sheet, number, cells, columns, table.fields, path, found)
            continue
        name = _whole_name(table, columns, cells)
        if name is not None and name != last:
            _not_before(sheet, number, columns[table.fields[0]], entries, name)
            entries.append({})
        elif not entries:
            raise InputError(
                f"the name of a {table.key}", field=sheet.place(number, columns[table.fields[0]])
            )
        last = name or last
        found.data[table.key] = entries
        path = (table.key, len(entries) - 1)
        found.places.setdefault(path, f"{sheet.name}, row {number}")
        _read_row(sheet, number, cells, columns, table.fields, path, found)
        if any(columns.get(part) in cells for part in table.parts):
            parts = entries[-1].setdefault(table.inner, [])
            parts.append({})
            inner = (*path, table.inner, len(parts) - 1)
            found.places[inner] = f"{sheet.name}, row {number}"
            _read_row(sheet, number, cells, columns, table.parts, inner, found)


def _whole_name(
    table: Table, columns: Mapping[Field, int], cells: Mapping[int, Cell | Unusable]
) -> str | None:
    cell = cells.get(columns[table.fields[0]])
    return None if cell is None else _name(cell)


def _not_before(
    sheet: ReadSheet, number: int, column: int, entries: Sequence[Mapping[str, Any]], name: str
) -> None:
    if any(entry.get("name") == name for entry in entries):
        raise InputError(
            "the rows of each recipe together, as they are its stages in order",
            field=sheet.place(number, column),
            value=name,
            way_out="Move this row up to the others of its recipe, or give it another name.",
        )


def _read_row(
    sheet: ReadSheet,
    number: int,
    cells: Mapping[int, Cell | Unusable],
    columns: Mapping[Field, int],
    fields: Sequence[Field],
    path: Path_,
    found: Found,
) -> None:
    for wanted in fields:
        column = columns.get(wanted)
        cell = cells.get(column) if column is not None else None
        if column is None or cell is None:
            continue
        value, place = value_of(wanted, _usable(cell), found.names), sheet.place(number, column)
        before = found.places.get((*path, *wanted.keys))
        if before is not None and _at(found.data, (*path, *wanted.keys)) != value:
            raise InputError(
                f"what {before} says already, or an empty cell",
                field=place,
                value=_usable(cell).text,
                way_out="It belongs to the whole recipe and stands in its first row.",
            )
        if before is None:
            found.put(path, wanted.keys, value, place)


def _at(data: Any, path: Path_) -> Any:
    for step in path:
        data = data[step]
    return data


def _read_times(sheet: ReadSheet, found: Found) -> None:
    wanted = found.wanted
    kind = Field(("table",), "table", frozenset({"text"}), choices=wanted.times, needed=True)
    header, rows = _split(sheet)
    columns = _columns(sheet, header, (kind, *wanted.entry), found.units)
    times = found.data.setdefault("times", {}) if rows else {}
    for number, cells in rows:
        place = sheet.place(number, columns[kind])
        named = cells.get(columns[kind])
        key = "" if named is None else value_of(kind, _usable(named))
        if key not in wanted.times:
            raise InputError(
                " or ".join(wanted.times), field=place, value=key if named is not None else None
            )
        entries = times.setdefault(key, [])
        entries.append({})
        path: Path_ = ("times", str(key), len(entries) - 1)
        found.places[path] = f"{sheet.name}, row {number}"
        _read_row(sheet, number, cells, columns, wanted.entry, path, found)


def _split(sheet: ReadSheet) -> tuple[dict[int, Cell | Unusable], list[Any]]:
    """The header, up to its first empty cell, and the rows that have something below it."""
    if not sheet.rows:
        return {}, []
    (_, first), *rows = sheet.rows
    end = next(column for column in range(1, len(first) + 2) if column not in first)
    header = {column: cell for column, cell in first.items() if column < end}
    inside = [(number, {c: v for c, v in cells.items() if c < end}) for number, cells in rows]
    return header, [(number, cells) for number, cells in inside if cells]


def _columns(
    sheet: ReadSheet,
    header: Mapping[int, Cell | Unusable],
    fields: Sequence[Field],
    units: tuple[str, str],
) -> dict[Field, int]:
    """The column of each field that has one."""
    known = {field.head: field for field in fields}
    columns: dict[Field, int] = {}
    row = sheet.rows[0][0] if sheet.rows else 1
    for column, cell in header.items():
        place = sheet.place(row, column)
        name, unit = plain_head(_name(cell))
        meant = known.get(name)
        if meant is None:
            near = get_close_matches(name, list(known), n=1)
            raise InputError(
                "the head of a column of this sheet",
                field=place,
                value=_name(cell),
                way_out=f'Did you mean "{near[0]}"?'
                if near
                else f"Known: {', '.join(known)}. Leave an empty column before one of your own.",
            )
        if meant in columns:
            raise InputError("each column once", field=place, value=_name(cell))
        check_unit(meant, unit, place, *units)
        columns[meant] = column
    first = fields[0]
    if sheet.rows and first not in columns:
        raise InputError(f'a column "{first.head}"', field=f"sheet {sheet.name}", way_out=_TEMPLATE)
    return columns


def _usable(cell: Cell | Unusable) -> Cell:
    if isinstance(cell, Unusable):
        raise cell.error()
    return cell


def _name(cell: Cell | Unusable) -> str:
    return _usable(cell).text
