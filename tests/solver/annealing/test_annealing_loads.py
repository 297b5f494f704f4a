"""Schedules of several loads from scratch: what the kernel says of overlaps, what comes of it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from benchmarks.lines.families import random_mix
from benchmarks.lines.real import real_line
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.checker import replay
from hoistopt.instance import Instance, build_instance
from hoistopt.problem import Problem
from hoistopt.solver.cyclic.annealing import (
    LoadsAnnealing,
    MergedAnnealing,
    can_anneal_loads,
    loads_rounds,
)
from hoistopt.solver.cyclic.annealing.loads import Loads, squeezed
from hoistopt.solver.cyclic.annealing.loads_kernel import anneal_loads
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.starts import one_by_one
from hoistopt.solver.cyclic.starts.groups import held_to
from hoistopt.solver.model.build import lowest_cycle
from hoistopt.solver.model.decode import starts_of
from tests.helpers.searched import one_at_a_time

SURCHARGE = 30


def annealed(loads: Loads, cycle: int, temperature: float, seed: int) -> tuple[np.ndarray, int]:
    """Starts that annealing at one temperature comes to, and their price."""
    starts = loads.soonest()
    best = starts.copy()
    lowest = anneal_loads(
        starts, cycle, loads.gaps, loads.least, loads.longest(cycle), loads.begins, loads.ends,
        loads.shared, temperature, SURCHARGE, 20, 20_000, np.random.default_rng(seed), best,
        1 << 60,
    )  # fmt: skip
    return best, lowest


def price(instance: Instance, starts: np.ndarray, cycle: int) -> int:
    """What overlaps of the hoist and in tanks cost, pair by pair, as the rules are stated."""
    pairs = [
        (int(starts[b] - starts[a]) % cycle, instance.gaps[a][b], instance.gaps[b][a])
        for a in range(len(starts))
        for b in range(a)
    ]
    for stay in instance.stays:
        for other in instance.stays_at[stay.places[0]]:
            if other.index < stay.index:
                since = int(starts[other.arrival] - starts[stay.arrival]) % cycle
                mine = int(starts[stay.departure] - starts[stay.arrival])
                its = int(starts[other.departure] - starts[other.arrival])
                ahead = mine + instance.gaps[stay.departure][other.arrival]
                behind = its + instance.gaps[other.departure][stay.arrival]
                pairs.append((since, ahead, behind))
    whole = 0
    for since, ahead, behind in pairs:
        late, early = ahead - since, behind - (cycle - since)
        ways = []
        if late > 0:
            ways.append(min(late, behind + since))
        if early > 0:
            ways.append(min(early, ahead + cycle - since))
        whole += min(ways) + SURCHARGE if ways else 0
    return whole


@pytest.mark.parametrize("temperature", [1.0, 40.0])
def test_dwells_keep_to_their_windows_and_overlaps_have_their_price(temperature: float) -> None:
    for problem in (random_mix("loose", 8, 2, 5), real_line("real-mix", 15, 1)):
        instance = build_instance(problem)
        loads = Loads.of(instance, [stay.places[0] for stay in instance.stays])
        cycle = lowest_cycle(instance) * 3 // 2
        for seed in range(2):
            starts, told = annealed(loads, cycle, temperature, seed)
            after = np.array([m.index for m in instance.moves if m.stage > 0])
            since = starts[after] - starts[after - 1]
            assert (since >= loads.least[after]).all()
            assert (since <= loads.longest(cycle)[after]).all()
            assert told == price(instance, starts, cycle)


def begun(problem: Problem) -> tuple[int, Incumbent, LoadsAnnealing]:
    """The cycle of one load at a time, and annealing that begins there."""
    instance = build_instance(problem)
    assert can_anneal_loads(instance)
    incumbent = one_at_a_time(instance)
    first = incumbent.best
    assert first is not None
    return first, incumbent, LoadsAnnealing(instance, incumbent, Clock(Effort(None, 1)))


@pytest.mark.parametrize(
    ("family", "tanks", "seed"),
    [
        ("real-mix", 20, 2),  # four recipes, six loads, two pairs of them alike
        ("group-mix", 4, 1),  # two recipes that share a group of tanks, six loads
    ],
)
def test_a_mix_of_many_moves_ends_far_below_one_load_at_a_time(
    family: str, tanks: int, seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(loads_rounds, "TRIALS", 30_000)
    problem = real_line(family, tanks, seed)
    found = []
    for _ in range(2):
        first, incumbent, annealing = begun(problem)
        annealing.near(3)
        assert incumbent.schedule is not None
        assert incumbent.schedule.cycle < 0.75 * first
        assert replay(problem, incumbent.schedule).clean
        found.append(incumbent.schedule)
    assert found[0] == found[1]  # same seed, one thread


def test_only_cycle_times_that_leave_few_overlaps_are_repaired(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(loads_rounds, "TRIALS", 30_000)
    mended: list[float] = []

    def noted(*given: Any) -> bool:
        mended.append(float(given[3].mean()))
        return mend(*given)

    mend = loads_rounds.mend
    monkeypatch.setattr(loads_rounds, "mend", noted)
    _, _, annealing = begun(real_line("real-mix", 20, 2))
    made, found = annealing.near(6)
    assert found <= len(mended) < made
    assert mended and max(mended) <= loads_rounds.FEW


def test_lines_of_one_load_or_with_free_moves_are_left_to_others() -> None:
    several = build_instance(real_line("real-mix", 15, 1))
    assert can_anneal_loads(several)
    assert not can_anneal_loads(replace(several, helped=frozenset({0})))
    assert not can_anneal_loads(build_instance(real_line("real-flow", 20, 0)))


@pytest.mark.parametrize("part", [0.9, 1.0, 1.1])
def test_a_schedule_squeezed_keeps_every_dwell_within_its_window(part: float) -> None:
    instance = build_instance(real_line("zinc", 2, 0), 2)
    schedule = one_by_one(instance)
    assert schedule is not None
    held = held_to(instance, schedule)
    loads = Loads.of(held, [stay.places[0] for stay in held.stays])
    given = np.array(starts_of(held, schedule))
    cycle = round(part * schedule.cycle)
    starts = squeezed(loads, given, schedule.cycle, cycle)
    first = np.array(held.first_moves)
    assert (starts[first] == given[first] * cycle // schedule.cycle).all()
    after = np.array([move.index for move in held.moves if move.stage > 0])
    since = starts[after] - starts[after - 1]
    assert (since >= loads.least[after]).all()
    assert (since <= loads.longest(cycle)[after]).all()
    if part == 1:
        assert (starts % cycle == given % cycle).all()


def test_the_merged_line_of_a_group_is_annealed_and_unrolled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(loads_rounds, "TRIALS", 300_000)
    problem = real_line("zinc", 3, 2)
    instance = build_instance(problem, 3)
    found = []
    for _ in range(2):
        incumbent = one_at_a_time(instance)
        first = incumbent.best
        MergedAnnealing(instance, incumbent, Clock(Effort(None, 1)), []).near(4)
        assert incumbent.schedule is not None
        found.append(incumbent.schedule)
    assert first is not None and found[0].cycle < 0.8 * first
    assert replay(problem, found[0]).clean
    assert found[0] == found[1]  # same seed, one thread
