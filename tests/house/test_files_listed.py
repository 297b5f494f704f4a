"""The docstrings of the rooms say what each file holds: all that are there, and not too many."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

pytestmark = pytest.mark.quick

ROOT = Path(__file__).parents[2]
BENCH = ROOT / "benchmarks"
ROOMS = sorted(
    [path.parent for path in (ROOT / "hoistopt").rglob("*/__init__.py")]
    + [path.parent for path in BENCH.rglob("__init__.py")]
)
LISTED_IN_CODE = {
    "hoistopt/cli/commands",
    "hoistopt/cli/commands/machine",
    "hoistopt/solver/model/constraints",
    "hoistopt/solver/model/objectives",
    "hoistopt/solver/finite/model/rules",
    "benchmarks/methods",
}
"""Rooms whose files are the entries of a table in the program, and are named there."""


@cache
def _named(room: Path) -> frozenset[str]:
    """What stands between single backticks in a room's docstring."""
    tree = ast.parse((room / "__init__.py").read_text(encoding="utf-8"))
    return frozenset(re.findall(r"(?<!`)`([\w/.]+)`(?!`)", ast.get_docstring(tree) or ""))


def _told(room: Path) -> set[str]:
    """What the room's docstring names, and those of the rooms that it lies in."""
    above = [room, *(up for up in room.parents if (up / "__init__.py").is_file())]
    return {name for up in above for name in _named(up)}


def _name(room: Path) -> str:
    return room.relative_to(ROOT).as_posix()


@pytest.mark.parametrize("room", [r for r in ROOMS if _name(r) not in LISTED_IN_CODE], ids=_name)
def test_every_file_of_a_room_is_named(room: Path) -> None:
    told = _told(room)
    files = {p.stem for p in room.glob("*.py")} - {"__init__", "__main__"}
    folders = {p.parent.name for p in room.glob("*/__init__.py")}
    assert {name for name in files if not {name, f"{name}.py"} & told} == set()
    assert {name for name in folders if not {name, f"{name}/"} & told} == set()


@pytest.mark.parametrize("room", ROOMS, ids=_name)
def test_every_file_named_is_there(room: Path) -> None:
    paths = {name for name in _named(room) if name.endswith((".py", "/"))}
    beside = (room, *room.parents[: len(room.relative_to(ROOT).parts)], *room.glob("*/"))
    gone = {name for name in paths if not any((folder / name).exists() for folder in beside)}
    assert gone == set()


def test_the_files_of_rooms_are_found() -> None:
    assert len(ROOMS) > 50 and BENCH in ROOMS
    assert "effort.py" in _named(ROOT / "hoistopt" / "base")


def test_the_layout_in_developers_names_every_room() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    layout = text[text.index("## Layout") : text.index("## What a problem means")]
    rooms = {path.parent.name for path in (ROOT / "hoistopt").glob("*/__init__.py")}
    assert rooms == rooms & set(re.findall(r"(\w+)/", layout))


@pytest.mark.parametrize("top", ["hoistopt", "tests", "benchmarks"])
def test_no_folder_has_twenty_files(top: str) -> None:
    """What belongs together in a room that grows gets a folder of its own."""
    rooms = [path.parent for path in (ROOT / top).rglob("__init__.py")]
    modules = {_name(room): len(list(room.glob("*.py"))) for room in rooms}
    assert sum(modules.values()) > len(rooms)
    assert {room: number for room, number in modules.items() if number >= 20} == {}
