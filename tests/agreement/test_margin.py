"""Margin asked for: the solver and brute force agree, and the checker holds both to it.

Brute force has slack and float from their meaning (``tests/reference/moves.py``). What a
schedule really forgives is tried one late start after the other, by the checker's other rules.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest

from hoistopt import InputError, Problem, Schedule, accepted, solve, verify
from tests.helpers.answers import least_ticks_alone
from tests.helpers.lines.late_lines import later
from tests.helpers.usual import first
from tests.reference.asked import asked, without_margin
from tests.reference.brute import least_cycle
from tests.reference.lines import FAMILIES

FIRST, EACH = 40_000, 60
SEEDS = range(FIRST, FIRST + EACH)
QUICK = {"plain"}
CASES = [
    pytest.param(family, marks=[pytest.mark.quick] if family in QUICK else [])
    for family in FAMILIES
]


@pytest.mark.parametrize("seeds", first(30, SEEDS))
@pytest.mark.parametrize("family", CASES)
def test_solver_and_brute_force_agree_with_a_margin(family: str, seeds: range) -> None:
    seen: Counter[str] = Counter()
    for seed in seeds:
        line = asked(FAMILIES[family](seed), seed)
        if line is None:
            continue
        least = least_cycle(*line)
        assert least_ticks_alone(*line) == least, f"{family} {seed}"
        plain = least_cycle(without_margin(line.problem), line.degree)
        seen["no schedule" if least is None else "longer" if least != plain else "the same"] += 1
        assert least is None or (plain is not None and plain <= least)
    assert seen["longer"] >= 2
    assert seen["the same"] >= 1


def _schedule(problem: Problem, degree: int) -> Schedule | None:
    try:
        return solve(problem, degree, workers=1).schedule
    except InputError:  # a window without a whole tick
        return None


@pytest.mark.parametrize("seeds", first(12, range(FIRST + EACH, FIRST + EACH + 25)))
@pytest.mark.parametrize("family", [name for name in FAMILIES if name != "tight"])
def test_every_start_may_be_as_late_as_asked(family: str, seeds: range) -> None:
    """One start later for good by every tick up to its float breaks none of the other rules,
    and every dwell could be longer by its slack."""
    tried = 0
    for seed in seeds:
        line = asked(FAMILIES[family](seed), seed)
        schedule = None if line is None else _schedule(*line)
        if line is None or schedule is None:
            continue
        problem, plain = line.problem, without_margin(line.problem)
        seen = accepted(problem, schedule)
        if any(stay.eased for stay in seen.stays):
            continue
        for number, leg in enumerate(seen.plan.legs):
            assert leg is not None
            late = problem.line_margin[1]
            stages = problem.recipe_by_name[leg.recipe].stages
            if 0 < leg.leaves <= len(stages):
                late = problem.margin_of(stages[leg.leaves - 1])[1]
            for ticks in range(1, int(Fraction(late) * schedule.ticks_per_unit) + 1):
                tried += 1
                assert verify(plain, later(schedule, number, ticks)) == (), f"{family} {seed}"
        for stay in seen.stays:
            if stay.most is not None and stay.dwell is not None:
                stage = problem.recipe_by_name[stay.recipe].stages[stay.stage - 1]
                assert stay.dwell + Fraction(problem.margin_of(stage)[0]) <= stay.most
    assert tried >= 9


@pytest.mark.parametrize("seeds", first(30, SEEDS))
@pytest.mark.parametrize(
    "family", ["plain", "slots", "carriers", "entering", "parallel", "resting"]
)
def test_the_checker_refuses_what_is_shorter_than_the_margin_allows(
    family: str, seeds: range
) -> None:
    refused: Counter[str] = Counter()
    for seed in seeds:
        line = asked(FAMILIES[family](seed), seed)
        # Where true times lie between ticks, less than the least planned may be possible.
        if line is None or line.problem.tick != 1 or "hoist" in line.problem.to_data():
            continue
        shortest = _schedule(without_margin(line.problem), line.degree)
        least = least_cycle(*line)
        if shortest is None or least == shortest.cycle:
            continue
        broken = verify(line.problem, shortest)
        assert broken, f"{family} {seed}: shorter than any schedule with the margin"
        assert {violation.rule for violation in broken} == {"margin"}
        refused["of them"] += 1
    assert refused["of them"] >= 3
