"""Programmes of two hoists against brute force in absolute time, tick by tick.

The search and the brute force share nothing but the drawn line. All programmes are replayed by
the checker, which follows positions by physics of its own.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from random import Random

import pytest

import hoistopt
from hoistopt import Order, Problem
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InputError
from hoistopt.instance.build_finite import build_finite
from hoistopt.instance.several import Several
from hoistopt.schedule import LineState
from hoistopt.solver.finite import least_finish
from tests.helpers.hoists.two_hoists_states import hoists_at, loads_inside, state_of
from tests.reference.several import several, several_once

CHUNK = 5
CHUNKS = 80
SMALL = (2, 3, 9, 15)
"""Lines of the usual run."""


def ordered(seed: int) -> tuple[several.TwoHoists, Problem, list[int]] | None:
    """A line and when its loads may enter; None where a hoist does not reach a station."""
    line, rng = several.draw(seed), Random(f"once {seed}")
    try:
        problem = line.problem()
    except InputError:
        return None
    return line, problem, sorted(rng.choice((0, 0, 5, 12)) for _ in range(rng.choice((1, 2, 2, 3))))


def compare(seed: int) -> int:
    """Compare a line; how many travels its programme states."""
    drawn = ordered(seed)
    if drawn is None:
        return 0
    line, problem, releases = drawn
    orders = [Order("Parts", 1, release=release) for release in releases]
    found = hoistopt.plan(problem, orders, effort=Effort(30, 1))
    assert found.status == "optimal" and found.finish is not None, line
    assert several_once.least_finish(line, releases, int(found.finish)) == found.finish, line
    assert found.replay is not None and found.replay.clean, line
    assert found.programme is not None
    return len(found.programme.travels)


@pytest.mark.parametrize("seed", SMALL)
def test_the_least_finish_is_that_of_brute_force(seed: int) -> None:
    compare(seed)


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_the_least_finish_of_many_lines_is_that_of_brute_force(chunk: int) -> None:
    assert sum(compare(seed) for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK))


def from_state(seed: int) -> str | None:
    """Compare a line with loads in it and hoists somewhere; what it came to."""
    line, rng = several.draw(seed), Random(f"state {seed}")
    try:
        problem = line.problem()
    except InputError:
        return None
    at = hoists_at(line, rng)
    inside = loads_inside(line, rng, 0.45, lambda high: rng.randint(0, min(high, 3)))
    entering = rng.choice((0, 1, 1)) if inside else 1
    if len(inside) + entering > 3:
        return None
    state = state_of(inside, at)
    orders = [Order("Parts", entering)] if entering else []
    found = hoistopt.plan(problem, orders, state, effort=Effort(30, 1))
    most = 60 if found.finish is None else int(found.finish)
    least = several_once.least_finish(line, [0] * entering, most, inside, at)
    assert found.status == ("infeasible" if least is None else "optimal"), (line, state)
    assert found.finish == least, (line, state)
    assert found.replay is None or found.replay.clean
    return found.status


def test_from_a_state_the_least_finish_is_that_of_brute_force() -> None:
    seen = Counter(from_state(seed) for seed in range(25))
    assert seen["optimal"] > 8 and seen["infeasible"]


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(1, 20))
def test_from_many_states_the_least_finish_is_that_of_brute_force(chunk: int) -> None:
    seen = Counter(from_state(seed) for seed in range(chunk * 25, (chunk + 1) * 25))
    assert seen["optimal"] > 8


def test_a_cycle_of_two_hoists_runs_out_from_any_of_its_times() -> None:
    """Never later than by going on as in the cycle; the states are those of the cycle."""
    compared = sooner = carried = 0
    for seed in (2, 3, 9):
        drawn = ordered(seed)
        assert drawn is not None
        problem = drawn[1]
        schedule = hoistopt.solve(problem, 1, effort=Effort(20, 1)).schedule
        assert schedule is not None
        seen = hoistopt.replay_programme(problem, hoistopt.unroll(schedule, 8))
        entered = {run.load: run.start for run in seen.runs if run.stage == 0}
        for at in range(0, schedule.cycle, 3):
            now = 7 * schedule.cycle + at
            going_on = max(seen.out[load] for load, time in entered.items() if time <= now) - now
            try:
                state = hoistopt.state_in_cycle(problem, schedule, at)
            except InputError:  # on its way to a place between stations
                continue
            if state.empty:
                continue
            found = hoistopt.plan(problem, (), state, effort=Effort(20, 1))
            assert found.finish is not None and found.finish <= going_on
            compared, carried = compared + 1, carried + bool(state.carried)
            sooner += found.finish < going_on
    assert compared > 8 and carried


def test_hoists_that_need_not_keep_apart_are_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the separations between hoists a finish is found that no ways lead to."""
    expected = {}
    for seed in SMALL:
        drawn = ordered(seed)
        assert drawn is not None
        orders = [Order("Parts", 2)]
        found = hoistopt.plan(drawn[1], orders, effort=Effort(30, 1))
        expected[seed] = found.finish, build_finite(drawn[1], LineState(), orders)
    monkeypatch.setattr(Several, "apart", lambda *_: None)
    found = [
        (least_finish(instance, Clock(Effort(1, 1))), finish)
        for finish, instance in expected.values()
    ]
    assert any(one.timing is None or one.bound < finish for one, finish in found)


def test_a_programme_with_a_clearance_short_by_a_tick_is_refused() -> None:
    """A travel that starts later brings the hoists closer than they may be."""
    refused = 0
    for seed in SMALL:
        drawn = ordered(seed)
        assert drawn is not None
        found = hoistopt.plan(drawn[1], [Order("Parts", 2)], effort=Effort(30, 1))
        programme = found.programme
        assert programme is not None
        for number, travel in enumerate(programme.travels):
            late = replace(travel, start=travel.start + 1)
            others = (*programme.travels[:number], *programme.travels[number + 1 :])
            changed = replace(programme, travels=(*others, late))
            seen = hoistopt.replay_programme(drawn[1], changed)
            refused += any(v.rule == "clearance" for v in seen.violations)
    assert refused > 3


def test_two_hoists_with_nothing_between_them_are_two_lines() -> None:
    """Ranges that do not meet: the finish is the later of two lines apart."""
    stations = [
        {"name": "In 1", "kind": "load", "position": 0},
        {"name": "Wash", "position": 2},
        {"name": "Out 1", "kind": "unload", "position": 4},
        {"name": "In 2", "kind": "load", "position": 10},
        {"name": "Dip", "position": 13},
        {"name": "Out 2", "kind": "unload", "position": 15},
    ]

    def recipe(name: str, tank: str, number: int, least: int) -> dict[str, object]:
        stage = {"station": tank, "min": least, "max": least + 5}
        ends = {"load": f"In {number}", "unload": f"Out {number}"}
        return {"name": name, "stage": [stage], **ends}

    hoist = {"lift": 2, "lower": 2, "loaded": {"speed": 1}, "empty": {"speed": 1}}
    recipes = [recipe("A", "Wash", 1, 20), recipe("B", "Dip", 2, 33)]
    both = Problem.from_data(
        {
            "name": "Two lines on one track, invented",
            "tick": 1,
            "hoist": [
                {**hoist, "name": "L", "to": "Out 1"},
                {**hoist, "name": "R", "from": "In 2"},
            ],
            "track": {"clearance": 2},
            "station": stations,
            "recipe": recipes,
            "cycle": {"mix": {"A": 1, "B": 1}},
        }
    )
    apart = []
    for part, name in ((stations[:3], "A"), (stations[3:], "B")):
        kept = [one for one in recipes if one["name"] == name]
        data = {"name": "One", "tick": 1, "hoist": hoist, "station": part, "recipe": kept}
        alone = hoistopt.plan(Problem.from_data(data), [Order(name, 3)], effort=Effort(20, 1))
        apart.append(alone.finish)
    found = hoistopt.plan(both, [Order("A", 3), Order("B", 3)], effort=Effort(20, 1))
    assert found.status == "optimal" and found.finish == max(apart)
    assert found.programme is not None and not found.programme.travels
