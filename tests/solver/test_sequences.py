"""Sequences: what building them leaves out never hides a schedule, and what it proves is so."""

from __future__ import annotations

from functools import cache
from random import Random

import numpy as np
import pytest

from benchmarks.lines.families import random_line
from hoistopt.instance import Instance, build_instance
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic import neighbourhoods, search
from hoistopt.solver.cyclic.annealing import rounds
from hoistopt.solver.cyclic.sequences import search as sequence_search
from hoistopt.solver.cyclic.sequences.beam import build_sequences
from hoistopt.solver.cyclic.sequences.completion import CompletionBound
from hoistopt.solver.cyclic.sequences.relaxation import relax
from hoistopt.solver.model.build import lowest_cycle
from tests.helpers.clocks import clock
from tests.helpers.searched import by_cp_sat, small_lines
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES

WIDTHS = ("narrow", "loose", "very-loose", "open")


@pytest.fixture
def short_looks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Little work on schedules beside the sequences."""
    monkeypatch.setattr(neighbourhoods, "WORK", 0.06)
    monkeypatch.setattr(rounds, "TRIALS", 200_000)


@cache
def random_instance(family: str, seed: int) -> Instance:
    tanks = Random(f"tanks {family} {seed}").randint(3, 9)
    return build_instance(random_line(family, tanks, seed, shuffled=bool(seed % 2)))


@pytest.mark.parametrize("seeds", first(20, range(7000, 7040)))
@pytest.mark.parametrize("family", sorted(FAMILIES))
def test_building_sequences_never_misses_the_optimum(
    family: str, seeds: range, monkeypatch: pytest.MonkeyPatch
) -> None:
    checked = 0
    for _, instance in small_lines(family, seeds):
        best = by_cp_sat(instance, monkeypatch)
        if best is None or len(instance.moves) < 2:
            continue
        checked += 1
        built = build_sequences(instance, lowest_cycle(instance), best)
        assert built.complete
        assert built.orders
        assert built.bound <= best
    assert checked >= 7


@pytest.mark.parametrize("family", WIDTHS)
def test_building_sequences_alone_often_prove_the_optimum(
    family: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    proven = 0
    for seed in range(25):
        instance = random_instance(family, seed)
        best = by_cp_sat(instance, monkeypatch)
        assert best is not None
        assert build_sequences(instance, lowest_cycle(instance), best).orders
        below = build_sequences(instance, lowest_cycle(instance), best - 1)
        assert below.bound <= best
        proven += below.bound == best
    assert proven >= 10


_known: dict[tuple[str, int], int | None] = {}


def by_cp_sat_once(family: str, seed: int, monkeypatch: pytest.MonkeyPatch) -> int | None:
    """The same for every number of workers."""
    if (family, seed) not in _known:
        _known[family, seed] = by_cp_sat(random_instance(family, seed), monkeypatch)
    return _known[family, seed]


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """No search along the track and hardly any by CP-SAT; one entry for each time that
    sequences are built."""
    monkeypatch.setattr(search, "can_search_track", lambda _: False)
    monkeypatch.setattr(search, "FIRST_WORK", 1e-6)
    monkeypatch.setattr(search, "SECOND_WORK", 1e-6)
    built: list[int] = []
    whole = sequence_search.build_sequences
    monkeypatch.setattr(
        sequence_search, "build_sequences", lambda *a, **k: built.append(1) or whole(*a, **k)
    )
    return built


@pytest.mark.usefixtures("short_looks")
@pytest.mark.parametrize("seeds", first(3, range(30, 36)))
@pytest.mark.parametrize("workers", [1, 2])
def test_the_search_by_sequences_finds_what_cp_sat_finds(
    workers: int, seeds: range, built: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    for family in WIDTHS:
        for seed in seeds:
            instance = random_instance(family, seed)
            found = least_cycle(instance, clock(workers=workers))
            assert found.status == "optimal"
            assert found.schedule is not None
            expected = by_cp_sat_once(family, seed, monkeypatch)
            assert found.bound == found.schedule.cycle == expected
    assert built


@pytest.mark.parametrize("family", WIDTHS)
def test_the_completion_bound_never_exceeds_what_an_optimal_schedule_still_takes(
    family: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    sharp = 0
    for seed in range(40, 60):
        instance = random_instance(family, seed)
        found = least_cycle(instance, clock(workers=1))
        assert found.schedule is not None
        line = relax(instance)
        completion = CompletionBound(instance, line)
        cycle = found.schedule.cycle
        rest, work = (1 << line.moves) - 1, int(completion.work.sum())
        for step in found.schedule:
            assert step.stage is not None
            move = step.stage  # one load a cycle: the moves are numbered by stage
            rest &= ~(1 << move)
            bound = int(completion.after(np.array([rest]), move, np.array([work]))[0])
            assert step.start + bound <= cycle
            sharp += bound > sum(
                instance.moves[m].shortest for m in range(line.moves) if rest >> m & 1
            )
            work -= int(completion.work[move])
    assert sharp > 50


def test_over_the_limit_of_states_it_claims_nothing() -> None:
    instance = build_instance(random_line("very-loose", 10, 1))
    low = lowest_cycle(instance)
    built = build_sequences(instance, low, low * 2, most_states=10)
    assert not built.complete
    assert built.bound == low
    assert built.orders == []


def test_a_beam_search_claims_no_bound() -> None:
    instance = build_instance(random_line("very-loose", 10, 1))
    low = lowest_cycle(instance)
    built = build_sequences(instance, low, low * 2, width=20)
    assert not built.complete
    assert built.bound == low
    assert built.orders


def test_twenty_very_loose_tanks_are_proved_optimal() -> None:
    # A direct model leaves a gap of 10 % here after a minute; see benchmarks/README.md.
    found = least_cycle(build_instance(random_line("very-loose", 20, 0)), clock(workers=2))
    assert found.status == "optimal"
    assert found.schedule is not None
    assert found.schedule.cycle == 572


@pytest.mark.usefixtures("short_looks")
def test_one_worker_gives_the_same_schedule_twice(built: list[int]) -> None:
    instance = build_instance(random_line("very-loose", 12, 3))
    first, second = (least_cycle(instance, clock(workers=1, seed=5)) for _ in range(2))
    assert first.schedule is not None
    assert first.schedule == second.schedule
    assert built
