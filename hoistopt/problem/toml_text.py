"""Write plain data, of a problem or a state of the line, as the text of a TOML file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from textwrap import wrap
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array, InlineTable, Item, Table

from ..base.text import STANDING

# Lists of tables whose entries each get a header of their own, such as [[station]].
_HEADED = ("station", "recipe", "stage", "crossing", "standing", "returning")
_MANY = 4
"""From so many entries on, another list of tables has a line for each of them."""


def toml_text(data: Mapping[str, Any]) -> str:
    """The text of a TOML file that holds `data`, numbers digit by digit, below the caution.

    Parameters
    ----------
    data : mapping
        Plain data: text, numbers (int or Decimal), lists and mappings, as
        :meth:`hoistopt.Problem.to_data` gives them. Keys that are None are left out.
    """
    document = tomlkit.document()
    for line in wrap(STANDING, 88):
        document.add(tomlkit.comment(line))
    # A key behind a table's header would belong to that table.
    for key in sorted(data, key=lambda key: _rank(key, data)):
        if isinstance(data[key], Mapping):
            document.add(key, _apart(_table(data[key])))
        elif data[key] is not None:
            document.add(key, _tables(data[key]) if _headed(key, data) else _value(data[key]))
    return tomlkit.dumps(document)


def _headed(key: str, data: Mapping[str, Any]) -> bool:
    """Whether this is a list of tables, which a stage's list of stations is not."""
    value = data[key]
    return key in _HEADED and isinstance(value, Sequence) and isinstance(value[0], Mapping)


def _rank(key: str, data: Mapping[str, Any]) -> int:
    return 2 if _headed(key, data) else int(isinstance(data[key], Mapping))


def _table(data: Mapping[str, Any]) -> Table:
    table = tomlkit.table()
    for key in sorted(data, key=lambda key: _headed(key, data)):
        value = data[key]
        if _headed(key, data):
            table.add(key, _tables(value))
        elif value is not None:
            # The one station of a stage is written as people write it, without a list.
            alone = key == "station" and not isinstance(value, str) and len(value) == 1
            table.add(key, _value(value[0] if alone else value))
    return table


def _tables(entries: Sequence[Mapping[str, Any]]) -> AoT:
    tables = tomlkit.aot()
    for entry in entries:
        tables.append(_apart(_table(entry)))
    return tables


def _apart(table: Table) -> Table:
    table.trivia.indent = "\n"  # an empty line before its header
    return table


def _value(value: object) -> Item:
    if isinstance(value, Mapping):
        return _inline(value)
    if isinstance(value, list | tuple):
        return _array(value)
    if isinstance(value, Decimal):
        return tomlkit.value(f"{value:f}")  # its digits, not a float's
    return tomlkit.item(value)


def _inline(data: Mapping[str, Any]) -> InlineTable:
    table = tomlkit.inline_table()
    for key, value in data.items():
        if value is not None:
            table.append(key, _value(value))
    return table


def _array(values: Sequence[object]) -> Array:
    array = tomlkit.array()
    for value in values:
        array.append(_value(value))
    tables = bool(values) and isinstance(values[0], Mapping)
    return array.multiline(tables and len(values) >= _MANY)
