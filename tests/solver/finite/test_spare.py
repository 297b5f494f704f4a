"""Room below maxima in a programme: as much as there is, and nothing else any worse."""

from __future__ import annotations

from itertools import count, islice

import pytest

from hoistopt import Between, HoistAt, LineState, Order, Problem, Standing, load_problem
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.finite import FiniteInstance
from hoistopt.solver.finite import Timing, goes, least_finish, with_room
from tests.helpers.programmes.finite_cases import finite_case


def rooms(instance: FiniteInstance, timing: Timing) -> list[int]:
    """Ticks below each maximum."""
    found = [
        load.latest - timing.starts[load.moves[0]]
        for load in instance.loads
        if load.latest is not None
    ]
    for stay in instance.stays:
        if stay.most is not None:
            dwell = timing.starts[stay.departure] - timing.end(stay.arrival)
            found.append(stay.most - timing.routes[stay.arrival].shaved - dwell)
    return found


def test_a_load_that_could_leave_sooner_does_not_stand_to_its_maximum() -> None:
    """By hand: Bath to Store takes 12, Store to Out 14; the other load is out at 212 whatever."""
    problem = Problem.from_data(
        {
            "name": "By hand",
            "tick": 1,
            "cycle": {"mix": {"A": 1, "B": 1}},
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": "In", "kind": "load", "position": 0},
                {"name": "Bath", "position": 2},
                {"name": "Store", "position": 4},
                {"name": "Tank", "position": 6},
                {"name": "Out", "kind": "unload", "position": 8},
            ],
            "recipe": [
                {
                    "name": "A",
                    "stage": [
                        {"station": "Bath", "min": 30, "max": 60},
                        {"station": "Store", "min": 0},
                    ],
                },
                {"name": "B", "stage": [{"station": "Tank", "min": 200}]},
            ],
        }
    )
    state = LineState(
        (
            Standing("Bath", 1, Between.of(10), "A", load=1),
            Standing("Tank", 1, Between.of(0), "B", load=2),
        ),
        HoistAt("Bath", Between.of(0)),
    )
    instance = build_finite(problem, state)
    routes = tuple(move.routes[0] for move in instance.moves)
    late = Timing((50, 62, 200), routes)
    assert rooms(instance, late) == [0]
    assert with_room(instance, late, Clock(Effort(10, 1))).starts == (20, 32, 200)
    # A load that is already as good as it gets stays where it is.
    assert with_room(instance, Timing((20, 32, 200), routes), Clock()).starts == (20, 32, 200)


@pytest.mark.parametrize("family", ["plain", "tight", "everything"])
def test_no_load_is_out_later_and_no_rule_is_broken(family: str) -> None:
    cases = (case for seed in count() if (case := finite_case(family, seed)) is not None)
    seen = 0
    for case in islice(cases, 12):
        if case.instance is None:
            continue
        found = least_finish(case.instance, Clock(Effort(10, 1))).timing
        if found is not None:
            seen += _no_worse(case.instance, found)
    assert seen > 3


def test_the_same_of_two_hoists() -> None:
    problem = load_problem("problems/several/two_hoists.toml")
    instance = build_finite(problem, LineState(), [Order("Brackets", 2)])
    found = least_finish(instance, Clock(Effort(10, 1))).timing
    assert found is not None and _no_worse(instance, found)


def _no_worse(instance: FiniteInstance, timing: Timing) -> bool:
    better = with_room(instance, timing, Clock(Effort(10, 1)))
    assert better.routes == timing.routes and goes(instance, better)
    for load in instance.loads:
        assert better.end(load.moves[-1]) <= timing.end(load.moves[-1])
    assert min(rooms(instance, better), default=0) >= 0
    assert _counts(instance, better) >= _counts(instance, timing)
    return True


def _counts(instance: FiniteInstance, timing: Timing) -> int:
    """Little room counts more than much; of as good times the sooner ones."""
    longest, total = max(route.duration for route in timing.routes), 0
    for room in rooms(instance, timing):
        for part, weight in ((4, 16), (2, 4), (1, 1)):
            piece = min(room, -(-longest // part))
            total, room = total + weight * piece, room - piece
    return total * (len(instance.moves) + 1) - sum(timing.starts)
