"""What moves of two hoists need in any case: never more than a schedule that the checker accepts
leaves them, and where hoists have top speed at once exactly what is enough."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import product

import pytest

from hoistopt import solve
from hoistopt.base.effort import Effort
from hoistopt.base.errors import InfeasibleError, InputError
from hoistopt.instance import Instance, build_instance
from hoistopt.instance.least_apart import Fastest
from hoistopt.schedule import Schedule
from hoistopt.solver.model.constraints.several import apart
from hoistopt.solver.model.decode import jobs_of
from hoistopt.solver.several.neighbourhoods import routes_of
from tests.helpers.hoists.two_hoists import between_ticks
from tests.reference.several import several


def test_at_top_speed_at_once_what_is_needed_is_enough() -> None:
    """Two ways of working it out, pair by pair."""
    compared = 0
    for seed in range(12):
        try:
            instance = build_instance(several.draw(seed).problem(), several=True)
        except (InputError, InfeasibleError):
            continue
        assert instance.several is not None and instance.several.exact
        enough = instance.several
        least = replace(enough, exact=False, asks="least")
        routes = [route for move in instance.moves for route in move.routes]
        for one, other in product(routes, routes):
            if one.hoist < other.hoist:
                assert apart(least, one, other) == apart(enough, one, other), (seed, one, other)
                compared += 1
    assert compared > 100


def test_an_accepted_schedule_leaves_what_is_needed() -> None:
    """Its order was drawn together by the checker's exact ways, so that little is left over."""
    room: list[int] = []
    for seed in (31, 43, 46, 55):
        problem = between_ticks(seed, 0.3)
        result = solve(problem, effort=Effort(10, 1))
        assert result.schedule is not None
        room += _left_over(build_instance(problem, several=True), result.schedule)
    assert min(room) == 0  # one tick more, and an accepted schedule would break it
    assert sum(each <= 1 for each in room) > 4


def _left_over(instance: Instance, schedule: Schedule) -> list[int]:
    """Ticks that pairs of moves of two hoists leave over; below 0 where they leave too little."""
    assert instance.several is not None
    least = instance.several.asking("least")
    routes, jobs = routes_of(instance, schedule), jobs_of(instance, schedule)
    starts = {(jobs[step.load], step.stage or 0): step.start for step in schedule}
    found = []
    for a, b in instance.pairs():
        if routes[a.index].hoist == routes[b.index].hoist:
            continue
        asked = apart(least, routes[a.index], routes[b.index])
        if asked is not None:
            low, high = asked
            after = (starts[b.job, b.stage] - starts[a.job, a.stage] - high) % schedule.cycle
            found.append(min(after, low - high + schedule.cycle - after))
    return found


@pytest.mark.parametrize(
    ("distance", "rests", "ticks"),
    [(12, 0, 6), (12, 1, 8), (12, 2, 10), (1, 0, Fraction(1, 2)), (2, 1, 2), (4, 2, 4)],
)
def test_a_distance_takes_longer_the_more_of_its_ends_are_at_rest(
    distance: int, rests: int, ticks: Fraction
) -> None:
    """By hand: speed 2, gained in 4; a way of 4 while it is gained, half way of a trip of 8."""
    hoist = Fastest(Fraction(2), Fraction(1, 2))
    if (distance, rests) == (2, 1):
        ticks = Fraction(2828427124746, 10**12)  # the root of 8
    if (distance, rests) == (4, 2):
        ticks = 2 * Fraction(2828427124746, 10**12)
    assert hoist.time(Fraction(distance), rests) == ticks
