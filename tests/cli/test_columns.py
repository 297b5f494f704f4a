"""Columns on a terminal: a unit over every figure, points under one another, no exponents."""

from __future__ import annotations

import re

import pytest

from tests.helpers.command import PROBLEMS, Run, put_moves

pytestmark = pytest.mark.usefixtures("at_once")

SCATTER = ("--scatter", "move times triangular 0.97 1 1.15")
COMMANDS: dict[str, tuple[str, ...]] = {
    "solve": ("line.toml", "--degree", "1-2", "--workers", "1"),
    "verify": ("line.toml", "moves.csv"),
    "slack": ("line.toml", "moves.csv"),
    "why": ("line.toml", "moves.csv"),
    "jitter": ("line.toml", "moves.csv", "--runs", "30", "--cycles", "9", *SCATTER),
    "robust": ("line.toml", "--aims", "travel", "--workers", "1"),
    "tradeoff": ("line.toml", "--points", "2", "--upto", "2", "--workers", "1"),
    "study": ("line.toml", "--vary", "stage(Wash).max = 150, 160.5", "--jobs", "1"),
    "compare": ("line.toml", "--before", "moves.csv", "--after", "moves.csv"),
    "fit": ("line.toml", str(PROBLEMS / "log" / "three_tanks_stopwatch.csv")),
    "adherence": ("line.toml", "moves.csv", str(PROBLEMS / "log" / "three_tanks_shift.csv")),
}
COUNTED = {
    "Step", "Load", "Degree", "Loads", "Loads per cycle", "Before", "After", "Difference",
    "Loads per hour", "Good loads per hour", "Over max", "Reached", "Tightest start", "Cost",
    "Cycle", "Readings", "Set aside", "Today", "Fitted", "Standard error", "New", "Made", "Missing",
    "Out of turn", "Late", "Row", "Deviations", "Stops",
}  # fmt: skip
"""Columns of figures that are mere numbers, or that have their units in a column beside them."""


@pytest.mark.parametrize("command", COMMANDS)
def test_no_figure_without_a_unit_or_on_another_point(run: Run, command: str) -> None:
    put_moves("moves.csv")
    code, out, err = run(command, *COMMANDS[command])
    assert code in (0, 1), err
    assert not re.search(r"\de[+-]\d", out)
    seen = 0
    for rule in re.finditer(
        r"(?P<head>(?:^ .*\n)+?)^ \u2500+ *\n(?P<body>(?:^ .*\S.*\n)+)", out, re.M
    ):
        head, body = rule["head"].splitlines(), rule["body"].splitlines()
        for begins, ends in _columns(head, body):
            title = " ".join(line[begins:ends].strip() for line in head).strip()
            cells = [line[begins:ends] for line in body]
            figures = [cell for cell in cells if re.fullmatch(r"\s*[-+]?\d+(\.\d+)?\s*", cell)]
            if not figures or len(figures) < len([c for c in cells if c.strip(" -")]):
                continue
            seen += 1
            assert re.search(r"\[(s|%)\]$", title) or title in COUNTED, title
            points = {c.index(".") if "." in c else len(c.rstrip()) for c in figures}
            assert len(points) == 1, (title, figures)
    assert seen


def _columns(head: list[str], body: list[str]) -> list[tuple[int, int]]:
    """Where columns begin and end: between them nothing stands in any line."""
    width = max(map(len, [*head, *body]))
    lines = [line.ljust(width) for line in [*head, *body]]
    blank = [all(line[n] == " " for line in lines) for n in range(width)]
    edges = [n for n in range(1, width) if blank[n] and blank[n - 1]]
    found, begins = [], 0
    for edge in [*edges, width]:
        if any(not blank[n] for n in range(begins, edge)):
            found.append((begins, edge))
        begins = edge
    return found
