"""Several hoists into a cycle that leaves less room than is enough in general, and from states."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

import hoistopt
from hoistopt import Between, HoistAt, LineState, Schedule, Step, Travel
from hoistopt.base.errors import InputError
from hoistopt.checker.programme.repeating import same_cycle
from hoistopt.planning.joining.from_state import named_cycle

LINE = Path("problems/several/two_hoists.toml")
CYCLE = 308.4
TABLE = """\
0,Load,Degrease,1,0,,U,
23.4,Rinse 3,Passivate,2,6,1,D,
26,Pickle,Rinse 2,1,3,1,U,
49.4,Zinc 2,Rinse 3,1,5,1,D,
52,Rinse 1,Pickle,2,2,1,U,
76.3,Rinse 2,Zinc 2,1,4,0,U,
88.7,Passivate,Unload,2,7,0,D,
103.1,Rinse 3,Passivate,1,6,0,U,
142.1,Degrease,Rinse 1,1,1,0,D,
155.1,Load,Degrease,2,0,,U,
180.7,Passivate,Unload,1,7,0,D,
181.1,Pickle,Rinse 2,2,3,0,U,
207.1,Rinse 1,Pickle,1,2,0,U,
248.6,Zinc 1,Rinse 3,2,5,1,D,
257.6,Rinse 2,Zinc 1,2,4,0,U,
295.4,Degrease,Rinse 1,2,1,0,D,
11.25,,,,,,D,10.5
20.25,,,,,,U,4.5
43.65,,,,,,D,9
46.25,,,,,,U,3
69.65,,,,,,D,12
72.25,,,,,,U,6
99.55,,,,,,U,10.5
108.95,,,,,,D,13.6
123.35,,,,,,U,-0.1
123.35,,,,,,D,1.5
154.1543,,,,,,U,0
166.35,,,,,,D,12
175.35,,,,,,U,4.5
200.95,,,,,,D,7.5
201.35,,,,,,U,3
254.0059,,,,,,U,6
275.85,,,,,,D,1.5
277.85,,,,,,U,-0.1
307.4543,,,,,,U,0
"""
"""A cycle of two loads, drawn together by the exact times of its ways: start in s, from, to, load,
stage, boundaries, hoist, or else start, hoist and where to of an empty travel."""


def drawn_together() -> Schedule:
    """The cycle, in ticks of 0.1 s."""
    steps, travels, hoists = [], [], {"U": "Upstream", "D": "Downstream"}
    for row in TABLE.splitlines():
        start, source, target, load, stage, boundaries, hoist, to = row.split(",")
        time = Fraction(start) * 10
        if to:
            travels.append(Travel(time, hoists[hoist], Fraction(to)))
            continue
        numbers = int(load), int(stage), int(boundaries) if boundaries else None
        steps.append(Step(int(time), source, target, "Brackets", *numbers, hoists[hoist]))
    return Schedule(round(CYCLE * 10), Fraction(10), tuple(steps), tuple(travels))


def test_a_cycle_drawn_together_is_joined_and_its_ways_are_gone_on_with() -> None:
    problem, cycle = hoistopt.load_problem(LINE), drawn_together()
    plan = hoistopt.plan(problem, to=cycle, workers=1, time_limit=20)
    seen = plan.replay
    assert plan.in_step is not None and plan.in_step <= 642.8
    assert seen is not None and seen.clean
    assert same_cycle(seen.course, named_cycle(problem, cycle))
    programme = seen.programme
    assert programme.repeats is not None
    # The last cycle shown has the travels of the cycle, at their times.
    last = max(step.start for step in programme) - programme.repeats.since
    begins = programme.repeats.since + last // cycle.cycle * cycle.cycle
    told = [t for t in programme.travels if begins <= t.start < begins + cycle.cycle]
    assert len(told) == len(cycle.travels)
    shifts = {(t.start - cycle.travels[0].start) % cycle.cycle for t in told}
    meant = {(t.start, t.hoist, t.to) for t in cycle.travels}
    assert any(
        {((t.start - shift) % cycle.cycle, t.hoist, t.to) for t in told} == meant
        for shift in shifts
    )


def test_hoists_on_their_way_that_may_come_too_close_ask_for_another_moment() -> None:
    problem = hoistopt.load_problem(LINE)
    state = LineState(
        hoists=(
            HoistAt("Rinse 2", Between.of(7), name="Upstream", position=Fraction(43, 10)),
            HoistAt("Rinse 3", Between.of(12), name="Downstream", position=Fraction(6)),
        )
    )
    with pytest.raises(InputError, match="keep their distance until they are free"):
        hoistopt.plan(problem, [hoistopt.Order("Brackets")], state)
