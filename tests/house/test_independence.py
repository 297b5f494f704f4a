"""The checker and the solver share no code, and no arrow between the layers runs back."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

pytestmark = pytest.mark.quick

PACKAGE = Path(__file__).parents[2] / "hoistopt"

# Each room may use the rooms named, and itself; from the bottom of the house to its top.
BELOW = {
    "base": set(),
    "problem": {"base"},
    "schedule": {"base", "problem"},
    "instance": {"base", "problem", "schedule"},
    "solver": {"base", "instance", "schedule"},
    "checker": {"base", "problem", "schedule"},
    "plant": {"base", "problem", "schedule", "checker"},
    "graph": {"base", "problem", "schedule", "instance", "checker"},
    "conflict": {"base", "problem", "schedule", "instance", "solver", "checker", "graph"},
}
BELOW["margin"] = set(BELOW["conflict"])
BELOW["planning"] = {*BELOW["conflict"], "conflict", "margin"}
BELOW["analysis"] = {*BELOW["planning"], "planning"}
BELOW["show"] = {"base", "problem", "schedule", "checker", "conflict", "margin", "planning"}
BELOW["show"] |= {"analysis", "plant"}
BELOW["exports"] = {"base", "problem", "schedule", "checker", "graph", "margin", "show"}
BELOW["exports"] |= {"analysis"}
BELOW["app"] = {*BELOW["analysis"], "analysis", "plant", "show", "exports"} - {
    "solver",
    "instance",
    "graph",
}
BELOW["cli"] = BELOW["app"] | {"app"}
ON_TOP = {"cli"}


def _layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def _import_nodes(path: Path) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """The import statements of a file, those inside functions too; each file is parsed once."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return tuple(n for n in ast.walk(tree) if isinstance(n, ast.Import | ast.ImportFrom))


@cache
def _imports() -> dict[tuple[str, str], set[str]]:
    """Which files of a layer import from which other layer, imports inside functions too."""
    found: dict[tuple[str, str], set[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        inside = path.relative_to(PACKAGE).parent.parts
        for node in _import_nodes(path):
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
    allowed = BELOW[layer] | {layer}
    over = {used: _imports()[user, used] for user, used in _imports() if user == layer}
    assert {used: files for used, files in over.items() if used not in allowed} == {}


def test_the_checker_shares_nothing_with_the_solver() -> None:
    assert not _depends_on("checker") & {
        "instance",
        "solver",
        "graph",
        "conflict",
        "margin",
        "planning",
        "analysis",
    }
    above = {"checker", "plant", "graph", "conflict", "margin", "planning", "analysis"}
    assert not _depends_on("solver") & above


def test_nothing_but_the_start_of_the_process_uses_the_command_line() -> None:
    users = {user for user, used in _imports() if used in ON_TOP}
    assert users <= ON_TOP | {"__main__"}


def _inside_checker() -> dict[str, set[str]]:
    """Which file of the checker imports which others of it; the room's own list left out."""
    found: dict[str, set[str]] = {}
    root = PACKAGE / "checker"
    for path in sorted(root.rglob("*.py")):
        inside = path.relative_to(root).parent.parts
        used = found.setdefault(".".join([*inside, path.stem]).removesuffix(".__init__"), set())
        for node in _import_nodes(path):
            if isinstance(node, ast.ImportFrom) and 0 < node.level <= len(inside) + 1:
                whole = [*inside[: len(inside) - node.level + 1]]
                whole += node.module.split(".") if node.module else []
                names = [[*whole, alias.name] for alias in node.names] if not node.module else []
                used |= {".".join(parts) for parts in names or [whole]}
    return found


def test_nothing_runs_back_inside_the_checker() -> None:
    arrows = _inside_checker()
    assert "named" in arrows["replay"] and "plan" in arrows["reading.loads"]
    TopologicalSorter(arrows).prepare()  # raises CycleError where one does


def test_the_reading_of_foreign_tables_knows_nothing_of_the_replay_and_its_rules() -> None:
    arrows = _inside_checker()
    reading = {name for name in arrows if name.startswith("reading")}
    used = set().union(*(arrows[name] for name in reading)) - reading
    assert used <= {"grid.motion", "grid.route", "grid.table", "queueing", "plan"}
    # And nobody else knows of that room: those who replay choose the way, the rest is plan.
    users = {name for name, others in arrows.items() if others & reading} - reading
    assert users == {"replay"}


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
    assert loaded <= {"checker", "problem", "schedule", "base"}


def test_every_room_has_its_place() -> None:
    rooms = {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    assert rooms == set(BELOW)


def test_no_two_layers_use_one_another() -> None:
    pairs = {(user, used) for user, used in _imports() if user != used}
    assert {pair for pair in pairs if pair[::-1] in pairs} == set()


@cache
def _files() -> dict[str, set[str]]:
    """Which files each file of the package imports, as dotted names, deferred imports too."""
    paths = {path: _dotted(path) for path in PACKAGE.rglob("*.py")}
    known = set(paths.values())
    return {name: set(_used(path, known)) - {name} for path, name in paths.items()}


def _dotted(path: Path) -> str:
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _used(path: Path, known: set[str]) -> Iterator[str]:
    inside = path.relative_to(PACKAGE).parent.parts
    for node in _import_nodes(path):
        if not isinstance(node, ast.ImportFrom) or not node.level:
            continue
        whole = inside[: len(inside) - node.level + 1]
        module = ".".join([*whole, *(node.module or "").split(".")]).strip(".")
        for alias in node.names:
            deeper = f"{module}.{alias.name}".strip(".")
            # A name taken from a folder stands for the folder's own file.
            yield deeper if deeper in known else module


@pytest.mark.parametrize("room", BELOW)
def test_no_circle_of_files_inside_a_room(room: str) -> None:
    inside = {
        name: {used for used in found if used.split(".")[0] == room}
        for name, found in _files().items()
        if name.split(".")[0] == room
    }
    assert _in_circles(inside) == set()


def _in_circles(arrows: dict[str, set[str]]) -> set[str]:
    """Whatever lies on a circle of arrows, or leads to one."""
    while free := {name for name, used in arrows.items() if not used & set(arrows)}:
        arrows = {name: used for name, used in arrows.items() if name not in free}
    return set(arrows)


def _side_by_side(folder: str) -> dict[str, set[str]]:
    """Which of the files and folders in a folder use which others of it."""
    found: dict[str, set[str]] = {}
    for name, used in _files().items():
        if name.startswith(f"{folder}."):
            here = name.removeprefix(f"{folder}.").split(".")[0]
            there = {other for other in used if other.startswith(f"{folder}.")}
            names = {other.removeprefix(f"{folder}.").split(".")[0] for other in there}
            found[here] = found.get(here, set()) | names - {here}
    return found


FOLDERS = sorted(_dotted(path) for path in PACKAGE.rglob("__init__.py") if path.parent != PACKAGE)


@pytest.mark.parametrize("folder", FOLDERS)
def test_no_circle_of_folders_side_by_side(folder: str) -> None:
    assert _in_circles(_side_by_side(folder)) == set()


def test_circles_are_seen() -> None:
    arrows = {"a": {"b"}, "b": {"a"}, "c": {"a"}, "d": {"e"}, "e": set()}
    assert _in_circles(arrows) == {"a", "b", "c"}
    assert "several" in _side_by_side("solver")["search"]


def test_no_command_imports_another() -> None:
    commands = {
        name: {used for used in found if used.startswith("cli.commands.")}
        for name, found in _files().items()
        if name.startswith("cli.commands")
    }
    assert len(commands) > 15
    assert {name: found for name, found in commands.items() if found} == {}


WORDS_OF_A_TERMINAL = {"argparse", "rich", "sys"}


def test_use_cases_know_no_terminal() -> None:
    """They take no words of a command line, print nothing and end no process."""
    for path in (PACKAGE / "app").glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                named = {alias.name.split(".")[0] for alias in node.names}
                assert not named & WORDS_OF_A_TERMINAL, path
            if isinstance(node, ast.ImportFrom) and not node.level:
                assert (node.module or "").split(".")[0] not in WORDS_OF_A_TERMINAL, path
            if isinstance(node, ast.Name):
                assert node.id not in ("print", "SystemExit", "exit"), path


def test_ctrl_c_is_met_at_the_command_line_only() -> None:
    """Below it, a search hears of a Stop; nothing raises or catches KeyboardInterrupt."""
    met = {
        file.relative_to(PACKAGE).parts[0]
        for file in PACKAGE.rglob("*.py")
        if "KeyboardInterrupt" in file.read_text(encoding="utf-8")
    }
    assert met == {"cli"}
