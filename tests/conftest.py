"""What several test files share."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from hoistopt.cli import main
from tests.helpers.command import PROBLEMS, Run


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
