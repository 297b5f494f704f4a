"""Windows of programmes, and loads placed in step with a cycle: the checker judges them."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import pytest

import hoistopt
from hoistopt import LineState, Order
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.finite import FiniteInstance
from hoistopt.planning.from_cycle import paces
from hoistopt.problem import Problem
from hoistopt.solver.finite import Pace, Way, windows
from hoistopt.solver.finite.placing.board import Board
from hoistopt.solver.finite.placing.construct import first_board
from hoistopt.solver.finite.placing.stretches import in_stretches
from hoistopt.solver.finite.times import value
from hoistopt.solver.finite.windows import Windows
from tests.helpers.command import PROBLEMS
from tests.helpers.programmes.finite_cases import programme
from tests.reference.lines import FAMILIES


def ordered(problem: Problem, rng: Random) -> list[Order]:
    names = [recipe.name for recipe in problem.recipes]
    due = rng.random() < 0.5
    return [
        Order(
            rng.choice(names),
            1,
            Fraction(rng.choice((0, 0, rng.randint(0, 300)))),
            Fraction(rng.randint(300, 900)) if due else None,
            Fraction(rng.randint(1, 3)),
        )
        for _ in range(rng.randint(5, 8))
    ]


def built(problem: Problem, seed: int) -> FiniteInstance | None:
    rng = Random(seed)
    orders = ordered(problem, rng)
    try:
        return build_finite(problem, LineState(), orders, in_order=rng.random() < 0.3)
    except hoistopt.HoistoptError:
        return None


@pytest.mark.parametrize("family", FAMILIES)
def test_a_window_breaks_no_rule_and_is_never_worse(
    family: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(windows, "FIRST", 14)
    monkeypatch.setattr(windows, "FEWEST", 4)
    clock = Clock(Effort(None, 1))
    seen = better = 0
    for seed in range(8):
        problem = FAMILIES[family](seed).problem
        instance = built(problem, seed)
        board = None if instance is None else first_board(instance, clock)
        if board is None or instance is None:
            continue
        timing, looks = board.timing(), Windows(instance, Random(seed))
        for _ in range(4):
            found = looks.look(timing, clock)
            assert value(instance, found) <= value(instance, timing)
            better += value(instance, found) < value(instance, timing)
            replay = hoistopt.replay_programme(problem, programme(problem, instance, found))
            assert replay.violations == ()
            timing, seen = found, seen + 1
    assert seen >= 8 and better


def test_windows_side_by_side_break_no_rule() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "phillips_unger_1976.toml")
    instance = build_finite(problem, LineState(), [Order(problem.recipes[0].name, 14)])
    clock = Clock(Effort(None, 2))
    board = first_board(instance, clock)
    assert board is not None
    timing, looks = board.timing(), Windows(instance, Random(1))
    begun = timing.finish
    for _ in range(4):
        timing = looks.look(timing, clock)
        replay = hoistopt.replay_programme(problem, programme(problem, instance, timing))
        assert replay.violations == ()
    assert timing.finish < begun


def test_loads_in_step_follow_each_other_by_the_cycle_time() -> None:
    """Phillips and Unger (1976): the least cycle time is 521."""
    problem = hoistopt.load_problem(PROBLEMS / "phillips_unger_1976.toml")
    cycle = hoistopt.solve(problem, workers=1)
    assert cycle.cycle_time == 521 and cycle.schedule is not None
    recipe = problem.recipes[0].name
    instance = build_finite(problem, LineState(), [Order(recipe, 6)])
    alone = sorted(hoistopt.unroll(cycle.schedule, 1), key=lambda step: step.start)
    moves = [instance.moves[index] for index in instance.loads[0].moves]
    dwells = tuple(
        after.start - before.start - move.shortest
        for before, after, move in zip(alone, alone[1:], moves, strict=False)
    )
    way = Way(521, dwells, tuple(move.routes[0].target for move in moves))
    found = in_stretches(Board(instance), {recipe: Pace((way,))}, Clock())
    finishes = [board.timing().finish for board in found]
    assert min(finishes) == hoistopt.unroll(cycle.schedule, 6).steps[-1].start + moves[-1].shortest
    for board in found:
        replay = hoistopt.replay_programme(problem, programme(problem, instance, board.timing()))
        assert replay.violations == ()


def test_the_pace_of_a_group_of_tanks_is_that_of_a_cycle_with_a_load_for_each() -> None:
    problem = hoistopt.load_problem(PROBLEMS / "parallel_tanks.toml")
    recipe = problem.recipes[0].name
    orders = [Order(recipe, 6)]
    instance = build_finite(problem, LineState(), orders)
    group = max(len(move.targets) for move in instance.moves)
    assert group > 1
    cycle = hoistopt.solve(problem, group, workers=1)
    assert cycle.schedule is not None and cycle.status == "optimal"
    pace = paces(problem, instance, orders, Clock(Effort(None, 1)))[recipe]
    assert len(pace.ways) == group
    turn = sum(way.after for way in pace.ways)
    assert turn == cycle.schedule.time(cycle.schedule.cycle) * instance.ticks_per_unit
    for board in in_stretches(Board(instance), {recipe: pace}, Clock()):
        entered = [board.ways[number][0][0] for number in range(6)]
        assert entered[group] - entered[0] <= turn
        replay = hoistopt.replay_programme(problem, programme(problem, instance, board.timing()))
        assert replay.violations == ()
        break
