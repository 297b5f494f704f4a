"""Moves taken out and put back: least times, the least cycle of an order, and what comes of it."""

from __future__ import annotations

from dataclasses import fields
from itertools import pairwise, permutations

import networkx as nx
import numpy as np
import pytest

from benchmarks.lines.families import random_line, random_mix
from benchmarks.lines.real import real_line
from hoistopt import Problem, Schedule
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.checker import replay
from hoistopt.instance import Instance, Place, Route, Stay, build_instance
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic.annealing.tanks import numbered_as_they_enter
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.order import schedule_in_order
from hoistopt.solver.cyclic.reinsertion import Reinsertion, rounds
from hoistopt.solver.cyclic.reinsertion.arrays import begun, with_options
from hoistopt.solver.cyclic.reinsertion.kernel import reinsert
from hoistopt.solver.cyclic.reinsertion.line import BLOCK, NEVER, Line, Space, Tanks
from hoistopt.solver.cyclic.reinsertion.network import close, follows, put_between
from hoistopt.solver.cyclic.reinsertion.order import find_critical, least_cycle_of
from hoistopt.solver.cyclic.reinsertion.tanks import set_tank, set_tanks
from hoistopt.solver.cyclic.starts import one_by_one
from hoistopt.solver.model.build import lowest_cycle
from hoistopt.solver.model.constraints import RULES
from hoistopt.solver.model.decode import decode_starts
from tests.helpers.searched import one_at_a_time, small_lines
from tests.reference.lines import FAMILIES


def waits(random: np.random.Generator, moves: int, low: int) -> dict[tuple[int, int], int]:
    """Random least times between some moves."""
    pairs = [pair for pair in permutations(range(moves), 2) if random.random() < 0.35]
    return {pair: int(random.integers(low, 12)) for pair in pairs}


def graph_of(given: dict[tuple[int, int], int], moves: int) -> nx.DiGraph:
    """The graph whose shortest paths are the least times, negated."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(moves))
    graph.add_weighted_edges_from((a, b, -wait) for (a, b), wait in given.items())
    return graph


def agrees(times: np.ndarray, graph: nx.DiGraph) -> bool:
    """Whether least times are those of NetworkX's shortest paths."""
    for a, lengths in nx.all_pairs_bellman_ford_path_length(graph):
        for b in graph:
            known = times[a, b] > NEVER // 2
            if bool(known) is not (b in lengths):
                return False
            if b in lengths and times[a, b] != -lengths[b]:
                return False
    return True


def test_least_times_are_the_longest_paths_of_networkx() -> None:
    random = np.random.default_rng(0)
    kept, put = [], 0
    for _ in range(60):
        moves = int(random.integers(3, 11))
        given = waits(random, moves, -30)
        graph = graph_of(given, moves)
        times, rows = np.full((moves, 16), NEVER, np.int32), np.zeros((BLOCK, 16), np.int32)
        np.fill_diagonal(times, 0)
        for (a, b), wait in given.items():
            times[a, b] = wait
        kept.append(bool(close(times, moves, rows)))
        assert kept[-1] is not nx.negative_edge_cycle(graph)
        if not kept[-1]:
            continue
        assert agrees(times, graph)
        move, before, after = (int(each) for each in random.permutation(moves)[:3])
        wait, next_wait = (int(each) for each in random.integers(-20, 6, 2))
        late = (wait + times[move, before], next_wait + times[after, move])
        if max(*late, wait + next_wait + times[after, before]) > 0:
            continue  # cannot be kept
        put += 1
        then = np.zeros_like(times)
        put_between(times, then, move, before, after, wait, next_wait, rows[0])
        more = {(before, move): wait, (move, after): next_wait}
        more = {pair: max(given.get(pair, least), least) for pair, least in more.items()}
        assert agrees(then, graph_of({**given, **more}, moves))
    assert 10 < sum(kept) < 50
    assert put > 5


def lines() -> list[tuple[Problem, int]]:
    """Lines of several loads: like ones, mixes, groups, a station of several places."""
    return [
        (random_line("narrow", 8, 0), 2),
        (random_line("loose", 6, 1, shuffled=True), 3),
        (random_mix("loose", 6, 2, 1), 1),
        (real_line("zinc", 3, 1), 3),
        (real_line("group-mix", 2, 0), 1),
        (real_line("roomy-dryer", 4, 0), 4),
    ]


def room_for(instance: Instance) -> Space:
    return Space.of(len(instance.moves), len(instance.moves))


@pytest.mark.parametrize("number", range(5))  # the last one has a rule more: first in, first out
def test_the_least_cycle_of_an_order_is_that_of_the_whole_model(number: int) -> None:
    problem, degree = lines()[number]
    instance = build_instance(problem, degree)
    random = np.random.default_rng(number)
    known = one_by_one(instance)
    assert known is not None
    line, option, starts, _ = begun(instance, known)
    tanks, space = Tanks.of(option), room_for(instance)
    best, best_option, cycle, lowest = starts.copy(), option.copy(), known.cycle, 1
    for _ in range(3):  # orders as they come
        space.begin_with(starts, cycle)
        cycle, _ = reinsert(
            line, tanks, starts, cycle, lowest, 0.1, 20, random, space, best, best_option, 1 << 40
        )
        space.begin_with(starts, cycle)
        order, wraps = space.other_order, space.other_wraps
        for longer in (0, 50):
            found = least_cycle_of(line, tanks, cycle + longer, lowest, order, wraps, space)
            assert found == cycle
        held = with_options(instance, line, option)
        numbered, was = numbered_as_they_enter(held, starts, cycle)
        place = np.argsort(order)[was]  # in the order, of the moves numbered anew
        first = place[numbered.first_moves[0]]
        as_numbered = np.argsort((place - first) % len(order)).tolist()
        assert schedule_in_order(numbered, as_numbered, Incumbent(1)) == cycle
        count = find_critical(line, tanks, cycle, order, wraps, space)
        assert _late(tanks, line, order, wraps, cycle - 1, space, count) > 0
        assert _late(tanks, line, order, wraps, cycle, space, count) <= 0


def _late(  # type: ignore[no-untyped-def]
    tanks, line, order, wraps, cycle, space, count
) -> int:
    """By how much a circle of critical moves, as it was found, is longer than the cycle allows."""
    circle = space.critical[:count].tolist()[::-1]
    place = {move: at for at, move in enumerate(order.tolist())}
    whole = 0
    for before, after in pairwise([*circle, circle[0]]):
        ways = []
        if order[(place[before] + 1) % len(order)] == after:
            ways.append(follows(tanks, order, len(order), wraps, cycle, place[before]))
        if after == before + 1 and after != line.begins[after]:
            ways.append(tanks.least[after])
        if before == after + 1 and before != line.begins[before]:
            most = tanks.most[before]
            alone = line.slot[before, tanks.option[before]] >= 0
            room = (cycle if alone else len(order) * cycle) - tanks.gaps[before, after]
            ways.append(-(room if most < 0 else min(most, room)))
        whole += max(ways)
    return whole


def line_of(instance: Instance) -> tuple[Line, Tanks]:
    """The arrays of a line, with the tanks of one load at a time."""
    known = one_by_one(instance)
    assert known is not None
    line, option, _, _ = begun(instance, known)
    tanks = Tanks.of(option)
    set_tanks(line, tanks)
    return line, tanks


def test_another_tank_changes_what_the_line_with_that_tank_says() -> None:
    instance = build_instance(real_line("group-mix", 6, 1), 1)
    line, tanks = line_of(instance)
    option = tanks.option
    random = np.random.default_rng(0)
    choosing = np.flatnonzero(line.options > 1)
    assert len(choosing)
    for _ in range(20):
        move = int(random.choice(choosing))
        set_tank(line, tanks, move, int(random.integers(line.options[move])))
        held = with_options(instance, line, option)
        assert (tanks.gaps == np.array(held.gaps)).all()
        for stay in held.stays:
            route = held.moves[stay.arrival].routes[0]
            assert tanks.least[stay.departure] == route.duration + stay.least
            if stay.most is not None:
                most = route.duration - route.shaved + stay.most
                assert tanks.most[stay.departure] == most


@pytest.mark.parametrize("number", range(6))
def test_a_schedule_as_arrays_and_back_is_the_same(number: int) -> None:
    problem, degree = lines()[number]
    instance = build_instance(problem, degree)
    known = least_cycle(instance, Clock(Effort(3.0, 2))).schedule
    assert known is not None
    line, option, starts, tells_places = begun(instance, known)
    assert tells_places
    again = decode_starts(with_options(instance, line, option), starts.tolist(), known.cycle)
    assert set(again.steps) == set(known.steps) and again.cycle == known.cycle


def put_back(instance: Instance, times: int, seed: int = 0) -> tuple[int, Schedule]:
    """The cycle of one load at a time, and what taking moves out and putting them back makes."""
    incumbent = one_at_a_time(instance)
    first = incumbent.best
    Reinsertion(instance, incumbent, Clock(Effort(None, 1, seed))).near(times)
    assert first is not None and incumbent.schedule is not None
    return first, incumbent.schedule


@pytest.mark.parametrize("number", range(6))
def test_what_is_put_back_is_a_schedule_far_shorter_than_one_load_at_a_time(
    number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rounds, "TRIES", 600)
    problem, degree = lines()[number]
    instance = build_instance(problem, degree)
    first, schedule = put_back(instance, 2)
    assert replay(problem, schedule).clean
    assert schedule.cycle < 0.65 * first
    assert put_back(instance, 2)[1] == schedule  # same seed, one thread
    tanks = {step.target for step in schedule}
    if any(len(stay.places) > 1 for stay in instance.stays):
        assert len(tanks) > len({step.target for step in one_by_one(instance) or ()})


@pytest.mark.parametrize(
    ("family", "seeds"),
    [
        ("plain", range(12)),
        ("parallel", range(12)),
        ("slots", range(12)),
        ("turns", range(16)),  # in 13 the hoist is somewhere sooner with a load than without
        ("mixed", range(12)),
        ("entering", range(16)),
        ("carriers", range(25)),
        ("resting", range(25)),
    ],
)
def test_no_schedule_breaks_a_rule_or_is_shorter_than_the_least(
    family: str, seeds: range, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rounds, "TRIES", 600)
    tried = reached = 0
    for seed, instance in small_lines(family, seeds):
        if instance.jobs < 2 or one_by_one(instance) is None:
            continue
        least = least_cycle(instance, Clock(Effort(None, 2)))
        if least.schedule is None:
            continue
        _, schedule = put_back(instance, 3)
        assert replay(FAMILIES[family](seed).problem, schedule).clean
        assert schedule.cycle >= least.schedule.cycle
        tried += 1
        reached += schedule.cycle == least.schedule.cycle
    assert tried and 3 * reached >= tried


def test_a_mix_that_shares_a_group_comes_near_its_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rounds, "TRIES", 600)
    problem = real_line("group-mix", 4, 1)
    _, schedule = put_back(build_instance(problem), 3)
    assert schedule.cycle < 1.25 * lowest_cycle(build_instance(problem))
    assert replay(problem, schedule).clean


def test_rules_that_the_arrays_do_not_tell_are_kept_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(rounds, "TRIES", 600)
    for family, tanks in (("few-carriers", 4), ("hoist-return", 2)):
        problem = real_line(family, tanks, 0)
        instance = build_instance(problem, tanks)
        assert not rounds.says_all(instance)
        first, schedule = put_back(instance, 2)
        assert replay(problem, schedule).clean
        assert schedule.cycle < first


def test_every_rule_was_looked_at_for_what_the_arrays_tell() -> None:
    """A new rule or field: see that `says_all` refuses it, or the arrays tell it; then add it."""
    assert set(RULES) == {"hoist", "dwell", "tank", "capacity", "rest", "ends", "order"}
    known = {
        Place: "name capacity fifo rest",
        Stay: "index arrival departure places least most label nominal room",
        Route: "source target duration excess shaved pad hoist path",
        Instance: "places moves empty stays turnrounds first_moves unloading alike order_given "
        "carriers shortest longest degree recipes ticks_per_unit helped several",
    }
    for kind, names in known.items():
        assert {field.name for field in fields(kind)} == set(names.split())


def test_a_tank_changed_back_leaves_all_as_it_was() -> None:
    instance = build_instance(real_line("two-groups", 4, 0), 4)
    line, tanks = line_of(instance)
    option = tanks.option
    before = [array.copy() for array in tanks]
    changed = [int(move) for move in np.flatnonzero(line.options > 1)]
    old = [int(option[move]) for move in changed]
    for move in changed:
        set_tank(line, tanks, move, (int(option[move]) + 1) % int(line.options[move]))
    assert any((array != was).any() for array, was in zip(tanks, before, strict=True))
    for move, which in zip(changed, old, strict=True):
        set_tank(line, tanks, move, which)
    assert all((array == was).all() for array, was in zip(tanks, before, strict=True))
