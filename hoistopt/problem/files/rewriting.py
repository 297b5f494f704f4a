"""A problem file with some figures of its hoist changed, all else as it was: comments too."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, MutableMapping
from copy import deepcopy
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array

from ...base.errors import InputError
from ...base.text import read_text
from ..problem import Problem
from .load import TABLES

Pair = tuple[str, str]


@dataclass(frozen=True)
class Changes:
    """What is to be changed.

    Attributes
    ----------
    hoist : dict
        Keys of the hoist, one below the other, such as ``("loaded", "speed")``, to values.
    number : int
        Which of the hoists, from 0.
    stations : dict
        Name of a station and one of its keys, to a value.
    loaded, empty : dict
        Pairs of stations to times of the tables; pairs that a table has not are added.
    scatter : tuple of str
        What replaces the scatter; nothing leaves it as it is.
    scatter_source : str
        Where that comes from.
    """

    hoist: Mapping[tuple[str, ...], Decimal] = field(default_factory=dict)
    number: int = 0
    stations: Mapping[Pair, Decimal] = field(default_factory=dict)
    loaded: Mapping[Pair, Decimal] = field(default_factory=dict)
    empty: Mapping[Pair, Decimal] = field(default_factory=dict)
    scatter: tuple[str, ...] = ()
    scatter_source: str = ""

    @property
    def any(self) -> bool:
        """Whether anything is changed."""
        return bool(self.hoist or self.stations or self.loaded or self.empty or self.scatter)


def changed_problem(problem: Problem, changes: Changes) -> Problem:
    """The line with the figures changed.

    Raises
    ------
    InputError
        When a changed figure makes no sense on this line.
    """
    data = deepcopy(problem.to_data())
    for key in ("station", "recipe"):
        data[key] = list(data[key])
    times = data.get("times")
    if times is not None:
        data["times"] = {key: list(entries) for key, entries in times.items()}
    _apply(data, changes, lambda value: value)
    return Problem.from_data(data)


def changed_text(path: str | Path, changes: Changes, target: str | Path) -> str:
    """The text of a problem file with figures changed.

    Parameters
    ----------
    path : str or Path
        The file, in TOML, that :func:`.load.load_problem` reads.
    changes : Changes
    target : str or Path
        Where the text will stand: files of tables that it names are named from there.

    Raises
    ------
    InputError
        When the file cannot be read as TOML whose comments are kept.
    """
    path = Path(path)
    try:
        document = tomlkit.parse(read_text(path))
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise InputError(f"a TOML file ({error})", file=path) from None
    _apply(document, changes, _number)
    _name_tables(document, path.parent, Path(os.path.realpath(target)).parent)
    return tomlkit.dumps(document)


def _number(value: Decimal) -> Any:
    return tomlkit.value(f"{value:f}")  # its digits, not a float's


def _apply(
    data: MutableMapping[str, Any], changes: Changes, number: Callable[[Decimal], Any]
) -> None:
    """Change plain data, or a document with comments, which is used alike."""
    if changes.hoist:
        hoist = data["hoist"]
        hoist = hoist if isinstance(hoist, MutableMapping) else hoist[changes.number]
        for keys, value in changes.hoist.items():
            table: MutableMapping[str, Any] = hoist
            for key in keys[:-1]:
                table = table[key]
            table[keys[-1]] = number(value)
    stations = {str(station["name"]): station for station in data["station"]}
    for (name, key), value in changes.stations.items():
        stations[name][key] = number(value)
    for kind, entries in (("loaded", changes.loaded), ("empty", changes.empty)):
        if entries:
            _enter(data, kind, entries, number)
    if changes.scatter:
        if "scatter" not in data:
            data["scatter"] = {}
        data["scatter"]["times"] = list(changes.scatter)
        data["scatter"]["source"] = changes.scatter_source


def _enter(
    data: MutableMapping[str, Any],
    kind: str,
    entries: Mapping[Pair, Decimal],
    number: Callable[[Decimal], Any],
) -> None:
    if "times" not in data:
        data["times"] = {}
    if kind not in data["times"]:
        data["times"][kind] = []
    table = data["times"][kind]
    known = {(str(entry["from"]), str(entry["to"])): entry for entry in table}
    for (source, target), time in entries.items():
        if (source, target) in known:
            known[source, target]["time"] = number(time)
        else:
            entry = tomlkit.inline_table() if isinstance(table, Array) else dict[str, Any]()
            entry.update({"from": source, "to": target, "time": number(time)})
            table.append(entry)
    if isinstance(table, Array):
        table.multiline(True)


def _name_tables(document: MutableMapping[str, Any], here: Path, there: Path) -> None:
    """Let files of tables be found from the folder of the new file."""
    times = document.get("times")
    for key in TABLES:
        if isinstance(times, MutableMapping) and isinstance(times.get(key), str):
            name = os.path.relpath(os.path.realpath(here / times[key]), there)
            times[key] = Path(name).as_posix()
