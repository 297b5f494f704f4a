"""Times that are no whole ticks: planned on the safe side, and by no tick more than that."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from hoistopt import InputError, solve
from hoistopt.problem import Problem

pytestmark = pytest.mark.quick


def two_ways_out(from_a: Any, from_b: Any, **out: Any) -> Problem:
    """Loads of two recipes, one through A and one through B, meet at the unload station."""
    names = ["In", "A", "B", "Out"]
    stations = [{"name": name} for name in names]
    stations[0] |= {"kind": "load", "capacity": "unlimited"}
    stations[-1] |= {"kind": "unload", **out}
    loaded = [("In", "A", 5), ("In", "B", 5), ("A", "Out", from_a), ("B", "Out", from_b)]
    return Problem.from_data(
        {
            "name": "two ways out",
            "tick": 1,
            "station": stations,
            "recipe": [
                {"name": name, "stage": [{"station": name, "min": 1}]} for name in ("A", "B")
            ],
            "cycle": {"mix": {"A": 1, "B": 1}},
            "times": {
                "loaded": [{"from": u, "to": v, "time": time} for u, v, time in loaded],
                "empty": [{"from": u, "to": v, "time": 1} for u in names for v in names if u != v],
            },
        }
    )


# At least 40 between two carriers set down, in turn from A and from B. Where both moves end
# the same fraction of a tick early, 40 and 40 will do. Where the one from B ends earlier by
# a greater fraction than the one from A, 40 planned between them are less than 40: 41.
@pytest.mark.parametrize(
    ("from_a", "from_b", "cycle"),
    [
        (6, 6, 80),
        ("5.3", "5.3", 80),
        (6, "5.3", 81),
        ("5.3", 6, 81),
        ("5.6", "6.6", 80),
        ("5.6", "6.3", 81),
    ],
)
def test_carriers_set_down_at_the_end_keep_their_least_time_apart(
    from_a: Any, from_b: Any, cycle: int
) -> None:
    times = Decimal(from_a), Decimal(from_b)
    assert solve(two_ways_out(*times, min_occupation=40), workers=1).cycle_time == cycle
    # Over two places the same: the second after each one is the one from its own tank.
    roomy = two_ways_out(*times, min_occupation=80, capacity=2)
    assert solve(roomy, workers=1).cycle_time == 80


def test_over_two_places_the_fraction_counts_between_every_other_carrier() -> None:
    # Entering A, A, B: of two places each carrier frees one for the next but one. From an A
    # to the next but one twice, 50 each, from a B to an A, 50, from an A to a B, 51.
    data = two_ways_out(6, Decimal("5.3"), min_occupation=50, capacity=2).to_data()
    data["cycle"] = {"mix": {"A": 2, "B": 1}}
    # Round the cycle: three steps of next but one make two cycles: 50 + 50 + 51 = 151.
    assert solve(Problem.from_data(data), workers=1).cycle_time == 76


def test_a_window_between_two_ticks_is_refused_with_a_tick_that_helps() -> None:
    data = two_ways_out(6, 6).to_data()
    data["recipe"][0]["stage"] = [{"station": "A", "min": Decimal("9.3"), "max": Decimal("9.8")}]
    with pytest.raises(InputError, match=r"tick = 1: expected a tick .* give tick = 0\.1,"):
        solve(Problem.from_data(data), workers=1)
    data["tick"] = Decimal("0.1")
    assert solve(Problem.from_data(data), workers=1).status == "optimal"
