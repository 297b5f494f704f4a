"""The published line of 1976 once and twice over, with one hoist and with several.

Data: L. W. Phillips and P. S. Unger (1976), AIIE Transactions 8(2), 219-225. The line run through
several times, and a reading of several hoists: M. Wallace and N. Yorke-Smith (2020), Constraints
25, 319-337, with the instances of the 2020 MiniZinc Challenge made from it. Of the figures below
521 is published; the others were proved with CP-SAT on an independent statement of that reading
(150 with Gecode 6.2 too), and the paper's own table was not at hand to compare them with.
"""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Problem, load_problem
from hoistopt.base.errors import InputError
from tests.reference.published.overtaking import Way, least_cycle
from tests.reference.several import several

PUBLISHED = Path(__file__).parents[2] / "problems" / "phillips_unger_1976.toml"
BETWEEN_COPIES = 5
"""Seconds that empty travel takes more for each copy of the line that lies between."""

OPTIMA = {
    (1, 1, 1): 521,
    (1, 2, 1): 251,
    (1, 3, 1): 170,
    (1, 4, 1): 150,
    (1, 2, 2): 221,
    (2, 1, 1): 1076,
}
"""By times over, hoists, and places in a tank."""


def repeated(times: int) -> Problem:
    """The line run through several times over, each time in tanks of its own.

    Loads enter and leave at the shared station, which is no tank: any number may be there. From
    the last tank of a copy to the first of the next a move takes as long as back to that station.
    """
    published = load_problem(PUBLISHED)
    data = published.to_data()
    home, *tanks = data["station"]
    names = [tank["name"] for tank in tanks]
    places = [(0, home["name"]), *((c, n) for c in range(1, times + 1) for n in names)]

    def called(copy: int, name: str) -> str:
        return f"{name} of copy {copy}" if copy else name

    ways = [*places, places[0]]
    data["station"] = [
        home | {"capacity": "unlimited", "min_occupation": 0},
        *(tank | {"name": called(c, tank["name"])} for c in range(1, times + 1) for tank in tanks),
    ]
    (recipe,) = data["recipe"]
    recipe["stage"] = [
        stage | {"station": called(copy, name)}
        for copy in range(1, times + 1)
        for stage, name in zip(recipe["stage"], names, strict=True)
    ]
    data["times"] = {
        "loaded": [
            {
                "from": called(*one),
                "to": called(*other),
                # The last tank of a copy: the move back to the shared station.
                "time": published.loaded_times[
                    one[1], other[1] if other[0] == one[0] or not one[0] else home["name"]
                ],
            }
            for one, other in itertools.pairwise(ways)
        ],
        "empty": [
            {
                "from": called(c, a),
                "to": called(d, b),
                "time": published.empty_times[a, b]
                + (BETWEEN_COPIES * abs(c - d) if c and d else 0),
            }
            for c, a in places
            for d, b in places
        ],
    }
    return Problem.from_data(data)


def way_of(problem: Problem) -> Way:
    """What the model of the published reading takes of a line of one recipe."""
    (recipe,) = problem.recipes
    stops = [
        problem.load_station(recipe).name,
        *(stage.station[0] for stage in recipe.stages),
        problem.unload_station(recipe).name,
    ]
    ends = stops[1:]
    return Way(
        [(int(s.min), None if s.max is None else int(s.max)) for s in recipe.stages],
        [int(problem.loaded_times[a, b]) for a, b in zip(stops, ends, strict=False)],
        [[int(problem.empty_times[end, begin]) for begin in stops[:-1]] for end in ends],
    )


@pytest.mark.parametrize("times", [1, 2])
def test_one_hoist_is_proved_at_the_same_figures(times: int) -> None:
    result = hoistopt.solve(repeated(times), time_limit=60, workers=1)
    wanted = OPTIMA[times, 1, 1]
    assert (result.cycle_time, result.lower_bound) == (wanted, wanted)


@pytest.mark.parametrize("case", OPTIMA)
def test_the_published_reading_stated_anew_has_these_optima(case: tuple[int, int, int]) -> None:
    times, hoists, places = case
    found = least_cycle(way_of(repeated(times)), hoists, places)
    assert found == (OPTIMA[case], OPTIMA[case])


def test_where_tanks_stand_in_order_that_reading_bounds_ours_from_below() -> None:
    """It asks nothing of where hoists are, so positions can only make the cycle longer."""
    compared = longer = 0
    for seed in range(60):
        line = several.draw(seed)
        stops = ["In", *(tanks[0] for tanks, _, _ in line.stages), "Out"]
        at = [line.positions[stop] for stop in stops]
        if at != sorted(set(at)) or any(len(tanks) > 1 for tanks, _, _ in line.stages):
            continue
        try:
            problem = line.problem()
        except InputError:  # a station that no hoist reaches
            continue
        found = hoistopt.solve(problem, time_limit=10, workers=1)
        if found.cycle_time is None:
            continue
        loaded = [line.lift + b - a + line.lower for a, b in itertools.pairwise(at)]
        empty = [[abs(end - begin) for begin in at[:-1]] for end in at[1:]]
        windows = [(low, high) for _, low, high in line.stages]
        bound, proved = least_cycle(Way(windows, loaded, empty), 2, most_others=99)
        assert bound == proved
        assert bound is not None and bound <= found.cycle_time, seed
        compared += 1
        longer += bound < found.cycle_time
    assert compared > 8 and longer
