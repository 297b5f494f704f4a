"""The brute-force reference against published results, a linear solver and plain search."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import islice, pairwise
from math import ceil
from random import Random

import highspy
import numpy as np
import pytest

from hoistopt.problem import Problem
from tests.helpers.usual import first
from tests.reference.brute import Witness, WitnessStep, best_schedule, least_cycle
from tests.reference.clock import Clock, whole_ticks
from tests.reference.dropped import DROPS
from tests.reference.exhaustive import least_cycle_by_ticks
from tests.reference.lines import FAMILIES
from tests.reference.moves import lines
from tests.reference.orders import orders
from tests.reference.patterns import patterns
from tests.reference.published.cells import cell
from tests.reference.published.pyramidal import least_cycle_pyramidal, pyramidal_orders
from tests.reference.published.sieve import least_cycle_fixed_dwells
from tests.reference.ratio import least_period
from tests.reference.shrink import shrunk


@cache
def drawn(family: str, seed: int) -> tuple[Problem, int]:
    """A line of a family and the degree asked for; drawn once for all tests of this file."""
    return FAMILIES[family](seed)


@cache
def best(family: str, seed: int) -> Witness | None:
    """What brute force says of it."""
    return best_schedule(*drawn(family, seed))


@pytest.mark.parametrize("seed", range(25))
def test_two_stations_match_the_published_formula(seed: int) -> None:
    # Source: Sethi, Sriskandarajah, Sorger, Blazewicz, Kubiak (1992), Sequencing of parts
    # and robot moves in a robotic cell, Int. J. Flexible Manufacturing Systems 4, 331-358.
    # Separate ends that never hold the robot up, equal steps, no maxima, one part a cycle.
    rng = Random(seed)
    step, grip, a, b = rng.randint(1, 9), rng.randint(0, 5), rng.randint(0, 90), rng.randint(0, 90)
    problem = cell([0, step, 2 * step, 3 * step], grip, [a, b])
    one_at_a_time = 6 * grip + 6 * step + a + b
    both_filled = 4 * grip + 4 * step + max(2 * grip + 4 * step, a, b)
    assert least_cycle(problem) == min(one_at_a_time, both_filled)


@pytest.mark.parametrize("seed", range(60))
def test_fixed_dwells_match_sieved_intervals(seed: int) -> None:
    # Source: Levner, Kats and Levit (1997), European J. Operational Research 97, 500-508.
    rng = Random(seed)
    count, grip = rng.randint(1, 6), rng.randint(1, 4)
    positions = [rng.randint(0, 8) for _ in range(count + 2)]
    dwells = [rng.randint(0, rng.choice((10, 40))) for _ in range(count)]
    apart = [[abs(a - b) for b in positions] for a in positions]
    loaded = [apart[s][s + 1] + 2 * grip for s in range(count + 1)]
    found = least_cycle(cell(positions, grip, dwells, dwells))
    assert found == least_cycle_fixed_dwells(loaded, apart, dwells)


@pytest.mark.parametrize("seed", range(30))
def test_without_maxima_the_best_order_is_pyramidal(seed: int) -> None:
    # Source: Crama and van de Klundert (1997), Operations Research 45, 952-965.
    rng = Random(seed)
    count, grip = rng.randint(1, 5), rng.randint(1, 4)
    positions = [0]
    for _ in range(count + 1):
        positions.append(positions[-1] + rng.randint(1, 5))
    least = [rng.randint(0, rng.choice((20, 60, 120))) for _ in range(count)]
    loaded = [b - a + 2 * grip for a, b in pairwise(positions)]
    # Without maxima any longer cycle works too, so the least whole one is the next above.
    expected = ceil(least_cycle_pyramidal(loaded, positions, least) - 1e-6)
    assert least_cycle(cell(positions, grip, least)) == expected


def test_pyramidal_orders_rise_then_fall() -> None:
    found = list(pyramidal_orders(4))
    assert sorted(found) == [(0, 1, 2, 3), (0, 1, 3, 2), (0, 2, 3, 1), (0, 3, 2, 1)]


def test_a_pace_asked_for_is_kept() -> None:
    # Source: none but the rules, by trying every start tick. Fixed dwells leave holes
    # among the cycle times above the least one.
    pushed = 0
    for seed in range(40):
        rng = Random(seed)
        dwells = [rng.randint(1, 8) for _ in range(rng.randint(2, 3))]
        data = cell(range(len(dwells) + 2), rng.randint(0, 1), dwells, dwells).to_data()
        shortest = least_cycle(Problem.from_data(data))
        assert shortest is not None
        least = shortest + rng.randint(1, 3)
        data["cycle"] = {"min": least, "max": least + rng.randint(0, 3)}
        paced = Problem.from_data(data)
        found = least_cycle(paced)
        assert found == least_cycle_by_ticks(paced, 1, limit=least + 5)
        pushed += found != least
    assert 3 <= pushed <= 35


@pytest.fixture(scope="module")
def highs() -> highspy.Highs:
    """HiGHS, a solver of linear programs: one for all that are asked, as making it takes longer."""
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    return solver


def _by_linear_solver(
    highs: highspy.Highs, count: int, constraints: list[tuple[int, int, int, int]]
) -> int | None:
    """Least whole cycle time of difference constraints, up to 10,000.

    Those with real starts are an interval, so the whole one above its end is the least, or none.
    """
    program = highspy.HighsLp()
    program.num_col_, program.num_row_ = count + 1, len(constraints)
    program.col_cost_ = np.eye(count + 1)[count]
    program.col_lower_, program.col_upper_ = np.zeros(count + 1), np.full(count + 1, 10_000.0)
    program.row_lower_ = np.array([float(least) for _, _, least, _ in constraints])
    program.row_upper_ = np.full(len(constraints), highspy.kHighsInf)
    begins, columns, factors = [0], list[int](), list[float]()
    for a, b, _, cycles in constraints:
        if a != b:
            columns += (b, a)
            factors += (1, -1)
        columns.append(count)
        factors.append(cycles)
        begins.append(len(columns))
    rows = program.a_matrix_
    rows.format_ = highspy.MatrixFormat.kRowwise
    rows.start_, rows.index_ = np.array(begins, np.int32), np.array(columns, np.int32)
    rows.value_ = np.array(factors)
    highs.passModel(program)
    if not _solved(highs):
        return None
    whole = ceil(highs.getObjectiveValue() - 1e-6)
    highs.changeColBounds(count, whole, whole)
    return whole if _solved(highs) else None


def _solved(highs: highspy.Highs) -> bool:
    highs.run()
    status = highs.getModelStatus()
    found = status == highspy.HighsModelStatus.kOptimal
    assert found or status == highspy.HighsModelStatus.kInfeasible
    return found


@pytest.mark.parametrize("seeds", first(50, range(100)))
@pytest.mark.parametrize("family", FAMILIES)
def test_one_pattern_costs_what_a_linear_solver_says(
    family: str, seeds: range, highs: highspy.Highs
) -> None:
    # Source: HiGHS, on patterns drawn from random lines.
    rng, answers = Random(family), []
    for seed in seeds:
        line = next(lines(*drawn(family, seed)), None)
        if line is None:
            continue
        any_order = (0, *rng.sample(range(1, len(line.moves)), len(line.moves) - 1))
        for order in (any_order, *islice(orders(line, lambda: None), 1)):
            for constraints, _ in islice(patterns(line, order), 2):
                found = least_period(len(order), constraints, 0, 10_001)
                expected = _by_linear_solver(highs, len(order), constraints)
                assert (found and found[0]) == expected
                answers.append(expected)
    assert len(set(answers)) >= 5


@pytest.mark.parametrize("seeds", first(60, range(150)))
@pytest.mark.parametrize("family", FAMILIES)
def test_trying_every_start_tick_finds_the_same(family: str, seeds: range) -> None:
    # Source: none but the rules; it knows no order of moves, no equations, no matchings of
    # events by rank, only starts and stays.
    compared = 0
    for seed in seeds:
        problem, degree = drawn(family, seed)
        returned = problem.carriers.return_ == "hoist"
        moves = [len(problem.recipe_by_name[n].stages) + 1 + returned for n in problem.load_set]
        if sum(moves) * degree > (most := 6 if family in ("entering", "everything") else 5):
            continue
        unshrunk = best(family, seed)
        longest = 2 * most + 1
        small = shrunk(problem, 6 if unshrunk is None else -(-unshrunk.cycle // (longest - 3)))
        found = least_cycle(small, degree)
        by_ticks = least_cycle_by_ticks(small, degree, limit=min(found or longest, longest))
        assert by_ticks == (found if found is not None and found <= longest else None), seed
        compared += found is not None and found <= longest
    assert compared >= 2


@pytest.mark.parametrize("family", FAMILIES)
def test_family_has_lines_with_and_without_a_schedule(family: str) -> None:
    answers = [best(family, seed) for seed in range(90)]
    assert 3 <= sum(answer is None for answer in answers) <= 40
    several = [answer for answer in answers if answer and _loads_in_process(answer) > 1]
    assert len(several) >= 10
    assert FAMILIES[family](7)[0].to_data() == FAMILIES[family](7)[0].to_data()


def _loads_in_process(witness: Witness) -> Fraction:
    """Mean number of loads between first lift and start of the last move."""
    elapsed = 0
    loads: dict[int, list[WitnessStep]] = {}
    for step in witness.steps:
        loads.setdefault(step.load, []).append(step)
    for steps in loads.values():
        steps.sort(key=lambda step: step.stage)
        elapsed += steps[-1].start - steps[0].start
        elapsed += witness.cycle * sum(step.boundaries or 0 for step in steps[1:])
    return Fraction(elapsed, witness.cycle)


@pytest.mark.parametrize("rule", DROPS)
def test_lines_notice_when_a_rule_is_dropped(rule: str) -> None:
    # Agreement over lines that never feel a rule would say nothing about that rule.
    family, drop = DROPS[rule]
    noticed = 0
    for seed in range(400):
        problem, degree = drawn(family, seed)
        data = problem.to_data()
        if not drop(data):
            continue
        without, right = least_cycle(Problem.from_data(data), degree), best(family, seed)
        if without != (right and right.cycle):
            noticed += 1
            if noticed == 3:
                return
    pytest.fail(f"only {noticed} lines")


def test_moves_are_timed_by_hand() -> None:
    # Speed 2, acceleration 1: 4 m takes 4/2 + 2/1 = 4 s, 3 m takes 2*sqrt(3) = 3.464... s.
    motion = {"speed": 2, "acceleration": 1, "settling": 0.5}
    problem = Problem.from_data(
        {
            "name": "by hand",
            "tick": 0.1,
            "hoist": {"lift": 3, "lower": 2, "loaded": motion, "empty": motion},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "A", "position": 4, "lower": 1},
                {"name": "B", "position": 7, "lift": 5, "settling": 0},
                {"name": "C", "position": 7},
                {"name": "Out", "kind": "unload", "position": 8},
            ],
            "recipe": [{"name": "R", "stage": [{"station": "A", "min": 1}]}],
            "times": {"loaded": [{"from": "A", "to": "Out", "time": 9.91}]},
            "crossing": [
                {"from": ["A"], "over": ["B"], "min_drip": 6},
                {"from": ["C"], "over": ["A"]},
            ],
        }
    )
    clock = Clock(problem)
    assert clock.loaded("In", "A", 0) == (30 + 40 + 5 + 10, False)
    assert clock.loaded("A", "B", 2) == (30 + 20 + 35 + 20, True)  # B is reached, not passed
    assert clock.loaded("B", "C", 0) == (50 + 20, False)  # no distance: nor settling
    assert clock.loaded("A", "Out", 2) == (160, True)  # table, and the crossing's drip
    assert clock.loaded("C", "In", 0) is None
    assert clock.loaded("C", "A", 0) is not None
    assert clock.empty("A", "B") == 35
    assert clock.empty("B", "A") == 35 + 5
    assert clock.empty("C", "B") == 0


@pytest.mark.parametrize(
    ("time", "least", "most"),
    [("5.0", 19, 20), ("5.01", 19, 19), ("5.0", 20, 20), ("5.01", 20, 20)],
)
def test_a_move_rounded_up_shortens_the_greatest_dwell(time: str, least: int, most: int) -> None:
    """By a tick, but for a fixed dwell, which may end up to a tick late."""
    problem = cell([0, 1, 2], 1, [least], [20]).to_data()
    problem["times"]["loaded"][0]["time"] = Decimal(time)
    line = next(lines(Problem.from_data(problem), 1))
    assert [stay.most for stay in line.stays] == [most]
    assert least_cycle(Problem.from_data(problem)) is not None


def test_a_root_is_rounded_exactly() -> None:
    assert whole_ticks((Fraction(1), Fraction(4)), Fraction(1, 10)) == (30, False)
    above = Fraction(4) + Fraction(1, 10**40)
    assert whole_ticks((Fraction(1), above), Fraction(1, 10)) == (31, True)
