"""What the tests of the command line share besides the fixture `run`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

PROBLEMS = Path(__file__).parents[2] / "problems"
CAUTION = "not a safety function"

Run = Callable[..., tuple[int, str, str]]


def last_lines(text: str) -> str:
    """The end of an output, where the caution stands."""
    return "\n".join(text.rstrip().splitlines()[-2:])
