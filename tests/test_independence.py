"""The checker and the solver share no code, and no arrow between the layers runs back."""

from __future__ import annotations

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "hoistopt"

# Each layer may use the layers named, and itself. Anyone may use errors and output.
BELOW = {
    "problem": set(),
    "schedule": {"problem"},
    "timing": {"problem"},
    "instance": {"problem", "timing"},
    "solver": {"instance", "schedule"},
    "checker": {"problem", "schedule"},
}
ANYWHERE = {"errors", "output"}
ON_TOP = {"cli"}


def _layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def _imports() -> dict[tuple[str, str], set[str]]:
    """Which files of a layer import from which other layer, imports inside functions too."""
    found: dict[tuple[str, str], set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE).parent.parts
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for name in _modules(node, inside):
                found.setdefault((_layer(path), name), set()).add(str(path.relative_to(PACKAGE)))
    return found


def _modules(node: ast.AST, inside: tuple[str, ...]) -> list[str]:
    """Layers of the package named by an import statement."""
    if isinstance(node, ast.Import):
        parts = [alias.name.split(".") for alias in node.names]
        return [part[1] for part in parts if part[0] == "hoistopt" and len(part) > 1]
    if not isinstance(node, ast.ImportFrom):
        return []
    module = node.module.split(".") if node.module else []
    if node.level == 0:
        if module[:1] != ["hoistopt"]:
            return []
        whole = module[1:]
    else:
        whole = [*inside[: len(inside) - node.level + 1], *module]
    return [whole[0]] if whole else [alias.name for alias in node.names]


def _depends_on(layer: str) -> set[str]:
    """Layers used, directly or by way of others."""
    found: set[str] = set()
    left = {layer}
    while left:
        here = left.pop()
        fresh = {used for user, used in _imports() if user == here} - found
        found |= fresh
        left |= fresh
    return found


def test_imports_are_read_at_all() -> None:
    assert ("solver", "instance") in _imports()
    assert ("checker", "problem") in _imports()
    assert "cli" in {user for user, _ in _imports()}


@pytest.mark.parametrize("layer", BELOW)
def test_a_layer_uses_only_what_lies_below_it(layer: str) -> None:
    allowed = BELOW[layer] | ANYWHERE | {layer}
    over = {used: _imports()[user, used] for user, used in _imports() if user == layer}
    assert {used: files for used, files in over.items() if used not in allowed} == {}


def test_the_checker_shares_nothing_with_the_solver() -> None:
    assert not _depends_on("checker") & {"timing", "instance", "solver", "planning", "explain"}
    assert not _depends_on("solver") & {"checker", "planning", "explain"}


def test_nothing_but_the_start_of_the_process_uses_the_command_line() -> None:
    users = {user for user, used in _imports() if used in ON_TOP}
    assert users <= ON_TOP | {"__main__"}


def test_the_checker_runs_without_the_solver_in_memory() -> None:
    code = (
        "import sys, hoistopt.checker\n"
        "print([m for m in sys.modules if m.startswith('hoistopt.') or m == 'ortools'])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=PACKAGE.parent,
        timeout=60,
        check=True,
    )
    loaded = {name.split(".")[1] for name in ast.literal_eval(done.stdout) if "." in name}
    assert "ortools" not in done.stdout
    assert loaded <= {"checker", "problem", "schedule", "errors"}


def test_no_two_layers_use_one_another() -> None:
    pairs = {(user, used) for user, used in _imports() if user != used}
    assert {pair for pair in pairs if pair[::-1] in pairs} == set()
