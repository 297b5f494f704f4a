"""Schedules made from scratch: what the kernel says of overlaps, and what comes of it."""

from __future__ import annotations

import threading

import numpy as np
import pytest

from benchmarks.lines.families import random_line, random_mix
from hoistopt import verify
from hoistopt.instance import build_instance
from hoistopt.problem import Problem
from hoistopt.solver import least_cycle
from hoistopt.solver.bounds import horizon
from hoistopt.solver.cyclic import neighbourhoods
from hoistopt.solver.cyclic.annealing import can_anneal, rounds
from hoistopt.solver.cyclic.annealing import chain as chain_module
from hoistopt.solver.cyclic.annealing.chain import Chain, chain_of
from hoistopt.solver.cyclic.annealing.kernel import anneal, overlaps
from hoistopt.solver.cyclic.annealing.rounds import Annealing
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.model.build import lowest_cycle
from tests.helpers.clocks import clock
from tests.helpers.searched import begun, stops_when_told

LINES = {
    "flow": random_line("loose", 12, 5),
    "shuffled": random_line("very-loose", 12, 5, shuffled=True),
    "without maxima": random_line("open", 12, 1),
    "narrow": random_line("narrow", 20, 2),
}
ROUNDS = {"narrow": 6}
"""Of lines that need more than three rounds to come near the optimum, as they begin so far off."""


def annealed(chain: Chain, cycle: int, temperature: float, seed: int) -> tuple[np.ndarray, int]:
    """Starts that annealing at one temperature comes to, and their price."""
    best = np.zeros(len(chain), np.int64)
    lowest = anneal(
        chain.soonest(), cycle, chain.gaps, chain.least, chain.longest(cycle), temperature,
        30, 20, 20_000, np.random.default_rng(seed), best, 1 << 60,
    )  # fmt: skip
    return best, lowest


@pytest.fixture
def from_scratch(monkeypatch: pytest.MonkeyPatch) -> None:
    """No looks around the schedule there is, and short rounds with little work on each."""
    monkeypatch.setattr(neighbourhoods, "WORK", 0.06)
    monkeypatch.setattr(rounds, "FIRST_LOOKS", 0)
    monkeypatch.setattr(rounds, "TRIALS", 200_000)


@pytest.mark.parametrize("line", sorted(LINES))
@pytest.mark.parametrize("temperature", [1.0, 40.0])
def test_dwells_keep_to_their_windows_and_overlaps_have_their_price(
    line: str, temperature: float
) -> None:
    chain = chain_of(build_instance(LINES[line]))
    cycle = 1500
    for seed in range(3):
        starts, price = annealed(chain, cycle, temperature, seed)
        dwells = np.diff(starts)
        assert (dwells >= chain.least[1:]).all()
        assert (dwells <= chain.longest(cycle)[1:]).all()
        # Counted once more, pair by pair, as the rule of the hoist is stated.
        expected = 0
        for a in range(len(chain)):
            for b in range(a):
                since = int(starts[b] - starts[a]) % cycle
                late = chain.gaps[a, b] - since
                early = chain.gaps[b, a] - (cycle - since)
                if late > 0 or early > 0:
                    assert not (late > 0 and early > 0)
                    other = since + chain.gaps[b, a] if late > 0 else cycle - since
                    other += 0 if late > 0 else chain.gaps[a, b]
                    expected += min(max(late, early), int(other)) + 30
        assert price == expected


def test_a_cold_end_has_fewer_overlaps_than_a_hot_one() -> None:
    chain = chain_of(build_instance(random_line("loose", 20, 1)))
    hot = [annealed(chain, 700, 500.0, seed)[1] for seed in range(5)]
    cold = [annealed(chain, 700, 5.0, seed)[1] for seed in range(5)]
    assert max(cold) < min(hot)


@pytest.mark.usefixtures("from_scratch")
def test_starts_without_overlap_are_a_schedule() -> None:
    seen = 0
    for name in ("flow", "without maxima", "shuffled"):
        instance = build_instance(LINES[name])
        chain = chain_of(instance)
        incumbent = begun(instance)
        for part in (1.0, 0.8, 0.7):
            assert incumbent.best is not None
            cycle = int(part * incumbent.best)
            search = Annealing(instance, incumbent, seed=0)
            starts = search._annealed(cycle)
            assert starts is not None
            if overlaps(starts, cycle, chain.gaps).any():
                continue
            found = search._repaired(starts, cycle, cycle + 1)
            assert found is not None
            assert verify(LINES[name], found) == ()
            assert found.cycle <= cycle
            seen += 1
    assert seen >= 3


@pytest.mark.usefixtures("from_scratch")
@pytest.mark.parametrize("line", sorted(LINES))
def test_rounds_end_near_the_optimum(line: str) -> None:
    instance = build_instance(LINES[line])
    incumbent = begun(instance)
    begin = incumbent.best
    search = Annealing(instance, incumbent, seed=0)
    for _ in range(ROUNDS.get(line, 3)):  # the fewer, the more each has to find
        search.look()
    best = incumbent.schedule
    assert best is not None and begin is not None
    assert verify(LINES[line], best) == ()
    least = least_cycle(instance, clock(workers=1)).schedule
    assert least is not None
    assert least.cycle <= best.cycle <= min(begin, 1.1 * least.cycle)


@pytest.mark.usefixtures("from_scratch")
def test_the_same_seed_makes_the_same_schedules() -> None:
    instance = build_instance(random_line("loose", 16, 4))
    found = []
    for seed in (3, 3, 4):
        incumbent = begun(instance)
        search = Annealing(instance, incumbent, seed)
        for _ in range(4):
            search.look()
        found.append(incumbent.schedule)
    assert found[0] == found[1]
    assert found[0] != found[2]


def test_another_thread_stops_it_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rounds, "FIRST_LOOKS", 0)
    monkeypatch.setattr(rounds, "TRIALS", 10**9)  # a round of minutes
    instance = build_instance(random_line("loose", 30, 0))
    search = Annealing(instance, begun(instance), seed=0)
    stops_when_told(search, after=0.5, within=40)


@pytest.mark.usefixtures("from_scratch")
def test_it_rests_where_nothing_better_turns_up_and_wakes_when_told_to_stop(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(rounds, "TIRED", 1)
    monkeypatch.setattr(rounds, "REST", 10**6)
    instance = build_instance(random_line("loose", 8, 0))
    least = least_cycle(instance, clock(workers=1)).schedule
    assert least is not None
    incumbent = Incumbent(lowest_cycle(instance))
    incumbent.keep(least, [])  # there is nothing better
    search = Annealing(instance, incumbent, seed=0)
    resting, rest = threading.Event(), search._rest
    monkeypatch.setattr(search, "_rest", lambda seconds: resting.set() or rest(seconds))
    stops_when_told(search, after=0.5, within=20, once=resting)
    assert incumbent.schedule is least


def test_without_a_schedule_there_is_no_cycle_time_to_aim_at() -> None:
    instance = build_instance(random_line("loose", 8, 2))
    incumbent = Incumbent(lowest_cycle(instance))
    Annealing(instance, incumbent, seed=0).search()
    assert incumbent.schedule is None


def test_several_loads_are_left_to_other_ways() -> None:
    line = random_line("loose", 6, 1)
    assert can_anneal(build_instance(line))
    assert not can_anneal(build_instance(line, 2))
    assert not can_anneal(build_instance(random_mix("loose", 6, 2, 1)))


def test_cycles_too_long_for_its_numbers_are_left_to_other_ways(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    instance = build_instance(LINES["flow"])
    assert can_anneal(instance)
    monkeypatch.setattr(chain_module, "LONGEST", horizon(instance) - 1)
    assert not can_anneal(instance)
    monkeypatch.setattr(chain_module, "LONGEST", horizon(instance))
    assert can_anneal(instance)


def test_a_tank_for_two_lets_a_load_stay_longer_than_a_cycle() -> None:
    data = LINES["without maxima"].to_data()
    cycle = 1000
    for capacity in (1, 2):
        for station in data["station"]:
            if station["name"] == "Tank 3":
                station["capacity"] = capacity
        for stage in data["recipe"][0]["stage"]:
            if stage["station"] == "Tank 3":
                stage.pop("max", None)
        chain = chain_of(build_instance(Problem.from_data(data)))
        longest = chain.longest(cycle)
        back = chain.gaps[3, 2]  # out of the tank, and in again with the next load
        assert longest[3] == capacity * cycle - back
