"""Stored machine code: used only where it is up to date, and never in the way."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

FILES = {
    "__init__.py": "",
    "loops/__init__.py": "",
    "loops/whole.py": """
from hoistopt.solver.compiled import compiled, lean
from ..parts.deep import numbers
from ..parts.deep.step import Pair, step

inner = lean(numbers.added)

@compiled
def whole(pair):
    return 100 * step(pair) + inner(numbers.HUNDREDTHS)
""",
    "parts/__init__.py": "",
    "parts/deep/__init__.py": "",
    "parts/deep/numbers.py": "HUNDREDTHS = 3\ndef added(x):\n    return x + 1\n",
    "parts/deep/step.py": """
from typing import NamedTuple
from hoistopt.solver.compiled import lean

class Pair(NamedTuple):
    one: int
    other: int

TIMES = 2

@lean
def step(pair):
    return TIMES * pair.one
""",
}

PROGRAM = """
from small.loops.whole import Pair, whole
found = whole(Pair(7, 9))
print(found, sum(whole.stats.cache_hits.values()))
"""


class Small:
    """A package of a few compiled functions, each run of it a new process."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.package = folder, folder / "small"
        for name, text in FILES.items():
            file = self.package / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text)
        self.environment = {
            **os.environ,
            "PYTHONPATH": os.pathsep.join([str(folder), str(ROOT)]),
            "PYTHONDONTWRITEBYTECODE": "1",  # or a change within a second goes unseen
        }
        for name in ("NUMBA_CACHE_DIR", "NUMBA_DISABLE_JIT"):
            self.environment.pop(name, None)

    def run(self) -> tuple[int, bool]:
        """What the function comes to, and whether its machine code was there."""
        done = subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env=self.environment, cwd=self.folder, capture_output=True, text=True,
        )  # fmt: skip
        assert (done.returncode, done.stderr) == (0, "")
        found, stored = done.stdout.split()
        return int(found), stored == "1"

    def change(self, name: str, old: str, new: str) -> None:
        file = self.package / name
        text = file.read_text()
        assert old in text
        file.write_text(text.replace(old, new))


@pytest.fixture
def small(tmp_path: Path) -> Small:
    return Small(tmp_path)


def test_a_change_in_any_file_that_went_into_the_code_compiles_it_again(small: Small) -> None:
    assert small.run() == (1404, False)
    assert small.run() == (1404, True)
    small.change("parts/deep/step.py", "TIMES * pair.one", "TIMES * pair.one + 1")
    assert small.run() == (1504, False)
    small.change("parts/deep/step.py", "TIMES = 2", "TIMES = 3")
    assert small.run() == (2204, False)
    small.change("parts/deep/numbers.py", "HUNDREDTHS = 3", "HUNDREDTHS = 5")
    small.change("parts/deep/numbers.py", "x + 1", "x + 2")
    assert small.run() == (2207, False)
    small.change("parts/deep/step.py", "one: int\n    other: int", "other: int\n    one: int")
    assert small.run() == (2807, False)


def test_a_change_counts_too_where_numba_is_told_to_store_code_elsewhere(small: Small) -> None:
    cache = small.folder / "cache"
    small.environment["NUMBA_CACHE_DIR"] = str(cache)
    assert small.run() == (1404, False)
    assert list(cache.rglob("*.nbc"))
    assert not list(small.package.rglob("*.nbc"))
    small.change("parts/deep/step.py", "TIMES * pair.one", "TIMES * pair.one + 1")
    assert small.run() == (1504, False)
    assert small.run() == (1504, True)


def test_where_no_folder_can_be_written_it_runs_all_the_same(small: Small) -> None:
    # A file where the folder should be: not even the superuser can write there.
    for folder in ("loops", "parts/deep"):
        (small.package / folder / "__pycache__").write_text("")
    small.environment |= {"HOME": "/dev/null", "LOCALAPPDATA": "/dev/null"}
    small.environment.pop("XDG_CACHE_HOME", None)
    assert small.run() == (1404, False)


def test_damaged_files_are_replaced(small: Small) -> None:
    assert small.run() == (1404, False)
    for kind, part in (("nbi", 0.5), ("nbc", 0.5), ("nbi", 0.0)):
        files = list(small.package.rglob(f"*.{kind}"))
        assert len(files) == 3
        for file in files:
            os.truncate(file, int(part * file.stat().st_size))
        assert small.run() == (1404, False)
    assert small.run() == (1404, True)
