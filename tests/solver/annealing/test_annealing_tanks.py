"""Tanks dealt to the dwells of several loads: even, possible, and better for mixes with groups."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from benchmarks.lines.real import real_line
from hoistopt.instance import build_instance
from hoistopt.solver.cyclic.annealing.tanks import (
    deal_tanks,
    numbered_as_they_enter,
    place_numbers,
    place_numbers_of,
    places_taken,
)
from hoistopt.solver.cyclic.starts.groups import tanks_left_idle

pytestmark = pytest.mark.quick


def test_loads_are_dealt_to_tanks_evenly_and_no_two_deals_are_alike() -> None:
    instance = build_instance(real_line("group-mix", 4, 1))  # six loads in four tanks
    random = np.random.default_rng(0)
    deals = set()
    for _ in range(20):
        dealt = deal_tanks(instance, random)
        assert dealt is not None
        for stay, was in zip(dealt.stays, instance.stays, strict=True):
            assert len(stay.places) == 1 and stay.places[0] in was.places
            assert dealt.moves[stay.arrival].targets == stay.places
            assert dealt.moves[stay.departure].sources == stay.places
        tanks = [stay.places[0] for stay, was in zip(dealt.stays, instance.stays, strict=True)
                 if len(was.places) > 1]  # fmt: skip
        assert sorted(Counter(tanks).values()) == [1, 1, 2, 2]
        deals.add(tuple(tanks))
    assert len(deals) > 10


def test_a_load_that_has_but_one_tank_is_dealt_first() -> None:
    instance = build_instance(real_line("own-tank", 4, 0))  # one load in four, two in one of them
    dealt = deal_tanks(instance, np.random.default_rng(0))
    assert dealt is not None
    plated = [s for s in instance.stays if instance.places[s.places[0]].name.startswith("Zinc")]
    free = [dealt.stays[s.index].places[0] for s in plated if len(s.places) > 1]
    held = {s.places[0] for s in plated if len(s.places) == 1}
    assert free and len(held) == 1 and not held & set(free)


def test_places_of_a_roomy_station_are_told_apart_where_they_are_not_full() -> None:
    instance = build_instance(real_line("group-mix", 4, 1))
    dealt = deal_tanks(instance, np.random.default_rng(0))
    assert dealt is not None
    dryer = [s.index for s in dealt.stays if dealt.places[s.places[0]].capacity == 2]
    for cycle, places in ((40_000, 2), (15_000, 1)):
        numbers = place_numbers(dealt, cycle, np.random.default_rng(0))
        found = Counter(numbers[stay] for stay in dryer)
        assert len(found) == places
        assert (-1 in found) == (places == 1)  # three dwells of 480 s do not fit in 1,500 s


def test_like_loads_are_numbered_as_they_enter_and_keep_their_tanks() -> None:
    instance = build_instance(real_line("group-mix", 4, 1))
    random = np.random.default_rng(3)
    dealt = deal_tanks(instance, random)
    assert dealt is not None
    cycle = 40_000
    starts = random.integers(0, cycle, len(dealt.moves))
    numbered, was = numbered_as_they_enter(dealt, starts, cycle)
    origin = starts[dealt.first_moves[0]]
    for jobs in dealt.alike:
        entering = [(starts[was[dealt.first_moves[job]]] - origin) % cycle for job in sorted(jobs)]
        assert entering == sorted(entering)
    for move in numbered.moves:
        other = dealt.moves[was[move.index]]
        assert (move.routes, move.stage) == (other.routes, other.stage)
        assert dealt.recipes[move.job] == dealt.recipes[other.job]


@pytest.mark.parametrize(("quarters", "places"), [(1, 1), (2, 2), (3, None)])
def test_loads_in_a_roomy_station_at_a_time_have_places_of_their_own(
    quarters: int, places: int | None
) -> None:
    instance = build_instance(real_line("roomy-dryer", 4, 0), 4)
    dealt = deal_tanks(instance, np.random.default_rng(0))
    assert dealt is not None
    (dryer,) = (n for n, place in enumerate(dealt.places) if (place.capacity or 0) > 1)
    stays, cycle = dealt.stays_at[dryer], 40_000
    starts = np.zeros(len(dealt.moves), np.int64)
    for number, stay in enumerate(stays):  # one comes every quarter of the cycle
        starts[stay.arrival] = number * cycle // 4
        starts[stay.departure] = starts[stay.arrival] + quarters * cycle // 4
    taken = places_taken(dealt, starts, cycle)
    numbers = [taken[stay.index] for stay in stays]
    if places is None:  # three of them at any time, in a place each, which is another every cycle
        assert set(numbers) == {-1}
        return
    of_dryer = place_numbers_of(dealt, dryer)
    assert numbers == [of_dryer[number % places] for number in range(4)]


def test_tanks_that_cannot_take_turns_are_idle() -> None:
    problem = real_line("two-groups", 4, 2)
    idle = [tanks_left_idle(build_instance(problem, degree)) for degree in (1, 2, 3, 4, 8)]
    assert idle == [1 + 3, 0 + 2, 1 + 1, 0, 0]
