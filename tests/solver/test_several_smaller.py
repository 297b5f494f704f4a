"""Several hoists and several loads: cycles of a smaller line made into cycles of the line."""

from __future__ import annotations

from random import Random

import pytest

from hoistopt import Hoist, Motion, Problem, Recipe, Stage, Station, Track, verify
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance import build_instance
from hoistopt.solver import least_cycle
from hoistopt.solver.cyclic.starts.copies import fewer_sets
from hoistopt.solver.cyclic.starts.groups import LONGER, groups_of, merged
from hoistopt.solver.model.several_bounds import lower_bound
from hoistopt.solver.several.incumbent import GivingWay
from hoistopt.solver.several.smaller import start_from_smaller


def _line(seed: int, tanks: int) -> Problem:
    """An invented line with two hoists, neither of which reaches both ends, and a long stage."""
    draw = Random(f"several groups {seed}")
    group = tuple(f"Plate {n + 1}" for n in range(tanks))
    names = ["Clean", "Rinse 1", *group, "Rinse 2"]
    stages = []
    for name, least in (("Clean", 60), ("Rinse 1", 15), (group, 300), ("Rinse 2", 20)):
        low = least + draw.randint(0, least)
        stages.append(Stage(name, min=low, max=low + draw.randint(20, 120)))
    loaded, empty = Motion(0.4, acceleration=0.3), Motion(0.6, acceleration=0.5)
    return Problem(
        f"several groups {seed}",
        tick=0.5,
        stations=[
            Station("In", kind="load", position=0),
            *(Station(name, position=1.5 * at) for at, name in enumerate(names, start=1)),
            Station("Out", kind="unload", position=1.5 * (len(names) + 1)),
        ],
        recipes=[Recipe("all", stages)],
        hoist=[Hoist(name=n, lift=6, lower=5, loaded=loaded, empty=empty) for n in ("A", "B")],
        track=Track(1.2, from_=0, to=1.5 * (len(names) + 1)),
    )


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("tanks", "degree"), [(2, 2), (3, 3), (1, 2)])
def test_a_cycle_of_the_smaller_line_is_made_one_of_the_line(
    tanks: int, degree: int, seed: int
) -> None:
    problem = _line(seed, tanks)
    instance = build_instance(problem, degree, several=True)
    clock = Clock(Effort(60, 1))
    incumbent = GivingWay(1, None, instance=instance)
    incumbent.begin(lower_bound(instance, clock))
    start_from_smaller(instance, incumbent, clock, least_cycle)
    assert incumbent.schedule is not None
    assert {step.hoist for step in incumbent.schedule} == {"A", "B"}
    assert verify(problem, incumbent.schedule) == ()
    small = fewer_sets(instance)
    if tanks > 1:
        assert groups_of(instance)
        small = merged(small, groups_of(instance), careful=False)
    found = least_cycle(small, clock).schedule
    assert found is not None
    assert incumbent.schedule.cycle <= LONGER * degree * found.cycle
    used = {step.target for step in incumbent.schedule if step.target.startswith("Plate")}
    assert len(used) == tanks
