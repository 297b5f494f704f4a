"""The full way through `hoistopt.solve`, held against published results and methods."""

from __future__ import annotations

from itertools import pairwise
from math import ceil
from pathlib import Path
from random import Random

import pytest

from hoistopt import load_problem
from hoistopt.problem import Problem
from tests.helpers.answers import answer, least_ticks
from tests.helpers.usual import each
from tests.reference.published.cells import cell
from tests.reference.published.pyramidal import least_cycle_pyramidal
from tests.reference.published.sieve import least_cycle_fixed_dwells

pytestmark = pytest.mark.quick

PROBLEMS = Path(__file__).parents[2] / "problems"


@pytest.mark.parametrize("buffer", [False, True], ids=["one carrier", "buffer of any size"])
def test_the_published_benchmark_takes_521_s(buffer: bool) -> None:
    # Source: Phillips and Unger (1976), Mathematical programming solution of a hoist
    # scheduling program, AIIE Transactions 8(2), 219-225; data as reprinted with Wallace
    # and Yorke-Smith (2020), Constraints 25, 319-337. Two readings of the load/unload
    # station: it holds one carrier for at least 120 s, or any number of them.
    problem = load_problem(PROBLEMS / "phillips_unger_1976.toml")
    if buffer:
        data = problem.to_data()
        bench, *tanks = data["station"]
        data["station"] = [bench | {"capacity": "unlimited", "min_occupation": 0}, *tanks]
        problem = Problem.from_data(data)
    result = answer(problem)
    assert (result.cycle_time, result.lower_bound) == (521, 521)


def _robotic_cell(step: int, grip: int, a: int, b: int) -> Problem:
    """Two machines between buffers, all a step apart, the robot by speeds and distances."""
    names = ("In", "One", "Two", "Out")
    ends = {
        "In": {"kind": "load", "capacity": "unlimited"},
        "Out": {"kind": "unload", "capacity": "unlimited"},
    }
    return Problem.from_data(
        {
            "name": "robotic cell of two machines",
            "tick": 1,
            "hoist": {"lift": grip, "lower": grip, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": name, "position": step * i, **ends.get(name, {})}
                for i, name in enumerate(names)
            ],
            "recipe": [
                {
                    "name": "Part",
                    "stage": [{"station": "One", "min": a}, {"station": "Two", "min": b}],
                }
            ],
        }
    )


@pytest.mark.parametrize("seed", range(100))
def test_two_stations_without_maxima_take_the_published_time(seed: int) -> None:
    # Source: Sethi, Sriskandarajah, Sorger, Blazewicz, Kubiak (1992), Sequencing of parts
    # and robot moves in a robotic cell, Int. J. Flexible Manufacturing Systems 4, 331-358:
    # the better of the two one-unit cycles. Positions 0 to 3, ends that never hold it up.
    rng = Random(seed)
    step, grip = rng.randint(1, 12), rng.randint(0, 6)
    a, b = rng.randint(0, 120), rng.randint(0, 120)
    one_after_the_other = 6 * grip + 6 * step + a + b
    both_at_once = 4 * grip + 4 * step + max(2 * grip + 4 * step, a, b)
    expected = min(one_after_the_other, both_at_once)
    assert answer(_robotic_cell(step, grip, a, b)).cycle_time == expected


def test_two_stations_reach_both_of_the_published_cycles() -> None:
    # The formula above would say little if one of its two sides never counted.
    assert answer(_robotic_cell(10, 0, 1, 1)).cycle_time == 62
    assert answer(_robotic_cell(1, 1, 50, 60)).cycle_time == 68


@pytest.mark.parametrize("seed", each(15, range(30)))
def test_without_maxima_the_best_order_is_pyramidal(seed: int) -> None:
    # Source: Crama and van de Klundert (1997), Cyclic scheduling of identical parts in a
    # robotic cell, Operations Research 45, 952-965: additive travel, stations in flow
    # order, one part a cycle. All pyramidal orders, each a linear program (HiGHS).
    rng = Random(f"pyramidal {seed}")
    count, grip = rng.randint(2, 7), rng.randint(1, 5)
    positions = [0]
    for _ in range(count + 1):
        positions.append(positions[-1] + rng.randint(1, 6))
    least = [rng.randint(0, rng.choice((30, 90, 200))) for _ in range(count)]
    loaded = [b - a + 2 * grip for a, b in pairwise(positions)]
    # Without maxima any longer cycle works too, so the least whole one is the next above.
    expected = ceil(least_cycle_pyramidal(loaded, positions, least) - 1e-6)
    assert least_ticks(cell(positions, grip, least)) == expected


@pytest.mark.parametrize("seed", each(75, range(150)))
def test_fixed_dwells_leave_the_cycle_times_between_the_forbidden_ones(seed: int) -> None:
    # Source: Levner, Kats and Levit (1997), An improved algorithm for cyclic flowshop
    # scheduling in a robotic cell, European J. Operational Research 97, 500-508: with
    # windows of no width all times are fixed and the forbidden cycle times are sieved out.
    rng = Random(f"sieve {seed}")
    count, grip = rng.randint(1, 25), rng.randint(1, 5)
    positions = [rng.randint(0, 12) for _ in range(count + 2)]
    dwells = [rng.randint(0, rng.choice((10, 40, 150))) for _ in range(count)]
    apart = [[abs(a - b) for b in positions] for a in positions]
    loaded = [apart[s][s + 1] + 2 * grip for s in range(count + 1)]
    expected = least_cycle_fixed_dwells(loaded, apart, dwells)
    assert least_ticks(cell(positions, grip, dwells, dwells)) == expected
