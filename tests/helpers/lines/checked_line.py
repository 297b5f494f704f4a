"""Small lines for the checker's tests, with times that add up in the head.

Every loaded move takes 10, every empty travel between two stations 5.

The usual line is Bench, A, B. The usual table has a cycle of 100:

    0   Bench to A, set down at 10
    15  B to Bench, set down at 25 (the hoist: free at A at 10, at B at 15)
    55  A to B, set down at 65

So a load stands in A for 45, in B for 50 (65 to 115) and the carrier on the Bench for 75
(25 to 100). Two carriers circulate: at any time one stands in A or B, or moves, and the
other is a cycle behind it.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from hoistopt.checker import Replay, Violation, replay, verify
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule, Step

LOADED, EMPTY = 10, 5
Move = tuple[Any, ...]


def every_pair(names: list[str], time: int) -> list[dict[str, Any]]:
    """Table entries between all different stations."""
    return [{"from": u, "to": v, "time": time} for u in names for v in names if u != v]


def line(stations: list[dict[str, Any]], *recipes: dict[str, Any], **parts: Any) -> Problem:
    """A problem with the usual times."""
    names = [station["name"] for station in stations]
    times = {"loaded": every_pair(names, LOADED), "empty": every_pair(names, EMPTY)}
    data = {"name": "By hand", "station": stations, "recipe": list(recipes), "times": times}
    return Problem.from_data({**data, **parts})


def stage(station: Any, least: Any = 0, most: Any = None, **more: Any) -> dict[str, Any]:
    """A stage of a recipe."""
    limit = {} if most is None else {"max": most}
    return {"station": station, "min": least, **limit, **more}


def usual_line(
    bench: dict[str, Any] | None = None,
    a: dict[str, Any] | None = None,
    b: dict[str, Any] | None = None,
    **parts: Any,
) -> Problem:
    """Bench, A and B; A for 30 to 60, B for 40 to 80, the Bench at least 20."""
    return line(
        [
            {"name": "Bench", "kind": "load-unload", "min_occupation": 20, **(bench or {})},
            {"name": "A"},
            {"name": "B"},
        ],
        {
            "name": "R",
            "stage": [{**stage("A", 30, 60), **(a or {})}, {**stage("B", 40, 80), **(b or {})}],
        },
        **parts,
    )


def usual_table(bench: int = 0, a: int = 55, b: int = 15, cycle: int = 100) -> Schedule:
    """The usual table, with lifts from the Bench, from A and from B at these times."""
    return table(cycle, (bench, "Bench", "A"), (a, "A", "B"), (b, "B", "Bench"))


def table(cycle: int, *moves: Move, ticks: int = 1) -> Schedule:
    """A schedule from (start, from, to) and, as far as given, recipe, load, stage, boundaries."""
    return Schedule(cycle, Fraction(ticks), tuple(Step(*move) for move in moves))


def found(problem: Problem, schedule: Schedule) -> list[str]:
    """All messages."""
    return [violation.message for violation in verify(problem, schedule)]


def rules(problem: Problem, schedule: Schedule) -> list[str]:
    """The rules broken, each once."""
    return sorted({violation.rule for violation in verify(problem, schedule)})


def only(problem: Problem, schedule: Schedule) -> Violation:
    """The one violation there must be."""
    violations = verify(problem, schedule)
    assert len(violations) == 1, [violation.message for violation in violations]
    return violations[0]


def accepted(problem: Problem, schedule: Schedule) -> Replay:
    """The replay of a schedule that must break no rule."""
    seen = replay(problem, schedule)
    assert seen.violations == ()
    return seen


def bench(capacity: Any = "unlimited") -> dict[str, Any]:
    return {"name": "Bench", "kind": "load-unload", "capacity": capacity}


def told(schedule: Schedule, *columns: dict[str, Any]) -> Schedule:
    """The schedule with further columns, one dict per step in order of time."""
    steps = zip(schedule.steps, columns, strict=True)
    return replace(schedule, steps=tuple(replace(step, **more) for step, more in steps))


def two_recipes(r: dict[str, Any], s: dict[str, Any], **cycle: Any) -> Problem:
    """Two recipes of one stage each."""
    return line(
        [bench(), {"name": "A"}, {"name": "B"}, {"name": "C"}],
        {"name": "R", "stage": [r]},
        {"name": "S", "stage": [s]},
        cycle=cycle or {"mix": {"R": 1, "S": 1}},
    )


# Two loads of 60 and 60: in A for 20 and for 40.
SHORT_LONG = table(
    120, (0, "Bench", "A"), (30, "A", "Bench"), (50, "Bench", "A"), (100, "A", "Bench")
)
