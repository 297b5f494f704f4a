"""Empty travel slower than a way round by other moves means one thing to all who judge it.

Solver, checker, brute force and both event graphs hold the hoist to its direct way between
any two moves, whichever moves lie between: DEVELOPERS.md, "Hoist".
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import permutations
from random import Random
from typing import Any

import pytest

from hoistopt import Schedule, Step, replay, slack_limits, verify
from hoistopt.checker import plan_of
from hoistopt.graph.algorithms.cycle_ratio import least_cycle_of
from hoistopt.graph.from_instance import instance_graph
from hoistopt.graph.from_replay import plan_graph
from hoistopt.graph.pattern import pattern_of
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from tests.helpers.answers import answer
from tests.helpers.lines.slow_way import slow_way_back
from tests.helpers.usual import first
from tests.reference.brute import best_schedule
from tests.reference.exhaustive import least_cycle_by_ticks, works
from tests.reference.moves import lines


def scattered(seed: int) -> Problem:
    """Three or four tanks; a third of the empty ways far longer than any way round."""
    rng = Random(f"slow {seed}")
    names = ["In", *"ABCD"[: rng.randint(3, 4)], "Out"]
    pairs = list(permutations(names, 2))
    loaded = [{"from": a, "to": b, "time": rng.randint(2, 5)} for a, b in pairs]
    empty = [{"from": a, "to": b, "time": rng.choice((1, 2, rng.randint(8, 30)))} for a, b in pairs]
    stages: list[dict[str, Any]] = []
    for name in names[1:-1]:
        least = rng.randint(0, 12)
        stages.append({"station": name, "min": least, "max": least + rng.randint(0, 25)})
    return Problem.from_data(
        {
            "name": "Measured",
            "tick": 1,
            "times": {"loaded": loaded, "empty": empty},
            "station": [
                {"name": "In", "kind": "load"},
                *({"name": name} for name in names[1:-1]),
                {"name": "Out", "kind": "unload"},
            ],
            "recipe": [{"name": "Part", "stage": stages}],
        }
    )


def by_way_of_others(problem: Problem, schedule: Schedule) -> bool:
    """Whether the hoist has its time from each move to the next one, if not to all."""
    (line,) = lines(problem, 1)
    starts = {step.stage: step.start for step in schedule}
    times = [starts[move.step] for move in line.moves]
    order = sorted(range(len(times)), key=lambda move: times[move])
    following = zip(order, [*order[1:], order[0]], strict=True)
    return works(line, times, schedule.cycle) and all(
        (times[b] - times[a] - 1) % schedule.cycle + 1 >= line.gap[a][b] for a, b in following
    )


def told(violations: Any) -> set[str]:
    return {violation.rule for violation in violations}


def test_a_way_that_other_moves_always_shorten_counts_for_all() -> None:
    # See slow_way: 81 is least, as C's move at 45 ends at 50 and 46 later A's may start.
    problem = slow_way_back(46)
    schedule = answer(problem).schedule
    assert schedule is not None and schedule.cycle == 81
    witness = best_schedule(problem, 1)
    assert witness is not None and witness.cycle == 81
    assert least_cycle_by_ticks(problem, 1, 81) == 81
    instance = build_instance(problem, 1)
    graph = instance_graph(instance, pattern_of(problem, instance, schedule))
    assert least_cycle_of(graph).cycle == 81
    of_checker = plan_graph(plan_of(problem, schedule))
    assert least_cycle_of(of_checker).cycle == 81 * of_checker.per_unit
    sooner = Schedule(80, Fraction(1), schedule.steps)
    assert by_way_of_others(problem, sooner)
    (violation,) = verify(problem, sooner)
    assert violation.rule == "hoist in two places"
    assert (violation.found, violation.limit) == (95, 96)
    assert violation.message == (
        "A, step 2, cycle 2: lifting starts at 95 s, but where the steps since are left out, for "
        "want of a carrier, the hoist ends step 4 at Out at 50 s and needs 46 s to get here, so "
        "it can lift from 96 s on (1 s too early)"
    )


def test_the_last_step_may_not_be_later_for_good_than_the_slow_way_leaves() -> None:
    # C's move at 44 at the earliest: of its window of 2 it has nothing left towards A.
    problem = slow_way_back(46)
    schedule = answer(problem).schedule
    assert schedule is not None
    for cycle in (81, 82, 83):
        longer = Schedule(cycle, Fraction(1), schedule.steps)
        assert verify(problem, longer) == ()
        move = slack_limits(problem, longer).moves[-1]
        assert (move.source, move.for_good) == ("C", min(cycle - 81, 2))


@pytest.mark.parametrize("seeds", first(15, range(45)))
def test_all_agree_where_the_direct_way_is_the_longer_one(seeds: range) -> None:
    found = stricter = 0
    for seed in seeds:
        problem = scattered(seed)
        witness = best_schedule(problem, 1)
        schedule = answer(problem).schedule
        assert (witness is None) == (schedule is None)
        if witness is None or schedule is None:
            continue
        found += 1
        assert schedule.cycle == witness.cycle
        instance = build_instance(problem, 1)
        graph = instance_graph(instance, pattern_of(problem, instance, schedule))
        assert least_cycle_of(graph).cycle == witness.cycle
        steps = tuple(
            Step(s.start, s.source, s.target, s.recipe, s.load, s.stage, s.boundaries)
            for s in witness.steps
        )
        of_witness = Schedule(witness.cycle, Fraction(1), steps)
        again = [s.start for s in schedule] == [s.start for s in of_witness]
        for each in (schedule,) if again else (schedule, of_witness):
            seen = replay(problem, each)
            assert seen.clean
            of_checker = plan_graph(seen.plan)
            assert least_cycle_of(of_checker).cycle == witness.cycle * of_checker.per_unit
            stricter += _sooner(problem, each)
    assert found >= len(seeds) // 2
    assert stricter >= 2


def _sooner(problem: Problem, schedule: Schedule) -> int:
    """Shorter schedules that only the ways from move to move allow, all refused."""
    count = 0
    for cycle in range(schedule.cycle - 3, schedule.cycle):
        for number in range(len(schedule.steps)):
            for by in (-2, -1, 1, 2) if number else (-2, -1, 0, 1, 2):  # as it is only once
                moved = list(schedule.steps)
                moved[number] = replace(moved[number], start=moved[number].start + by)
                if not all(0 <= step.start < cycle for step in moved):
                    continue
                shorter = Schedule(cycle, Fraction(1), tuple(moved))
                broken = verify(problem, shorter)
                assert broken, "shorter than the brute force found"
                if by_way_of_others(problem, shorter):
                    count += 1
                    assert told(broken) == {"hoist in two places"}
    return count
