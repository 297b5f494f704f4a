"""Stored machine code: used only where it is up to date, and never in the way."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
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

RUN = """
from small.loops.whole import Pair, whole
found = whole(Pair(7, 9))
print(found, sum(whole.stats.cache_hits.values()))
"""

LOADED = """
import json, os, sys, traceback
from typing import NamedTuple
import hoistopt.instance, hoistopt.solver.compiled, hoistopt.solver.cyclic.search
import numba
class Two(NamedTuple):
    one: int
    other: int
inner = numba.njit(lambda pair: 2 * pair.one)
numba.njit(lambda pair: 100 * inner(pair) + 1)(Two(1, 2))  # the compiler itself is loaded
for line in sys.stdin:
    asked = json.loads(line)
    child = os.fork()
    if child:
        print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
        continue
    for stream, name in ((1, "out"), (2, "told")):
        os.dup2(os.open(asked[name], os.O_WRONLY | os.O_CREAT | os.O_TRUNC), stream)
    os.environ.clear()
    os.environ.update(asked["environment"])
    numba.config.reload_config()
    sys.path.insert(0, asked["folder"])
    code = 1
    try:
        exec(compile(asked["program"], "<program>", "exec"), {"__name__": "__main__"})
        code = 0
    except BaseException:
        traceback.print_exc()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)
"""
"""Numba and the search are loaded, none of the loops; then for every line read a process of its
own, which has the environment asked for, runs a program."""


class Loaded:
    """Starts processes that need not load Numba, which takes longer than what they test."""

    def __init__(self) -> None:
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        # A change within a second goes unseen where modules are kept as bytecode.
        environment["PYTHONDONTWRITEBYTECODE"] = "1"
        for name in ("NUMBA_CACHE_DIR", "NUMBA_DISABLE_JIT"):
            environment.pop(name, None)
        self.environment = environment
        self._process = subprocess.Popen(
            [sys.executable, "-c", LOADED],
            env=environment, text=True, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip

    def printed(self, program: str, folder: Path, environment: dict[str, str]) -> str:
        """What a program prints in a process of its own; nothing may go wrong in it."""
        out, told = folder / "out.txt", folder / "told.txt"
        asked = {
            "program": program, "folder": str(folder), "environment": environment,
            "out": str(out), "told": str(told),
        }  # fmt: skip
        assert self._process.stdin is not None and self._process.stdout is not None
        print(json.dumps(asked), file=self._process.stdin, flush=True)
        code = self._process.stdout.readline().strip()
        assert (code, told.read_text()) == ("0", "")
        return out.read_text()

    def end(self) -> None:
        """Start no more."""
        self._process.communicate()
        assert self._process.returncode == 0


@pytest.fixture(scope="module")
def loaded() -> Iterator[Loaded]:
    started = Loaded()
    yield started
    started.end()


class Small:
    """A package of a few compiled functions, each run of it a new process."""

    def __init__(self, folder: Path, loaded: Loaded) -> None:
        self.folder, self.package, self._loaded = folder, folder / "small", loaded
        for name, text in FILES.items():
            file = self.package / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text)
        self.environment = dict(loaded.environment)

    def run(self) -> tuple[int, bool]:
        """What the function comes to, and whether its machine code was there."""
        found, stored = self.printed(RUN).split()
        return int(found), stored == "1"

    def printed(self, program: str) -> str:
        """What a program prints."""
        return self._loaded.printed(program, self.folder, self.environment)

    def change(self, name: str, old: str, new: str) -> None:
        file = self.package / name
        text = file.read_text()
        assert old in text
        file.write_text(text.replace(old, new))


@pytest.fixture
def small(tmp_path: Path, loaded: Loaded) -> Small:
    return Small(tmp_path, loaded)


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


IN_A_HURRY = """
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.solver.compiling import NoTimeToCompile, compiling_before
from small.loops.whole import Pair, whole

def tried(limit):
    try:
        with compiling_before(Clock(Effort(limit))):
            return whole(Pair(7, 9))
    except NoTimeToCompile:
        return "no time"
"""


@pytest.mark.parametrize("stored", [True, False])
def test_nothing_is_compiled_that_would_not_be_done_in_time(small: Small, stored: bool) -> None:
    if not stored:  # no folder to store anything in
        for folder in ("loops", "parts/deep"):
            (small.package / folder / "__pycache__").write_text("")
        small.environment |= {"HOME": "/dev/null", "LOCALAPPDATA": "/dev/null"}
        small.environment.pop("XDG_CACHE_HOME", None)
    # Neither the first time nor the second; with time, the loops within it too; then always.
    order = "print(tried(0.5), tried(0.5), tried(None), tried(0.5), whole(Pair(7, 9)))"
    assert small.printed(IN_A_HURRY + order).split() == [
        *("no", "time"), *("no", "time"), "1404", "1404", "1404",
    ]  # fmt: skip
    # Another process has stored code without time to make it, or has none.
    again = small.printed(IN_A_HURRY + "print(tried(0.5))")
    assert again.strip() == ("1404" if stored else "no time")


def test_what_compiling_takes_is_recorded(small: Small) -> None:
    """Once, whoever asks; and a loop within another one is no time of its own."""
    order = """
from hoistopt.solver.compiling import recorded
tried(0.5)
print(recorded().refused, recorded().seconds)
began = time.perf_counter()
tried(None)
took = time.perf_counter() - began
print(took >= recorded().seconds > took / 2, recorded().refused)
before = recorded()
tried(0.5)
print(recorded().since(before))
"""
    assert small.printed("import time\n" + IN_A_HURRY + order).splitlines() == [
        "1 0.0", "True 1", "Compiling(seconds=0.0, refused=0)",
    ]  # fmt: skip


WITHIN = """
with compiling_before(Clock(Effort(None))):
    print(tried(0.5))
"""


def test_what_a_short_search_compiles_serves_the_longer_one_it_is_part_of(small: Small) -> None:
    assert small.printed(IN_A_HURRY + WITHIN).strip() == "1404"


HARD_LINE = """
from hoistopt import Problem
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance import build_instance
from hoistopt.solver.cyclic import search
from hoistopt.solver.cyclic.track.expand.kernel import expand
from hoistopt.solver.cyclic.annealing.kernel import anneal

stations = [{"name": "In", "kind": "load", "position": 0}]
stations += [{"name": f"T{i}", "position": i} for i in range(1, 27)]
stations += [{"name": "Out", "kind": "unload", "position": 27}]
problem = Problem.from_data({
    "name": "Invented", "tick": 1,
    "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 0.5}, "empty": {"speed": 0.8}},
    "station": stations,
    "recipe": [{"name": "R", "stage": [
        {"station": f"T{i}", "min": 20 + 7 * i % 50, "max": 4 * (20 + 7 * i % 50)}
        for i in range(1, 27)
    ]}],
})
instance = build_instance(problem)
whole = []
real = search._Search.run_cp_sat
def run_cp_sat(self, work=None, **more):  # as good as nothing found by it, so that the rest comes
    whole.append(work)
    return real(self, 0.01 if work else 0.5, **more) and "unknown"
search._Search.run_cp_sat = run_cp_sat
clock = Clock(Effort(3, WORKERS))
found = search.least_cycle(instance, clock)
compiled = len(expand.signatures), len(anneal.signatures)
print(found.schedule is not None, *compiled, whole[-1], clock.over)
"""


@pytest.mark.parametrize("workers", [1, 2])
def test_a_hard_line_with_little_time_goes_without_what_is_not_compiled(
    workers: int, tmp_path: Path, loaded: Loaded
) -> None:
    environment = {**loaded.environment, "NUMBA_CACHE_DIR": str(tmp_path / "empty")}
    told = loaded.printed(HARD_LINE.replace("WORKERS", str(workers)), tmp_path, environment)
    has_one, expanded, annealed, last_work, over = told.split()
    assert (has_one, expanded, annealed) == ("True", "0", "0")
    # The whole model has the rest of the time, unless the machine was too slow for anything.
    assert last_work == "None" or over == "True"
