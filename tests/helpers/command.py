"""What the tests of the command line share besides the fixture `run`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

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


def last_lines(text: str) -> str:
    """The end of an output, where the caution stands."""
    return "\n".join(text.rstrip().splitlines()[-2:])
