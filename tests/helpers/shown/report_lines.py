"""Invented lines for the tests of the report, solved once."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import hoistopt
from hoistopt.planning.result import Result
from hoistopt.problem import Problem

PROBLEMS = Path(__file__).parents[3] / "problems"

HOSTILE = (
    "<script>window.broken=1</script>",
    "</script><img src=x onerror=window.broken=2>",
    "]]><svg onload=window.broken=3>",
    "\"'><b onclick='window.broken=4'>&lt;&amp;",
    "</title></style>{{7*7}}${window.broken=5}<!--",
    "脱脂槽 Ölbad مغسلة 🧪",
    "W" * 80,
    "javascript:window.broken=6",
)
"""Names a station may have, that would do harm where text is taken for markup."""


def solved(name: str, degree: int = 1) -> tuple[Problem, Result]:
    """A line and its proven schedule; `name` is that of a problem file or of a line below."""
    return _solved(name, degree)


@cache  # which takes a default given and one left out for two questions
def _solved(name: str, degree: int) -> tuple[Problem, Result]:
    problem = _LINES[name]() if name in _LINES else _from_file(name)
    result = hoistopt.solve(problem, degree, workers=1)
    assert result.schedule is not None and result.replay is not None
    return problem, result


def _from_file(name: str) -> Problem:
    return hoistopt.load_problem(PROBLEMS / f"{name}.toml")


def hostile_line() -> Problem:
    """Every name is hostile: the line's, the stations', the recipe's, the stages'."""
    last = len(HOSTILE) - 1
    kinds = {0: "load", last: "unload"}
    return Problem.from_data(
        {
            "name": HOSTILE[0],
            "note": f"{HOSTILE[1]}\nand {HOSTILE[2]} {HOSTILE[3]}",
            "source": HOSTILE[4],
            "length_unit": "</text><script>",
            "hoist": _HOIST,
            "station": [
                {"name": name, "kind": kinds.get(n, "tank"), "position": 2 * n}
                for n, name in enumerate(HOSTILE)
            ],
            "recipe": [
                {
                    "name": HOSTILE[1],
                    "stage": [
                        {"name": HOSTILE[-n], "station": name, "min": 30, "max": 60}
                        for n, name in enumerate(HOSTILE[1:last], start=1)
                    ],
                }
            ],
        }
    )


_HOIST: dict[str, Any] = {
    "lift": 8,
    "lower": 6,
    "loaded": {"speed": 0.5, "acceleration": 0.4, "settling": 1},
    "empty": {"speed": 1, "acceleration": 0.5},
}


def mixed_line() -> Problem:
    """Two recipes, a tank of three places, an alternative, carriers back by the hoist."""
    return Problem.from_data(
        {
            "name": "Mixed line",
            "note": "Invented.",
            "tick": 0.5,
            "hoist": _HOIST,
            "carriers": {"return": "hoist"},
            "cycle": {"mix": {"Hooks": 1, "Pins": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0, "min_occupation": 15},
                {"name": "Clean", "position": 1.5},
                {"name": "Plate", "position": 4, "capacity": 3},
                {"name": "Rinse L", "position": 5},
                {"name": "Rinse R", "position": 5},
                {"name": "Out", "kind": "unload", "position": 7, "min_occupation": 10},
            ],
            "recipe": [
                {
                    "name": "Hooks",
                    "stage": [
                        {"station": "Clean", "min": 40, "max": 120, "drip": 2},
                        {"station": "Plate", "min": 300, "max": 420, "drip": 3},
                        {"station": ["Rinse L", "Rinse R"], "min": 30, "max": 90},
                    ],
                },
                {
                    "name": "Pins",
                    "stage": [
                        {"station": "Plate", "min": 200, "max": 500},
                        {"station": ["Rinse L", "Rinse R"], "min": 20},
                    ],
                },
            ],
        }
    )


def long_line() -> Problem:
    """Thirty stations."""
    inner = [f"Process tank {n}" for n in range(1, 29)]
    return Problem.from_data(
        {
            "name": "Thirty stations",
            "note": "Invented.",
            "hoist": {"lift": 8, "lower": 8, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "Load", "kind": "load", "position": 0},
                *({"name": name, "position": 1.5 * n} for n, name in enumerate(inner, start=1)),
                {"name": "Unload", "kind": "unload", "position": 43.5},
            ],
            "recipe": [
                {
                    "name": "Rail",
                    # Each window reaches a little further than the move before it takes.
                    "stage": [
                        {"station": name, "min": 70 + 7 * (n % 5), "max": 96 + 7 * (n % 5)}
                        for n, name in enumerate(inner)
                    ],
                }
            ],
        }
    )


_LINES = {"hostile": hostile_line, "mixed": mixed_line, "long": long_line}
