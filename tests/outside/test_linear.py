"""Held against HiGHS, a solver of another kind: linear programs with and without whole numbers."""

from __future__ import annotations

from itertools import combinations
from math import ceil, floor
from pathlib import Path
from random import Random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from hoistopt import load_problem
from tests.helpers.answers import answer, least_ticks
from tests.reference.published.cells import cell

PROBLEMS = Path(__file__).parents[2] / "problems"
NEVER = 10_000


class Rows:
    """Constraints of the form: sum of weights times variables >= a limit."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.rows: list[np.ndarray] = []
        self.limits: list[float] = []

    def add(self, weights: dict[int, float], limit: float) -> None:
        row = np.zeros(self.count)
        for variable, weight in weights.items():
            row[variable] += weight
        self.rows.append(row)
        self.limits.append(limit)

    def least(self, variable: int, whole: np.ndarray, highest: np.ndarray) -> float | None:
        costs = np.zeros(self.count)
        costs[variable] = 1
        found = milp(
            costs,
            integrality=whole,
            constraints=LinearConstraint(np.array(self.rows), np.array(self.limits), np.inf),
            bounds=Bounds(np.zeros(self.count), highest),
        )
        return None if found.x is None else float(found.x[variable])


def _textbook(
    loaded: list[int], apart: list[list[int]], least: list[int], most: list[int]
) -> int | None:
    """Least whole cycle time by a mixed-integer program, one load a cycle.

    After Phillips and Unger (1976), AIIE Transactions 8(2), 219-225: starts of the moves,
    a 0/1 variable for each pair telling which comes first, and one for each tank telling
    whether its load stays over the end of the cycle, which switches constraints off by a
    large number.
    """
    moves = len(loaded)
    pairs = list(combinations(range(1, moves), 2))
    first = {pair: moves + number for number, pair in enumerate(pairs)}
    over = {s: moves + len(pairs) + s - 1 for s in range(1, moves)}
    cycle = moves + len(pairs) + len(over)
    rows = Rows(cycle + 1)

    def apart_by(i: int, j: int) -> int:
        return loaded[i] + apart[i + 1][j]

    for s in range(1, moves):
        rows.add({s: 1}, apart_by(0, s))  # move 0 starts the cycle, at 0
        rows.add({cycle: 1, s: -1}, apart_by(s, 0))
        brought = {s - 1: -1.0} if s > 1 else {}
        # Kept within one cycle, or, with `over`, until the next.
        rows.add({s: 1, **brought, over[s]: NEVER}, loaded[s - 1] + least[s - 1])
        rows.add(
            {s: -1, **{k: -v for k, v in brought.items()}, over[s]: NEVER},
            -loaded[s - 1] - most[s - 1],
        )
        rows.add({cycle: 1, s: 1, **brought, over[s]: -NEVER}, loaded[s - 1] + least[s - 1] - NEVER)
        rows.add(
            {cycle: -1, s: -1, **{k: -v for k, v in brought.items()}, over[s]: -NEVER},
            -loaded[s - 1] - most[s - 1] - NEVER,
        )
        # A tank holds one load: it is lifted before the next is brought, one cycle later.
        if s > 1:
            rows.add({s - 1: 1, s: -1, over[s]: -NEVER}, apart_by(s, s - 1) - NEVER)
    for (i, j), variable in first.items():
        rows.add({j: 1, i: -1, variable: -NEVER}, apart_by(i, j) - NEVER)
        rows.add({i: 1, j: -1, variable: NEVER}, apart_by(j, i))
    for i in range(moves):
        rows.add({cycle: 1}, apart_by(i, i))
    highest = np.ones(cycle + 1)
    highest[[*range(moves), cycle]] = NEVER / 2
    highest[0] = 0
    found = rows.least(cycle, np.ones(cycle + 1), highest)
    return None if found is None else round(found)


@pytest.mark.parametrize("seed", range(25))
def test_the_textbook_program_finds_the_same_cycle_time(seed: int) -> None:
    rng = Random(f"textbook {seed}")
    count, grip = rng.randint(3, 7), rng.randint(1, 4)
    positions = [rng.randint(0, 10) for _ in range(count + 2)]
    least = [rng.randint(5, 60) for _ in range(count)]
    most = [low + rng.randint(0, 15) for low in least]
    apart = [[abs(a - b) for b in positions] for a in positions]
    loaded = [apart[s][s + 1] + 2 * grip for s in range(count + 1)]
    expected = _textbook(loaded, apart, least, most)
    assert expected is not None
    assert least_ticks(cell(positions, grip, least, most)) == expected


LINES = [
    ("phillips_unger_1976", 1),
    ("phillips_unger_1976", 2),
    ("shared_rinse", 1),
    ("roomy_dryer", 2),
    ("three_tanks_dryer", 2),
    ("hoist_limits", 2),
    ("mixed_recipes", 1),
]


@pytest.mark.parametrize(("name", "degree"), LINES)
def test_the_order_found_takes_as_long_as_a_linear_program_says(name: str, degree: int) -> None:
    """Cycle time and starts are free again; order, tanks and restarts stay as found.

    Times in ticks, on the safe side as the problem wants them planned. A linear program
    may end between two ticks, but less than one tick below the cycle time found.
    """
    problem = load_problem(PROBLEMS / f"{name}.toml")
    result = answer(problem, degree)
    assert result.schedule is not None and result.replay is not None
    per_unit = result.schedule.ticks_per_unit
    moves = cycle = len(result.schedule)
    rows = Rows(moves + 1)
    runs = {run.step - 1: run for run in result.replay.runs if run.phase == "steady"}
    took = {number: (run.end - run.start) * per_unit for number, run in runs.items()}
    for number in range(moves):
        after = (number + 1) % moves
        assert runs[after].came_from == runs[number].target
        needed = ceil(took[number]) + ceil(runs[after].empty * per_unit)
        rows.add({after: 1, number: -1, cycle: after == 0}, needed)
    for stay in result.replay.stays:
        if stay.phase != "steady" or stay.arrived_by is None or stay.left_by is None:
            continue
        brought, lifted = stay.arrived_by - 1, stay.left_by - 1
        begun = stay.since - took[brought] / per_unit
        restarts = stay.until // result.replay.cycle_time - begun // result.replay.cycle_time
        rows.add(
            {lifted: 1, brought: -1, cycle: restarts},
            ceil(took[brought]) + ceil(stay.least * per_unit),
        )
        if stay.most is not None:
            latest = floor(stay.most * per_unit) + floor(took[brought])
            rows.add({lifted: -1, brought: 1, cycle: -restarts}, -latest)
    found = rows.least(cycle, np.zeros(moves + 1), np.full(moves + 1, np.inf))
    assert found is not None
    assert result.schedule.cycle - 1 + 1e-6 < found < result.schedule.cycle + 1e-6
