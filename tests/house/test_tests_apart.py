"""Tests share by way of helpers: no test module is imported, and test rooms hold tests only."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

pytestmark = pytest.mark.quick

TESTS = Path(__file__).parents[1]
SHARED = {"helpers", "reference"}
"""Rooms of what tests share; all other rooms hold tests only."""


def _imported(text: str, package: tuple[str, ...]) -> set[str]:
    """All modules that a file imports or may import names of as modules, inside functions too.

    `package` are the parts of the package that it lies in.
    """
    found: set[str] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            inside = package[: len(package) - node.level + 1] if node.level else ()
            module = ".".join((*inside, *([node.module] if node.module else [])))
            found |= {module, *(f"{module}.{alias.name}" for alias in node.names)}
    return found


def _test_modules(text: str, package: tuple[str, ...]) -> set[str]:
    parts = {name: name.split(".") for name in _imported(text, package)}
    return {
        name
        for name, (first, *rest) in parts.items()
        if first == "tests"
        and rest
        and rest[0] not in SHARED
        and (len(rest) > 1 or rest[0] == "conftest")
    }


@pytest.mark.parametrize(
    ("line", "seen"),
    [
        ("from tests.problem.test_hoists import TWO", True),
        ("from tests.problem import test_hoists", True),
        ("import tests.problem.test_hoists as t", True),
        ("def f():\n    from .test_hoists import TWO", True),
        ("from ..conftest import Run", True),
        ("from tests.helpers.hoists.two_hoists import TWO", False),
        ("from ..reference import lines", False),
        ("from hoistopt.problem.hoists import reach", False),
    ],
)
def test_every_way_to_import_a_test_is_seen(line: str, seen: bool) -> None:
    assert bool(_test_modules(line, ("tests", "problem"))) is seen


def test_no_test_module_is_imported() -> None:
    over = {}
    for path in sorted(TESTS.rglob("*.py")):
        package = ("tests", *path.relative_to(TESTS).parent.parts)
        if found := _test_modules(path.read_text(encoding="utf-8"), package):
            over[str(path.relative_to(TESTS))] = found
    assert over == {}


def test_a_test_room_is_a_package_and_holds_tests_only() -> None:
    rooms = {path.parent for path in TESTS.rglob("test_*.py")}
    assert len(rooms) > 10
    assert [str(room) for room in rooms if not (room / "__init__.py").exists()] == []
    others = {
        str(path.relative_to(TESTS))
        for room in rooms
        for path in room.glob("*.py")
        if not path.name.startswith("test_") and path.name not in ("__init__.py", "conftest.py")
    }
    assert others == set()
