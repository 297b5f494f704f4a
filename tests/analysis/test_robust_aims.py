"""Every aim comes to the best there is: against all schedules of tiny lines, tick by tick."""

from __future__ import annotations

from functools import partial

import pytest

from hoistopt import solve, verify
from hoistopt.graph.kept_margin import keeps_margins
from hoistopt.graph.spread_margin import drawn_out
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import lexicographic
from hoistopt.solver.lexicographic import limited, settle
from tests.helpers.clocks import clock
from tests.helpers.lines.small_schedules import best, every_schedule, tiny_line
from tests.helpers.usual import each, first

ORDERS = (
    ("slack", "float", "cycle"),
    ("float", "slack", "travel"),
    ("travel", "loads", "nominal"),
    ("loads", "nominal", "cycle"),
    ("nominal", "slack", "loads"),
    ("slack", "travel", "float"),
    ("cycle", "nominal", "travel"),
)


def settled(problem: Problem, degree: int, most: int, aims: tuple[str, ...]) -> list[int]:
    found = settle(limited(build_instance(problem, degree), most), aims, clock(workers=1))
    assert found.schedule is not None
    assert verify(problem, found.schedule) == ()
    assert all(one.proven for one in found.attained)
    assert [one.name for one in found.attained] == list(aims)
    return [one.value for one in found.attained]


def wrong(seed: int) -> list[str]:
    """Where aims do not come to what trying everything says."""
    problem, degree = tiny_line(seed)
    shortest = solve(problem, degree, workers=1).schedule
    if shortest is None:
        return []
    most = shortest.cycle + 3
    tried = [*every_schedule(problem, degree, shortest.cycle, most)]
    assert tried
    nominal = [
        None if stage.nominal is None else int(stage.nominal)
        for _ in range(degree)
        for stage in problem.recipes[0].stages
    ]
    found = []
    for aims in ORDERS:
        wanted = best(tried, aims, nominal)
        seen = settled(problem, degree, most, aims)
        if seen != wanted:
            found.append(f"{seed}: {aims} are {seen}, should be {wanted}")
    return found


@pytest.mark.parametrize("seed", each(12, range(24)))
def test_aims_come_to_the_best_there_is(seed: int) -> None:
    assert wrong(seed) == []


@pytest.mark.parametrize("seeds", first(6, range(12)))
def test_with_time_limited_but_enough_the_aims_come_to_the_same(seeds: range) -> None:
    """The search then begins with what the schedule at hand has, and with its order drawn out."""
    tried = 0
    for seed in seeds:
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        if shortest is None:
            continue
        most = shortest.cycle + 3
        instance = limited(build_instance(problem, degree), most)
        for aims in (*ORDERS[:2], ("travel", "loads", "float"), ("cycle", "slack", "loads")):
            found = settle(
                instance,
                aims,
                clock(workers=1),
                each=60,
                known=shortest,
                keeps=partial(keeps_margins, problem, instance),
                drawn_out=partial(drawn_out, problem, instance),
            )
            assert found.schedule is not None and found.schedule.cycle <= most
            assert verify(problem, found.schedule) == ()
            assert all(one.proven for one in found.attained)
            assert [one.value for one in found.attained] == settled(problem, degree, most, aims)
            tried += 1
    assert tried > 5


@pytest.mark.parametrize("aim", ["travel", "nominal", "loads", "cycle"])
def test_an_aim_forgotten_is_noticed(aim: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each objective replaced by one that is always the same."""
    monkeypatch.setitem(lexicographic.OBJECTIVES, aim, lambda variables: 0)
    assert any(wrong(seed) for seed in range(24))


@pytest.mark.parametrize("aim", ["slack", "float"])
def test_a_margin_forgotten_is_noticed(aim: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each margin replaced by one that asks for a tick less."""
    asked = lexicographic.MARGINS[aim]
    monkeypatch.setitem(
        lexicographic.MARGINS, aim, lambda line, ticks, given: asked(line, max(0, ticks - 1), given)
    )
    assert any(wrong(seed) for seed in range(24))


def test_what_is_settled_first_is_kept() -> None:
    """Aims in two orders that pull against each other end differently on some line."""
    different = 0
    for seed in range(12):
        problem, degree = tiny_line(seed)
        shortest = solve(problem, degree, workers=1).schedule
        if shortest is not None:
            most = shortest.cycle + 3
            one = settled(problem, degree, most, ("slack", "float"))
            two = settled(problem, degree, most, ("float", "slack"))[::-1]
            assert one[0] >= two[0]
            different += one != two
    assert different
