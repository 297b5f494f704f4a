"""The public names: listed once, complete for `dir()` and editors, and loaded only when used."""

from __future__ import annotations

import ast
import subprocess
import sys
import tomllib
from fnmatch import fnmatch
from pathlib import Path

import pytest

import hoistopt

PACKAGE = Path(hoistopt.__file__).parent
STUB = PACKAGE / "__init__.pyi"


def _of_stub() -> dict[str, str]:
    """Public name to the module it is imported from, read from the stub as a checker would."""
    found: dict[str, str] = {}
    for node in ast.parse(STUB.read_text(encoding="utf-8")).body[1:]:
        assert isinstance(node, ast.ImportFrom) and node.level == 1 and node.module
        for alias in node.names:
            # PEP 484: in a stub only `name as name` is exported.
            assert alias.asname == alias.name
            assert alias.name not in found, "a name stands once"
            found[alias.name] = node.module
    return found


def test_all_and_dir_hold_the_names_of_the_stub() -> None:
    names = _of_stub()
    assert {"solve", "verify", "load_problem", "Station", "Stage", "Recipe", "Hoist"} <= set(names)
    assert sorted(hoistopt.__all__) == sorted(names)
    assert set(names) <= set(dir(hoistopt))


@pytest.mark.parametrize("name", sorted(_of_stub()))
def test_a_public_name_is_what_its_module_says_and_is_documented(name: str) -> None:
    module = __import__(f"hoistopt.{_of_stub()[name]}", fromlist=[name])
    value = getattr(hoistopt, name)
    assert value is getattr(module, name)
    assert value.__doc__ and value.__doc__.strip()


def test_star_import_gives_every_public_name_and_no_other() -> None:
    place: dict[str, object] = {}
    exec("from hoistopt import *", place)
    assert set(place) - {"__builtins__"} == set(_of_stub())


def test_no_second_list_of_the_names_stands_in_the_package_file() -> None:
    code = ast.parse((PACKAGE / "__init__.py").read_text(encoding="utf-8"))
    docstring = code.body.pop(0)
    assert isinstance(docstring, ast.Expr)
    words = {node.id for node in ast.walk(code) if isinstance(node, ast.Name)}
    words |= {node.name for node in ast.walk(code) if isinstance(node, ast.alias)}
    words |= {str(node.value) for node in ast.walk(code) if isinstance(node, ast.Constant)}
    assert not words & set(_of_stub())


def test_an_unknown_name_is_an_ordinary_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'sovle'"):
        _ = hoistopt.sovle  # type: ignore[attr-defined]


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = "import sys, hoistopt; dir(hoistopt); print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=PACKAGE.parent,
        timeout=60,
        check=True,
    )
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    heavy = {"ortools", "numpy", "numba", "matplotlib", "networkx", "pydantic", "rich"}
    assert "hoistopt" in loaded
    assert not loaded & heavy


def test_the_list_is_shipped_with_the_package() -> None:
    project = tomllib.loads((PACKAGE.parent / "pyproject.toml").read_text(encoding="utf-8"))
    shipped = project["tool"]["setuptools"]["package-data"]["hoistopt"]
    assert any(fnmatch(STUB.name, pattern) for pattern in shipped)
