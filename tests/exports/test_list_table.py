"""The table of a programme: what it states, its limits to the tick, its proof.

Where a limit of lateness is held against something, that is the checker's replay of the moves
as a sequencer would make them: in order, each when it is due and the line is ready for it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

import hoistopt
from hoistopt import InputError, Programme, programme_table
from hoistopt.checker import ProgrammeReplay, replay_programme
from hoistopt.exports import ExportFailed, check_sum, export_text
from hoistopt.exports.readback import prove
from hoistopt.exports.readback.once import check_list
from hoistopt.exports.readback.proof import as_exported
from hoistopt.problem import Problem
from tests.helpers.block.listed import filled_by, stopped
from tests.helpers.block.sequenced import HOSTILE, crowded, dryer, odd, returning, solved

pytestmark = pytest.mark.quick

CASES = [(dryer, 1, "ms"), (dryer, 3, "s"), (crowded, 2, "s"), (returning, 2, "ds"), (odd, 2, "s")]
IDS = ["dryer", "dryer in s", "crowded in s", "returning in 0.1 s", "odd in s"]
FORMS = ("csv", "json", "st", "xml")


def run_out(make: Callable[..., Problem], cycles: int, unit: str = "ms") -> Any:
    problem, schedule = solved(make)
    return programme_table(problem, hoistopt.unroll(schedule, cycles), unit=unit)


# -- what it states ----------------------------------------------------------------------


@pytest.mark.parametrize(("make", "cycles", "unit"), CASES, ids=IDS)
def test_read_back_and_replayed_in_every_format(make: Any, cycles: int, unit: str) -> None:
    problem, _ = solved(make)
    table = filled_by(make, cycles, unit)
    assert table.once and table.steps
    for form in FORMS:
        assert export_text(problem, table, form)
    alone = run_out(make, cycles, unit)
    assert alone.once and not alone.steps
    for form in ("csv", "json"):
        assert export_text(problem, alone, form)


def test_steps_of_the_list_come_first_and_feed_those_of_the_cycle() -> None:
    table = filled_by(dryer, 3)
    once = len(table.once)
    assert [row.step for row in table.rows] == list(range(1, once + 6))
    for row in table.rows:
        if row.fed_by is not None:
            before = table.rows[row.fed_by - 1]
            assert (before.place, before.recipe) == (row.pick, row.recipe)
        if row.feeds is None:
            assert row.place == 0  # the bench, where loads leave the line
            continue
        after = table.rows[row.feeds - 1]
        assert after.pick == row.place and after.stage == row.stage + 1
        if row.step <= once < row.feeds:
            assert row.lifted_in < after.boundaries
        else:
            assert row.lifted_in == 0
            assert after.fed_by == row.step
    handed = [row for row in table.once if row.feeds is not None and row.feeds > once]
    # As many as the full line has at the moment at which a cycle begins.
    assert len(handed) == sum(row.boundaries for row in table.steps)


def test_a_list_alone_is_the_programme_in_whole_units() -> None:
    problem, schedule = solved(dryer)
    programme = hoistopt.unroll(schedule, 2)
    table = programme_table(problem, programme)
    assert [Fraction(row.start, 1000) for row in table.once] == [
        programme.time(step.start) for step in programme
    ]
    assert (table.cycle, table.joins, table.steps) == (0, 0, ())


def test_a_load_of_the_state_is_fed_by_its_own_step() -> None:
    problem, schedule = solved(dryer)
    table, state = stopped(problem, schedule, 3, 7)
    own = {row.load for row in table.once if row.fed_by == row.step}
    assert own == set(state.loads)
    text = export_text(problem, table, "csv")
    assert "load 1 of Cases has stood in Dryer (stage 4) for 144.6 s" in text
    assert "The hoist is free at Wash 0 s after that" in text
    data = json.loads(export_text(problem, table, "json"))
    assert len(data["list_begins_with"]) == 4 and data["list_steps"] == len(table.once)


def test_a_load_that_the_programme_leaves_alone_is_lifted_in_the_list_too() -> None:
    problem, schedule = solved(dryer)
    table, state = stopped(problem, schedule, 3, 10)
    # Of the programme one move is left; the cycle's own follow until both loads are lifted.
    moved = {row.load for row in table.once if row.fed_by == row.step}
    assert moved == set(state.loads) and len(moved) == 2 and len(table.once) > 1
    for form in FORMS:
        assert export_text(problem, table, form)


def test_programmes_of_the_examples_are_replayed_with_doubt() -> None:
    problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    state = hoistopt.read_state("problems/days/stopped.toml", problem)
    plan = hoistopt.plan(problem, (), state, time_limit=10)
    assert plan.programme is not None
    table = programme_table(problem, plan.programme, state)
    assert "for 40 to 70 s" in export_text(problem, table, "csv")
    assert [row.load for row in table.once if row.fed_by == row.step] == [12, 11]


# -- limits --------------------------------------------------------------------------------


def late(seen: ProgrammeReplay, number: int, lateness: Fraction) -> Programme:
    """The moves with one late start, the others in order and as soon as they are due and ready.

    Written from the rule in the table and the checker's physics, without the event graph.
    """
    course, clock = seen.course, seen.course.table.clock
    starts: list[int] = []
    lifted = {stay.lifted_by: stay for stay in course.stays}
    ended: list[int] = []
    for index, run in enumerate(course.runs):
        start = run.start
        if index:
            before = course.runs[index - 1]
            way = course.table.times.empty(before.target, run.source)
            assert way is not None
            start = max(start, ended[-1] + way)
        stay = lifted.get(index)
        if stay is not None:
            came = stay.late if stay.brought_by is None else ended[stay.brought_by]
            start = max(start, came + stay.window.least)
        if index == number:
            start = run.start + clock.exact(lateness)
        starts.append(start)
        ended.append(start + run.parts.total)
    # Where roots are among the times, to a thousandth of a microsecond.
    rate = 10**9
    steps = (
        replace(seen.programme.steps[run.number], start=-(-start * rate // clock.per_unit))
        for run, start in zip(course.runs, starts, strict=True)
    )
    return Programme(Fraction(rate), tuple(steps))


@pytest.mark.parametrize(("make", "cycles"), [(dryer, 3), (crowded, 2)], ids=["dryer", "crowded"])
def test_alarm_limits_hold_and_one_ms_more_does_not(make: Any, cycles: int) -> None:
    problem, _ = solved(make)
    table = filled_by(make, cycles, "ms" if make is dryer else "s")
    per = Fraction(1, 1000) * table.unit.milliseconds
    line = as_exported(problem, table)
    seen = check_list(table, line)
    limited, tiny = 0, Fraction(1, 10**6)
    for number, row in enumerate(table.once):
        if row.alarm is None:
            continue
        limited += 1
        room = row.alarm - row.start
        kept = replay_programme(line, late(seen, number, room * per - tiny), table.state)
        broken = replay_programme(line, late(seen, number, (room + 1) * per), table.state)
        assert not [v for v in kept.violations if v.rule == "window"]
        assert [v for v in broken.violations if v.rule == "window"]
        assert row.start <= row.clock_limit <= row.alarm
        assert row.lasting_limit is None or row.lasting_limit >= row.alarm
    assert limited >= len(table.once) // 2


def test_latest_starts_leave_all_others_alone_and_one_ms_more_does_not() -> None:
    problem, _ = solved(dryer)
    table = filled_by(dryer, 3)
    seen = check_list(table, problem)
    for number, row in enumerate(table.once):
        for more in (0, 1):
            moved = list(seen.programme.steps)
            start = (row.latest + more) * seen.programme.ticks_per_unit / 1000
            moved[number] = replace(moved[number], start=int(start))
            found = replay_programme(
                problem, Programme(seen.programme.ticks_per_unit, tuple(moved)), table.state
            )
            assert found.clean == (more == 0), (row.step, found.violations)


# -- what is refused -------------------------------------------------------------------------

CHANGES = {
    "csv": [
        ("list_steps [number],6", "list_steps [number],5"),
        ("cycle_begins [ms],468000", "cycle_begins [ms],468001"),
        ("\n2,1,3,1,1,1,1,", "\n2,1,3,1,1,1,2,"),
    ],
    "json": [
        ('"list_steps": 6', '"list_steps": 7'),
        ('"cycle_begins_ms": 468000', '"cycle_begins_ms": 467999'),
        ('"lifted_in": 0', '"lifted_in": 1'),
    ],
    "st": [
        ("ListSteps := 6", "ListSteps := 5"),
        ("ListTime_ms := 468000", "ListTime_ms := 468001"),
        ("LiftedIn := 0", "LiftedIn := 1"),
    ],
    "xml": [('value="468000"', 'value="468001"')],
}


@pytest.mark.parametrize(
    ("form", "change"), [(form, change) for form, all_of in CHANGES.items() for change in all_of]
)
def test_a_changed_file_is_not_taken_for_the_list(form: str, change: tuple[str, str]) -> None:
    problem, _ = solved(dryer)
    table = filled_by(dryer, 2)
    text = export_text(problem, table, form)
    assert change[0] in text
    with pytest.raises(ExportFailed):
        prove(problem, table, text.replace(*change, 1), form)


def test_a_list_that_breaks_a_window_is_not_written() -> None:
    problem, _ = solved(dryer)
    table = filled_by(dryer, 2)
    late_row = replace(table.once[1], start=table.once[1].start + 60_000)
    wrong = replace(table, once=(table.once[0], late_row, *table.once[2:]))
    with pytest.raises(ExportFailed, match="windows as stated"):
        export_text(problem, wrong, "json")


def test_a_list_handed_to_another_step_of_the_cycle_is_not_written() -> None:
    problem, _ = solved(dryer)
    table = filled_by(dryer, 2)
    row = next(row for row in table.once if row.feeds is not None and row.feeds > len(table.once))
    other = next(step.step for step in table.steps if step.step != row.feeds and step.fed_by)
    wrong = replace(
        table,
        once=tuple(replace(r, feeds=other) if r.step == row.step else r for r in table.once),
    )
    with pytest.raises(ExportFailed):
        export_text(problem, wrong, "csv")


def test_the_check_sum_has_the_list_in_it() -> None:
    table = filled_by(dryer, 2)
    assert check_sum(table) != check_sum(replace(table, joins=table.joins + 1))
    row = replace(table.once[0], lifted_in=1)
    assert check_sum(table) != check_sum(replace(table, once=(row, *table.once[1:])))


def test_names_of_the_user_end_no_comment_and_begin_no_formula() -> None:
    problem, schedule = solved(crowded, True)
    programme = hoistopt.unroll(schedule, 2, run_out=False)
    seen = hoistopt.accepted_programme(problem, programme)
    state = hoistopt.state_after(seen, seen.runs[2].end)
    zero = seen.runs[2].end * 1000
    rest = [
        replace(step, start=int(programme.time(step.start) * 1000 - zero))
        for step in programme.steps[3:]
    ]
    table = programme_table(
        problem,
        Programme(Fraction(1000), tuple(rest)),
        state,
        schedule,
        2 * schedule.time(schedule.cycle) - seen.runs[2].end,
    )
    assert any(HOSTILE["Hot"] in sentence for sentence in table.begins)
    for form in FORMS:
        text = export_text(problem, table, form)
        if form == "st":
            assert text.isascii() and not re.search(r"\*\)[^\n]*END_VAR \(\*", text)


BAD = {
    "joins without a cycle": ({"joins": 468}, "the cycle that begins then as well"),
    "a cycle without joins": ({"then": True}, "the time at which the cycle begins"),
    "joins before the last move": ({"then": True, "joins": 100}, "after the last move"),
    "joins below 0": ({"then": True, "joins": -1}, "after the last move"),
    "joins too soon for a load": ({"then": True, "joins": 350}, "lifts load"),
    "no such unit": ({"unit": "h"}, "one of ms, ds"),
    "too coarse a unit": ({"unit": "min"}, "finer"),
    "no such order of stations": ({"stations": "east"}, "track"),
}


@pytest.mark.parametrize(("asked", "told"), BAD.values(), ids=BAD)
def test_what_cannot_be_a_list(asked: dict[str, Any], told: str) -> None:
    problem, schedule = solved(dryer)
    programme = hoistopt.unroll(schedule, 2, run_out=False)
    asked = {**asked, "then": schedule} if asked.get("then") else asked
    with pytest.raises(InputError, match=told):
        programme_table(problem, programme, **asked)


def test_a_cycle_that_begins_too_late_is_refused_by_the_checker() -> None:
    problem, schedule = solved(dryer)
    programme = hoistopt.unroll(schedule, 2, run_out=False)
    with pytest.raises(hoistopt.ProgrammeRefused, match="too long"):
        programme_table(problem, programme, then=schedule, joins=2000)


def test_an_empty_programme_is_no_list() -> None:
    problem, _ = solved(dryer)
    with pytest.raises(InputError, match="at least one move"):
        programme_table(problem, Programme(Fraction(1), ()))


def test_a_list_without_a_cycle_is_no_block() -> None:
    problem, _ = solved(dryer)
    for form in ("st", "xml"):
        with pytest.raises(InputError, match="a cycle that follows"):
            export_text(problem, run_out(dryer, 1), form)
