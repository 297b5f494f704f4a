"""How long an answer to "which load may enter when" takes, with eight loads in the line.

Lines of 20 stations, a group of six parallel tanks among them; invented and seeded. They run in a
cycle, and at a time at which eight loads are in the line it is let run out: that is promised. Then
one more load is placed beside it.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from statistics import median

from hoistopt import (
    Effort,
    Order,
    place_next,
    replay_programme,
    save_state,
    solve,
    state_after,
    unroll,
)
from hoistopt.base.text import STANDING
from hoistopt.problem import Problem
from hoistopt.schedule import LineState, Programme, Step

from ..carry import problem_to_toml
from ..lines.real import DrawnLine

LOADS, GROUP, REPEATS, SEEDS = 8, 6, 21, (10, 11, 12)


@dataclass(frozen=True)
class Asked:
    """One line: seconds of the answers, in Python and typed as a command."""

    line: str
    stations: int
    loads: int
    median: float
    longest: float
    cpu: float
    command: float


def line(seed: int) -> Problem:
    """Twelve single tanks and a group of six, 20 stations in all."""
    made = DrawnLine(f"next 20 {seed}")
    made.bath("Soak clean", 240, 900, 5)
    for number in range(1, 4):
        made.rinse(f"Rinse {number}")
    made.dip("Acid dip")
    made.rinse("Rinse 4")
    made.group("Plate", GROUP, made.rng.choice((2700, 3000)), 900, merged=False)
    made.bath("Drag-out", 30, 120, 5)
    for number in range(5, 8):
        made.rinse(f"Rinse {number}")
    made.bath("Hot rinse", 30, 120, 5)
    made.bath("Dry", 180, 600)
    return Problem.from_data(made.data())


def promised(problem: Problem, loads: int = LOADS) -> tuple[LineState, Programme]:
    """The state at a time at which so many loads are in the line, and what comes then."""
    cycle = solve(problem, GROUP, effort=Effort(10, 1))
    assert cycle.schedule is not None
    programme = unroll(cycle.schedule, 3)
    seen = replay_programme(problem, programme)
    times = [Fraction(step.start) / programme.ticks_per_unit for step in programme]
    for begin in times:
        state = state_after(seen, begin)
        if len(state.loads) == loads:
            break
    else:
        raise ValueError(f"never {loads} loads in the line")
    first = begin * programme.ticks_per_unit
    rest = [step for step in programme if step.start > first]
    known = set(state.loads)
    steps = [
        Step(step.start - int(first), step.source, step.target, step.recipe, step.load, step.stage)
        for step in rest
        if step.load in known
    ]
    return state, Programme(programme.ticks_per_unit, tuple(steps))


def asked(seed: int) -> Asked:
    """What an answer takes on one line."""
    problem = line(seed)
    state, programme = promised(problem)
    orders = [Order(problem.recipes[0].name)]
    place_next(problem, programme, orders, state)  # what is imported at first is not part of it
    seconds = []
    cpu = time.process_time()
    for _ in range(REPEATS):
        begun = time.perf_counter()
        answer = place_next(problem, programme, orders, state)
        seconds.append(time.perf_counter() - begun)
        assert answer.programme is not None and answer.replay is not None
    cpu = (time.process_time() - cpu) / REPEATS
    stations = len(problem.stations)
    command = _command(problem, programme, state, orders[0].recipe)
    name = f"next-20-s{seed}"
    return Asked(name, stations, LOADS, median(seconds), max(seconds), cpu, command)


def _command(problem: Problem, programme: Programme, state: LineState, recipe: str) -> float:
    """Seconds of `hoistopt plan --promised`, from the key to the answer; median of three."""
    from hoistopt.show.programme.files import programme_moves

    with tempfile.TemporaryDirectory() as folder:
        files = [Path(folder) / name for name in ("line.toml", "state.toml", "promised.csv")]
        files[0].write_text(problem_to_toml(problem), encoding="utf-8")
        save_state(state, files[1], problem)
        seen = replay_programme(problem, programme, state)
        files[2].write_text(programme_moves(seen).csv([STANDING]), encoding="utf-8")
        orders = Path(folder) / "orders.csv"
        orders.write_text(f"recipe\n{recipe}\n", encoding="utf-8")
        typed = ["plan", str(files[0]), "--state", str(files[1]), "--promised", str(files[2])]
        typed += ["--orders", str(orders), "--quiet"]
        taken = []
        for _ in range(3):
            begun = time.perf_counter()
            subprocess.run(
                [sys.executable, "-m", "hoistopt", *typed], check=True, stdout=subprocess.DEVNULL
            )
            taken.append(time.perf_counter() - begun)
    return median(taken)
