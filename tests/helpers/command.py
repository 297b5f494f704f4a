"""What the tests of the command line share besides the fixture `run`."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import redirect_stdout
from functools import cache
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from hoistopt.cli import main

PROBLEMS = Path(__file__).parents[2] / "problems"
CAUTION = "not a safety function"
STATE = """
[hoist]
station = "Wash"
free_in = 0
[[standing]]
station = "Wash"
recipe = "Cases"
stage = 1
stood = [40, 70]
load = 7
"""
"""One load in the wash of the three-tank line, there for 40 s to 70 s."""

Run = Callable[..., tuple[int, str, str]]


@cache
def _solved() -> dict[str, str]:
    """What `solve` writes of the three-tank line, by the ending of the file."""
    line = str(PROBLEMS / "three_tanks_dryer.toml")
    with TemporaryDirectory() as folder, redirect_stdout(StringIO()):
        files = {ending: Path(folder) / f"moves.{ending}" for ending in ("csv", "json")}
        written = ("--csv", str(files["csv"]), "--json", str(files["json"]))
        assert main(("solve", line, "--workers", "1", "--quiet", *written)) == 0
        return {ending: path.read_text(encoding="utf-8") for ending, path in files.items()}


def put_moves(name: str) -> None:
    """A file with the moves of `line.toml`, as `solve` writes it; solved once for all tests.

    Parameters
    ----------
    name : str
        Ends in .csv or .json.
    """
    Path(name).write_text(_solved()[Path(name).suffix[1:]], encoding="utf-8")


def last_lines(text: str) -> str:
    """The end of an output, where the caution stands."""
    return "\n".join(text.rstrip().splitlines()[-2:])
