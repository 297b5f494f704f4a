"""What several test files share."""

from __future__ import annotations

import gc
import os
import shutil
import sys
from pathlib import Path

import pytest

from hoistopt.cli import main
from tests.helpers.block import st_grammar
from tests.helpers.command import PROBLEMS, Run
from tests.helpers.compile_once import compile_once
from tests.helpers.studying import AtOnce


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let all random lines be asked for."""
    parser.addoption("--long", action="store_true", help="run the tests marked long, too")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is marked long, unless it is asked for."""
    if config.getoption("--long"):
        return
    left_out = [item for item in items if item.get_closest_marker("long")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not item.get_closest_marker("long")]


def pytest_configure(config: pytest.Config) -> None:
    """Keep texts parsed, and compiled modules where the environment says to keep none beside
    the sources.

    Else every worker, and every process that a test starts, compiles all of them again.
    """
    cache = getattr(config, "cache", None)
    if cache is not None:
        st_grammar.kept_in = cache.mkdir("parsed")
    if sys.dont_write_bytecode and cache is not None and not hasattr(config, "workerinput"):
        kept = str(cache.mkdir("bytecode"))
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = kept
        sys.dont_write_bytecode = False


def pytest_collection_finish(session: pytest.Session) -> None:
    """Have each loop compiled by one worker only, where there are several.

    And look seldom for garbage in circles: what was collected stays, and going through all of
    it again and again took a twentieth of the time of random lines.
    """
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)
    cache = getattr(session.config, "cache", None)
    if "numba" in sys.modules and cache is not None and hasattr(session.config, "workerinput"):
        compile_once(cache.mkdir("compiling"))


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run the command in a folder of its own: exit code, stdout, stderr."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(PROBLEMS / "three_tanks_dryer.toml", "line.toml")

    def run(*arguments: str) -> tuple[int, str, str]:
        code = main(arguments)
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        return code, out, err

    return run


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """No processes of their own for points of a study that take milliseconds."""
    import hoistopt.analysis.study.running as running

    monkeypatch.setattr(running, "OwnPool", AtOnce)


@pytest.fixture
def lean_fonts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Fonts embedded in PDF files without rules for joining glyphs.

    They take half the time of embedding, and no PDF reader uses those of an embedded font.
    """
    from fontTools.subset import Options

    left_out = [*Options._drop_tables_default, "GSUB", "GPOS", "GDEF"]
    monkeypatch.setattr(Options, "_drop_tables_default", left_out)


@pytest.fixture
def in_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The test runs in an empty folder of its own."""
    monkeypatch.chdir(tmp_path)
