"""Features that come down to a simpler case have its optimum, on random lines.

Each line of the families is said in another way that means the same.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from hoistopt.problem import Problem
from tests.helpers.answers import least_ticks
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES, SmallLine

Data = dict[str, Any]
SEEDS = range(40)


def _stations(data: Data, change: Callable[[Data], Data]) -> Data:
    return {**data, "station": [change(dict(station)) for station in data["station"]]}


def _stages(data: Data, change: Callable[[Data], Data]) -> Data:
    recipes = [
        {**recipe, "stage": [change(dict(stage)) for stage in recipe["stage"]]}
        for recipe in data["recipe"]
    ]
    return {**data, "recipe": recipes}


def _is_tank(station: Data) -> bool:
    return station.get("kind", "tank") in ("tank", "dryer")


# -- ways of saying the same ------------------------------------------------------------


def one_of_one_tank(line: SmallLine, data: Data) -> SmallLine:
    """A list of alternatives with one tank in it is that tank."""
    said = _stages(data, lambda stage: {**stage, "station": list(stage["station"])})
    return SmallLine(Problem.from_data(said), line.degree)


def a_copy_of_a_tank_out_of_reach(line: SmallLine, data: Data) -> SmallLine:
    """Further alternatives that the hoist cannot serve are none."""
    copies = [
        {**station, "name": f"{station['name']}*"}
        for station in data["station"]
        if _is_tank(station)
    ]
    said = {**data, "station": [*data["station"], *copies]}
    said["hoist"] = {**data.get("hoist", {}), "unreachable": [copy["name"] for copy in copies]}
    said = _stages(said, _with_copies)
    names = [station["name"] for station in said["station"]]
    said["times"] = {
        key: _for_copies(entries, names) for key, entries in data.get("times", {}).items()
    }
    return SmallLine(Problem.from_data(said), line.degree)


def _with_copies(stage: Data) -> Data:
    return {**stage, "station": [*stage["station"], *(f"{name}*" for name in stage["station"])]}


def _for_copies(entries: list[Data], names: list[str]) -> list[Data]:
    """A table in which a copy is as far from everything as its original."""
    given = {(entry["from"], entry["to"]): entry["time"] for entry in entries}
    far = {(a, b): given.get((a.rstrip("*"), b.rstrip("*"))) for a in names for b in names}
    far |= {(a, b): 0 for a, b in far if a != b and a.rstrip("*") == b.rstrip("*")}
    return [{"from": a, "to": b, "time": t} for (a, b), t in far.items() if t is not None]


def a_mix_of_one_recipe(line: SmallLine, data: Data) -> SmallLine:
    """A mix of one load of the only recipe is what holds without a mix."""
    said = {**data, "cycle": {"mix": {data["recipe"][0]["name"]: 1}}}
    return SmallLine(Problem.from_data(said), line.degree)


def two_copies_as_a_mix(line: SmallLine, data: Data) -> SmallLine:
    """k loads of the only recipe at degree 1 are one load at degree k."""
    said = {**data, "cycle": {"mix": {data["recipe"][0]["name"]: line.degree}}}
    return SmallLine(Problem.from_data(said), 1)


def the_same_recipe_twice(line: SmallLine, data: Data) -> SmallLine:
    """Loads of two recipes that ask for the same are loads of one."""
    recipe = data["recipe"][0]
    names = [f"R{number}" for number in range(line.degree)]
    said = {
        **data,
        "recipe": [{**recipe, "name": name} for name in names],
        "cycle": {"mix": dict.fromkeys(names, 1)},
    }
    return SmallLine(Problem.from_data(said), 1)


def carriers_enough(line: SmallLine, data: Data) -> SmallLine:
    """As many carriers as anyone could need are any number."""
    said = {**data, "carriers": {"count": 1000}}
    return SmallLine(Problem.from_data(said), line.degree)


def any_order_in_one_place(line: SmallLine, data: Data) -> SmallLine:
    """In a tank of one place there is no order to keep."""
    said = _stations(data, lambda s: {**s, "order": "any"} if _is_tank(s) else s)
    return SmallLine(Problem.from_data(said), line.degree)


def a_pace_anything_keeps(line: SmallLine, data: Data) -> SmallLine:
    """Limits on the cycle time that no line comes near are none."""
    said = {**data, "cycle": {**data.get("cycle", {}), "max": 10_000_000}}
    return SmallLine(Problem.from_data(said), line.degree)


def a_crossing_that_asks_for_no_drip(line: SmallLine, data: Data) -> SmallLine:
    """Crossings allowed after no drip at all are no matter."""
    names = [station["name"] for station in data["station"]]
    said = {**data, "crossing": [{"from": names, "over": names, "min_drip": 0}]}
    return SmallLine(Problem.from_data(said), line.degree)


def a_hoist_strong_enough(line: SmallLine, data: Data) -> SmallLine:
    """A load as heavy as the hoist may lift is lifted."""
    said = {**data, "recipe": [{**recipe, "mass": 80} for recipe in data["recipe"]]}
    said["hoist"] = {**data.get("hoist", {}), "payload": 80}
    return SmallLine(Problem.from_data(said), line.degree)


def as_tables(line: SmallLine, data: Data) -> SmallLine:
    """Measured times equal to those worked out from distances change nothing."""
    problem = line.problem
    if problem.hoist.loaded is None or problem.tick != 1:
        return line
    hoist, at = problem.hoist, problem.station_by_name
    assert hoist.lift is not None and hoist.lower is not None and hoist.empty is not None
    pairs = [(a, b) for a in at for b in at if a != b]
    loaded, empty = [], []
    for a, b in pairs:
        here, there = at[a].position, at[b].position
        assert here is not None and there is not None
        far = abs(there - here)
        settles = hoist.loaded.settling if far else 0
        ride = far / hoist.loaded.speed + settles
        loaded.append({"from": a, "to": b, "time": hoist.lift + ride + hoist.lower})
        ride = far / hoist.empty.speed + (hoist.empty.settling if far else 0)
        empty.append({"from": a, "to": b, "time": ride})
    said = {key: value for key, value in data.items() if key != "hoist"}
    said["times"] = {"loaded": loaded, "empty": empty}
    return SmallLine(Problem.from_data(said), line.degree)


SAYINGS: list[tuple[Callable[[SmallLine, Data], SmallLine], str]] = [
    (one_of_one_tank, "plain"),
    (a_copy_of_a_tank_out_of_reach, "parallel"),
    (a_mix_of_one_recipe, "plain"),
    (two_copies_as_a_mix, "plain"),
    (two_copies_as_a_mix, "parallel"),
    (two_copies_as_a_mix, "slots"),
    (the_same_recipe_twice, "plain"),
    (the_same_recipe_twice, "parallel"),
    (carriers_enough, "plain"),
    (carriers_enough, "mixed"),
    (any_order_in_one_place, "reentrant"),
    (a_pace_anything_keeps, "slots"),
    (a_crossing_that_asks_for_no_drip, "parallel"),
    (a_hoist_strong_enough, "reentrant"),
    (as_tables, "plain"),
]


@pytest.mark.parametrize("seeds", first(20, SEEDS))
@pytest.mark.parametrize(
    ("say", "family"), SAYINGS, ids=lambda part: part if isinstance(part, str) else part.__name__
)
def test_another_way_of_saying_the_same_has_the_same_optimum(
    say: Callable[[SmallLine, Data], SmallLine], family: str, seeds: range
) -> None:
    changed = 0
    for seed in seeds:
        line = FAMILIES[family](seed)
        said = say(line, line.problem.to_data())
        changed += said != line
        assert least_ticks(*said) == least_ticks(*line), seed
    assert changed >= 3 or say in (one_of_one_tank,)


def _wide_and_twin(data: Data) -> tuple[Data, Data, Data, Data]:
    """A line, its first tank with two places, those in any order, and a twin beside it."""
    name = data["recipe"][0]["stage"][0]["station"][0]
    tank = next(station for station in data["station"] if station["name"] == name)
    wide = _stations(data, lambda s: {**s, "capacity": 2} if s["name"] == name else s)
    loose = _stations(wide, lambda s: {**s, "order": "any"} if s["name"] == name else s)
    twins = _stages(
        {**data, "station": [*data["station"], {**tank, "name": "twin"}]},
        lambda s: {**s, "station": [name, "twin"]} if s["station"][0] == name else s,
    )
    return data, wide, loose, twins


SPEEDS = [seed for seed in range(120) if not FAMILIES["plain"](seed).problem.times.loaded][:30]


@pytest.mark.parametrize("seeds", first(15, SPEEDS))
def test_a_tank_of_two_places_lies_between_two_tanks_and_two_tanks_in_turn(
    seeds: list[int],
) -> None:
    """Two carriers in one tank do at least what two tanks at its position do.

    And what the tank of two places does with one load a cycle, the two tanks do in turn
    with two: first in, first out, so that each is free again after two cycles.
    """
    better = 0
    for seed in seeds:
        data, wide, loose, twins = _wide_and_twin(FAMILIES["plain"](seed).problem.to_data())
        one, two, apart, in_any_order = (
            least_ticks(Problem.from_data(said), degree)
            for said, degree in ((data, 2), (wide, 1), (twins, 2), (loose, 2))
        )
        if one is None or two is None or apart is None or in_any_order is None:
            assert one is two is apart is in_any_order is None
            continue
        assert in_any_order <= apart <= min(one, 2 * two)
        better += apart < one
    assert better >= 3
