"""The checker on programmes that end in a cycle: what repeats, and what cannot for ever."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

import hoistopt
from hoistopt import Problem, Programme, Repeats

pytestmark = pytest.mark.quick


@cache
def line() -> Problem:
    return hoistopt.load_problem("problems/roomy_dryer.toml")


@cache
def filled() -> Programme:
    """A cycle from an empty line on, unrolled; three loads are in the line at a time."""
    result = hoistopt.solve(line(), degree=1)
    assert result.schedule is not None
    cycle = result.schedule
    programme = hoistopt.unroll(cycle, 12, run_out=False)
    full = max(step.start // cycle.cycle for step in programme if step.load == 1)
    first = (full + 1) * cycle.cycle
    return replace(programme, repeats=Repeats(first, cycle.cycle))


def broken(programme: Programme) -> set[str]:
    return {one.rule for one in hoistopt.replay_programme(line(), programme).violations}


def test_a_cycle_from_an_empty_line_goes_on() -> None:
    assert broken(filled()) == set()
    assert len(hoistopt.replay_programme(line(), filled()).left) > 1


def test_it_goes_on_from_any_of_its_moves() -> None:
    repeats = filled().repeats
    assert repeats is not None
    later = [s.start for s in filled() if repeats.since < s.start < repeats.since + repeats.every]
    assert later
    for start in later:
        last = start + 4 * repeats.every
        steps = tuple(step for step in filled() if step.start < last)
        assert (
            broken(Programme(filled().ticks_per_unit, steps, Repeats(start, repeats.every)))
            == set()
        )


def test_a_move_at_another_time_in_one_of_the_cycles_is_told() -> None:
    steps = list(filled().steps)
    steps[-1] = replace(steps[-1], start=steps[-1].start + 1)
    assert "repetition" in broken(replace(filled(), steps=tuple(steps)))


def test_a_move_left_out_is_told() -> None:
    repeats = filled().repeats
    assert repeats is not None
    ends = repeats.since + 4 * repeats.every
    steps = [step for step in filled() if step.start < ends]
    assert broken(replace(filled(), steps=tuple(steps))) == set()
    assert "repetition" in broken(replace(filled(), steps=tuple(steps[:-1])))


def test_a_cycle_shown_before_the_line_is_full_does_not_go_on() -> None:
    cycle = filled().repeats
    assert cycle is not None
    # Only the load station is served at first: as a cycle that fills the tanks.
    steps = tuple(step for step in filled() if step.start < cycle.every)
    assert len(steps) < 4
    wrong = Programme(filled().ticks_per_unit, steps, Repeats(steps[0].start, cycle.every))
    assert broken(wrong)


def test_a_cycle_that_takes_the_loads_in_turn_is_told() -> None:
    """Every other load stays in its tank a cycle longer: same moves, other loads."""
    steps = list(filled().steps)
    repeats = filled().repeats
    assert repeats is not None
    late = [step for step in steps if step.start >= repeats.since and step.stage == 1]
    one, other = late[0], late[1]
    swap = {one.load: other.load, other.load: one.load}
    moved = [
        replace(step, load=swap[step.load])
        if step.load in swap and step.start >= one.start and step.stage
        else step
        for step in steps
    ]
    assert broken(replace(filled(), steps=tuple(moved)))


def test_files_keep_where_it_repeats(tmp_path: object) -> None:
    from pathlib import Path

    from hoistopt.app.verify import verify_programme
    from hoistopt.schedule.files import read_programme

    answer = verify_programme(line(), filled())
    for name in ("out.csv", "out.json"):
        path = Path(str(tmp_path)) / name
        text = (
            answer.csv()
            if name.endswith("csv")
            else __import__("json").dumps(answer.data(), default=float)
        )
        path.write_text(text)
        read = read_programme(path, line())
        assert read.repeats is not None and filled().repeats is not None
        assert read.time(read.repeats.since) == filled().time(filled().repeats.since)
        assert read.time(read.repeats.every) == filled().time(filled().repeats.every)
