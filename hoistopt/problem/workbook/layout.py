"""Which sheet and column holds which key of a problem file: worked out from its JSON Schema.

So a key that the schema gains has its column at once, and a test finds none missing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from ..jsonschema import problem_schema
from ..statement import Statement

LINE, TIMES, MIX = "Line", "Times", "cycle mix"
"""The sheet of single values; that of times between stations; what heads the loads of a set."""
CYCLE = "Cycle"
"""The sheet of the moves of a cycle, which belongs to no problem."""
SHEETS = {"station": "Stations", "hoist": "Hoist", "recipe": "Recipes", "crossing": "Crossings"}
"""Sheets of the lists of tables, by their key."""
_NAMED = {"recipe": "recipe", "stage": "stage"}
"""What heads the name of a thing where a row holds two."""

Schema = Mapping[str, Any]


@dataclass(frozen=True)
class Field:
    """One value of a problem file.

    Attributes
    ----------
    keys : tuple of str
        Its path in its table, such as ``("loaded", "speed")``.
    head : str
        What heads its column.
    kinds : frozenset of str
        Of "number", "whole", "text", "flag": what may stand there.
    note : str
        What it means.
    many : bool
        Whether it is a list of texts.
    timed : bool
        Whether it is a time.
    choices : tuple of str
        The only texts that may stand there; empty: any.
    needed : bool
        Whether a file must have it.
    prose : bool
        Whether it is free text, in which spaces at either end count.
    """

    keys: tuple[str, ...]
    head: str
    kinds: frozenset[str]
    note: str = ""
    many: bool = False
    timed: bool = False
    choices: tuple[str, ...] = ()
    needed: bool = False
    prose: bool = False


@dataclass(frozen=True)
class Table:
    """A sheet with a row for each table of a list, such as the stations.

    Where the tables have lists of tables in them, as recipes have stages, a row is one of
    those: `inner` is the key of that list and `parts` its fields.
    """

    key: str
    sheet: str
    fields: tuple[Field, ...]
    inner: str = ""
    parts: tuple[Field, ...] = ()

    @property
    def columns(self) -> tuple[Field, ...]:
        """The fields in the order of the columns: what names a row, its parts, the rest."""
        if not self.inner:
            return self.fields
        return (self.fields[0], *self.parts, *self.fields[1:])


@dataclass(frozen=True)
class Layout:
    """The whole workbook.

    Attributes
    ----------
    line : tuple of pairs
        Single values with the table that each belongs to, "line" for the top of the file.
    tables : tuple of Table
    times : tuple of str
        Keys of the lists under ``times``.
    entry : tuple of Field
        The fields of one entry of those.
    mapping : Field
        A value of the loads of a set, by recipe.
    """

    line: tuple[tuple[str, Field], ...]
    tables: tuple[Table, ...]
    times: tuple[str, ...]
    entry: tuple[Field, ...]
    mapping: Field


@cache
def layout(problem: type[Statement]) -> Layout:
    """The layout of the workbook of a :class:`hoistopt.Problem`, which is the class given."""
    schema = problem_schema(problem, short_forms=False)
    kinds = schema["$defs"]
    line: list[tuple[str, Field]] = []
    tables: list[Table] = []
    times: tuple[str, ...] = ()
    entry: tuple[Field, ...] = ()
    mapping: Field | None = None
    for key, value in schema["properties"].items():
        listed = _listed(value)
        part = _part(value)
        if listed:
            tables.append(_table(kinds, key, listed))
        elif part and (lists := _lists_of(kinds[part])):
            times = tuple(lists)
            entry = tuple(_fields(kinds, next(iter(lists.values()))))
        elif part:
            line += [(key, field) for field in _fields(kinds, part)]
            for inner, mapped in kinds[part]["properties"].items():
                if "additionalProperties" in mapped:
                    mapping = _field((key, inner), mapped["additionalProperties"], inner, False)
        else:
            needed = key in schema.get("required", ())
            line.append(("line", _field((key,), value, key, needed)))
    assert mapping is not None
    # A file may name tables in other files; a workbook holds them.
    line.sort(key=lambda pair: pair[0] != "line")
    return Layout(tuple(line), tuple(tables), times, entry, mapping)


def _table(kinds: Schema, key: str, kind: str) -> Table:
    sheet = SHEETS.get(key, f"{key.capitalize()}s")
    inner = _lists_of(kinds[kind])
    fields = list(_fields(kinds, kind))
    if not inner:
        return Table(key, sheet, tuple(fields))
    ((inside, part),) = inner.items()
    parts = [_headed(field, inside, ()) for field in _fields(kinds, part)]
    taken = [field.head for field in parts]
    return Table(key, sheet, tuple(_headed(f, key, taken) for f in fields), inside, tuple(parts))


def _headed(field: Field, key: str, taken: Sequence[str]) -> Field:
    """A field under a head of its own, where a row holds two things with a name."""
    head = field.head
    if field.keys == ("name",):
        head = _NAMED.get(key, f"{key} name")
    elif head in taken:
        head = f"{key} {head}"
    return Field(**{**vars(field), "head": head})


def _lists_of(kind: Schema) -> dict[str, str]:
    """Lists of tables among the keys of a table, with the kind of their entries."""
    found = {key: _listed(value) for key, value in kind["properties"].items()}
    return {key: name for key, name in found.items() if name}


def _fields(kinds: Schema, kind: str, before: tuple[str, ...] = ()) -> Iterator[Field]:
    """The single values of a table, those of tables in it included."""
    needed = kinds[kind].get("required", ())
    for key, value in kinds[kind]["properties"].items():
        if _listed(value) or "additionalProperties" in value:
            continue
        part = _part(value)
        if part:
            yield from _fields(kinds, part, (*before, key))
        else:
            head = " ".join([*before, key]).replace("_", " ")
            yield _field((*before, key), value, head, key in needed)


def _field(keys: tuple[str, ...], value: Schema, head: str, needed: bool) -> Field:
    options = value.get("anyOf", [value])
    arrays = [option for option in options if option.get("type") == "array"]
    if arrays:
        options = [arrays[0]["items"]]
    found: set[str] = set()
    choices: list[str] = []
    timed = prose = False
    for option in options:
        kind = option.get("type")
        if kind in ("number", "integer", "boolean"):
            found.add({"number": "number", "integer": "whole", "boolean": "flag"}[kind])
        elif "pattern" in option:
            timed = True
        elif "enum" in option or "const" in option:
            choices += option.get("enum", [option.get("const")])
            found.add("text")
        else:
            prose = prose or "minLength" not in option
            found.add("text")
    return Field(
        keys,
        head.replace("_", " "),
        frozenset(found),
        note=_told(value, choices),
        many=bool(arrays),
        timed=timed,
        choices=tuple(choices),
        needed=needed,
        prose=prose and not arrays,
    )


def _told(value: Schema, choices: Sequence[str]) -> str:
    """What a value means, for those who fill it in."""
    said = str(value.get("description", "")).replace("``", "")
    if choices:
        said += f" One of: {', '.join(choices)}."
    default = value.get("default")
    if default not in (None, "", [], {}):
        said += f" Left empty: {default}."
    return said


def _listed(value: Schema) -> str:
    """The kind of table that a value is a list of; "" where it is none."""
    for option in (value, *value.get("anyOf", ())):
        reference = option.get("items", {}).get("$ref")
        if reference:
            return _kind(reference)
    return ""


def _part(value: Schema) -> str:
    """The kind of table that a value is, or may be; "" where it is none."""
    for option in (value, *value.get("anyOf", ())):
        if "$ref" in option:
            return _kind(option["$ref"])
    return ""


def _kind(reference: str) -> str:
    return reference.rpartition("/")[2]
