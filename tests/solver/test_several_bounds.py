"""Several hoists: what must hold of their least cycle, whatever the line."""

from __future__ import annotations

from pathlib import Path
from random import Random

import hoistopt
from hoistopt import Cycle, Hoist, Motion, Problem, Recipe, Stage, Station, Track
from hoistopt.base.errors import InputError
from hoistopt.instance import build_instance
from hoistopt.solver.model.several_bounds import hoist_work, tank_turns
from tests.helpers.command import PROBLEMS
from tests.reference.several import several

TRAVEL = Motion(1)


def test_a_bound_on_tanks_and_on_hoists_is_never_above_the_least_cycle() -> None:
    """Work is divided among the hoists, and a tank's turn counts who must give way to whom."""
    near = {"tanks": 0, "hoists": 0}
    for seed in range(16):
        try:
            problem = several.draw(seed).problem()
        except InputError:  # a station that no hoist reaches
            continue
        found = hoistopt.solve(problem, time_limit=10, workers=1)
        if found.schedule is None or found.status != "optimal":
            continue
        instance = build_instance(problem, several=True)
        for name, bound in (("tanks", tank_turns(instance)), ("hoists", hoist_work(instance))):
            assert bound <= found.schedule.cycle, (seed, name)
            near[name] += 4 * bound >= 3 * found.schedule.cycle
    assert near["tanks"] and near["hoists"], near


def part(name: str, at: int, rng: Random) -> tuple[list[Station], Recipe, Hoist]:
    """A third of a track with a recipe and a hoist of its own; no stage has a maximum."""
    tanks = [Station(f"{name}{n}", position=at + n) for n in (1, 2, 3)]
    ends = [
        Station(f"{name} in", kind="load", position=at, capacity="unlimited"),
        Station(f"{name} out", kind="unload", position=at + 4, capacity="unlimited"),
    ]
    stages = [Stage(tank.name, min=rng.randint(0, 12)) for tank in rng.sample(tanks, 3)]
    hoist = Hoist(
        name=name,
        from_=at,
        to=at + 4,
        lift=rng.randint(1, 3),
        lower=2,
        loaded=TRAVEL,
        empty=TRAVEL,
    )
    recipe = Recipe(name, stages, load=ends[0].name, unload=ends[1].name)
    return [*tanks, *ends], recipe, hoist


def test_ranges_that_do_not_meet_are_two_lines() -> None:
    """The cycle is that of the slower one: without maxima the other can wait."""
    for seed in range(8):
        rng = Random(f"apart {seed}")
        parts = [part("A", 0, rng), part("B", 20, rng)]
        alone = []
        for stations, recipe, hoist in parts:
            line = Problem("Alone", stations=stations, recipes=[recipe], hoist=hoist, tick=1)
            alone.append(hoistopt.solve(line, workers=1).cycle_time)
        both = Problem(
            "Both",
            stations=[station for stations, _, _ in parts for station in stations],
            recipes=[recipe for _, recipe, _ in parts],
            hoist=[hoist for _, _, hoist in parts],
            track=Track(5),
            cycle=Cycle(mix={"A": 1, "B": 1}),
            tick=1,
        )
        found = hoistopt.solve(both, time_limit=20, workers=1)
        assert found.status == "optimal"
        assert found.cycle_time == max(time for time in alone if time is not None)
        assert found.schedule is not None
        assert {(step.recipe, step.hoist) for step in found.schedule} == {("A", "A"), ("B", "B")}


def test_one_hoist_in_a_list_is_the_line_that_it_was(tmp_path: Path) -> None:
    text = (PROBLEMS / "three_tanks_dryer.toml").read_text()
    listed = tmp_path / "listed.toml"
    listed.write_text(text.replace("[hoist]", "[[hoist]]"))
    assert "[[hoist]]" in listed.read_text()
    before, after = (
        hoistopt.load_problem(path) for path in (PROBLEMS / "three_tanks_dryer.toml", listed)
    )
    assert before == after and before.to_data() == after.to_data()
