"""Lines with many parallel tanks: the model stays small, and says the same as a written-out one."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from hoistopt import Problem, solve, verify
from hoistopt.instance import build_instance
from hoistopt.planning.idle import idle_tanks
from hoistopt.solver.model.build import build_model
from hoistopt.solver.model.variables import MANY_TERMS
from hoistopt.solver.size import constraints_of, model_bytes
from tests.reference.brute import least_cycle as least_by_trying


def line_of_groups(stages: int, tanks: int, **stage: int) -> Problem:
    """An invented line of `stages` stages with `tanks` parallel tanks each, a metre apart."""
    names = [[f"T{i}_{k}" for k in range(tanks)] for i in range(stages)]
    places = ["In", *(name for group in names for name in group), "Out"]
    kinds = {"In": "load", "Out": "unload"}
    return Problem.from_data(
        {
            "name": "Invented groups",
            "unit": "s",
            "tick": 1,
            "hoist": {"lift": 5, "lower": 5, "loaded": {"speed": 1}, "empty": {"speed": 1}},
            "station": [
                {"name": name, "position": x, **({"kind": kinds[name]} if name in kinds else {})}
                for x, name in enumerate(places)
            ],
            "recipe": [
                {
                    "name": "R",
                    "stage": [{"station": n, "min": 60, "max": 400} | stage for n in names],
                }
            ],
        }
    )


def size(stages: int, tanks: int, degree: int) -> int:
    """Constraints of the model."""
    model = build_model(build_instance(line_of_groups(stages, tanks), degree)).model
    return len(model.Proto().constraints)


def test_a_model_grows_with_the_tanks_not_with_their_pairs_of_pairs() -> None:
    # Written out by pairs of tanks for each pair of moves there were 58,306.
    assert size(4, 10, 4) < 15_000
    # Twice the tanks: at most four times the routes, and nothing worse than that.
    assert size(3, 24, 2) < 4.4 * size(3, 12, 2)


def test_sums_of_many_tanks_say_what_brute_force_says() -> None:
    # More tanks than are written out; one stage only, so that all can be tried.
    tanks = MANY_TERMS + 2
    for low, high in ((60, 70), (10, 400), (25, 25)):
        problem = line_of_groups(1, tanks, min=low, max=high)
        for degree in (1, 2):
            result = solve(problem, degree=degree, workers=1)
            assert result.status == "optimal" and result.schedule is not None
            assert result.cycle_time == least_by_trying(problem, degree)
            assert verify(problem, result.schedule) == ()


def test_least_times_between_moves_take_no_seconds_with_a_thousand_routes() -> None:
    instance = build_instance(line_of_groups(9, 33), 4)
    began = time.process_time()
    gaps = instance.gaps
    assert time.process_time() - began < 0.5  # 1.1 s when each route was asked for each place
    # The same by its definition, for moves of few routes and of many.
    for a, b in ((0, 1), (1, 3), (4, 9), (9, 0)):
        assert gaps[a][b] == min(
            route.duration + instance.empty[route.target][source]
            for route in instance.moves[a].routes
            for source in instance.moves[b].sources
        )


def test_tanks_that_stand_idle_are_not_named_by_the_dozen() -> None:
    problem = line_of_groups(1, 12, min=10, max=400)
    result = solve(problem, workers=1)
    assert result.schedule is not None
    (found,) = idle_tanks(problem, result.schedule)
    assert len(found.idle) == 11
    assert found.words().count("T0_") <= 6 and "7 more stand idle, 11 of 12" in found.words()


@pytest.mark.skipif(sys.platform != "linux", reason="reads the peak of memory from /proc")
def test_hundreds_of_tanks_take_no_hundreds_of_megabytes() -> None:
    source = (
        "import hoistopt\n"
        "from tests.solver.test_many_tanks import line_of_groups\n"
        "problem = line_of_groups(9, 33)\n"
        "before = [x for x in open('/proc/self/status') if x.startswith('VmHWM')]\n"
        "result = hoistopt.solve(problem, time_limit=4, workers=2)\n"
        "after = [x for x in open('/proc/self/status') if x.startswith('VmHWM')]\n"
        "assert result.schedule is not None\n"
        "print(*(int(x[0].split()[1]) // 1024 for x in (before, after)))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", source],
        capture_output=True, text=True, check=True, cwd=Path(__file__).parents[2],
    )  # fmt: skip
    before, after = map(int, done.stdout.split())
    assert after - before < 250  # 580 MB in all when the model was written out


@pytest.mark.parametrize(
    ("stages", "tanks", "degree"), [(9, 33, 1), (4, 10, 4), (3, 24, 2), (5, 2, 6), (12, 1, 3)]
)
def test_how_large_a_model_is_is_known_before_it_is_built(
    stages: int, tanks: int, degree: int
) -> None:
    instance = build_instance(line_of_groups(stages, tanks), degree)
    real = len(build_model(instance).model.Proto().constraints)
    assert 0.8 * real < constraints_of(instance) < 1.8 * real
    # No line of this size has to be refused where there are 2 GB.
    assert model_bytes(instance) < 0.75 * 2 * 2**30
