"""The function block when a step is late: in order, when due, the clock put back where it must.

The limits come from the slack analysis, which follows events in a graph; here they are
compared with what the plant measures when the block's own text is run.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from tests.helpers.block.late_block import (
    SELDOM,
    STEPS_OF_DRYER,
    cycle_of,
    filled_line,
    overstays,
    shown,
    steady,
    too_short,
    whole_run,
)
from tests.helpers.block.plant import LONGEST_SCAN, Plant
from tests.helpers.block.sequenced import changed, plant


def held(step: int, until: int, scan: int = LONGEST_SCAN) -> tuple[Plant, int, int]:
    """A line whose hoist is not ready for a step until a time of its cycle, in units."""
    name = "dryer"
    running = filled_line(name, scan)
    unit, since = running.table.unit.milliseconds, steady(running, name)
    planned_at = running.table.steps[step - 1].start
    busy = (since + planned_at * unit, since + until * unit)
    running.hoist_ready = lambda now: not busy[0] <= now < busy[1]
    running.events = busy
    return running, since, unit


def when_due(
    line: Plant, late_step: int, late_cycle: int, started: int, until: int
) -> list[tuple[int, int]]:
    """What the rule of the sequencer makes of one late start, in plain arithmetic.

    Keep the order; start when planned, but not before the hoist is there and the carrier
    has stood its minimum; the late step not before the time given.
    """
    table, unit, cycle = line.table, line.table.unit.milliseconds, cycle_of(line)
    ended: dict[tuple[int, int], int] = {}
    found: list[tuple[int, int]] = []
    free, at = 0, table.steps[0].pick
    for c in range(until // cycle + 1):
        for step in table.steps:
            fed = (step.fed_by, c - step.boundaries)
            if step.fed_by is not None and fed not in ended:
                continue
            start = max(c * cycle + step.start * unit, free + line.empty[at, step.pick])
            if step.fed_by is not None:
                start = max(start, ended[fed] + step.least * unit)
            if (step.step, c) == (late_step, late_cycle):
                start = max(start, started)
            found.append((step.step, start))
            free, at = start + line.moving_time[step.step - 1], step.place
            ended[step.step, c] = free
    return [(s, now) for s, now in found if now <= until]


@pytest.mark.parametrize(("name", "step"), [("dryer", 3), ("returning", 3), ("returning", 4)])
def test_planned_as_late_as_the_latest_start_moves_nothing_else(name: str, step: int) -> None:
    running = plant(name)
    row, unit = running.table.steps[step - 1], running.table.unit.milliseconds
    assert row.latest > row.start
    running.model = None
    changed(running.machine, step, PlannedStart_ms=row.latest * unit)
    steps = list(running.table.steps)
    steps[step - 1] = replace(row, start=row.latest)
    running.table = replace(running.table, steps=tuple(steps))
    running.scan = SELDOM
    running.run(steady(running, name) + 3 * cycle_of(running))
    more = (row.latest - row.start) * unit
    expected = [(s, now + more * (s == step)) for s, now in whole_run(name, running.now)]
    assert running.started == expected[: len(running.started)]
    assert not overstays(running)
    assert not too_short(running)
    assert not shown(running, "Late")


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
def test_up_to_the_clock_limit_later_steps_keep_their_order_and_start_when_due(step: int) -> None:
    row = plant("dryer").table.steps[step - 1]
    running, since, unit = held(step, row.clock_limit)
    running.run(since + 6 * cycle_of(running))
    started, cycle = since + row.clock_limit * unit, since // cycle_of(running)
    assert running.started == when_due(running, step, cycle, started, running.now)
    assert not too_short(running)
    assert not overstays(running)
    assert not shown(running, "Drift")


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
def test_late_up_to_the_alarm_limit_lets_no_load_overstay(step: int) -> None:
    row = plant("dryer").table.steps[step - 1]
    assert row.alarm is not None
    running, since, _ = held(step, row.alarm, SELDOM)
    running.run(since + 12 * cycle_of(running))
    assert not overstays(running)
    assert not shown(running, "Overstay")
    assert not shown(running, "Alarm")


def settles(running: Plant, late: int) -> None:
    """Nothing is too long that was set down after the delay; what was had its alarm before."""
    after = next(now for _, now in running.started if now >= late)
    cycle = cycle_of(running)
    for stay in running.stays:
        if stay.too_long:
            assert stay.since <= after
            assert stay.until < after + 2 * cycle
            assert any(
                stay.since <= time <= stay.until and (station, step) == (stay.station, stay.step)
                for time, station, step in running.alarms
            )
    assert not too_short(running)
    # From the next cycle but one all is as planned, later by the same time.
    plan = whole_run("dryer", running.now)
    count = sum(now <= after + 2 * cycle for _, now in running.started)
    shift = {
        now - next(t for s, t in plan[number:] if s == step)
        for number, (step, now) in enumerate(running.started)
        if number >= count
    }
    assert len(shift) <= 1 or len(running.started) < count + 3


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
@pytest.mark.parametrize("late", [10, 220, 1_000, 3_000, 36_000])
def test_after_one_late_start_the_cycle_after_next_is_within_its_windows(
    step: int, late: int
) -> None:
    row = plant("dryer").table.steps[step - 1]
    running, since, unit = held(step, row.start + late, SELDOM)
    running.run(since + (row.start + late) * unit + 6 * cycle_of(running))
    settles(running, since + (row.start + late) * unit)


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
@pytest.mark.parametrize("stuck", [1_000, 22_000, 100_000, 500_000])
def test_after_one_stuck_move_the_cycle_after_next_is_within_its_windows(
    step: int, stuck: int
) -> None:
    running = filled_line("dryer", SELDOM)
    since = steady(running, "dryer")
    ended: list[int] = []

    def slower(now: int, number: int) -> int:
        if ended or now < since or number != step - 1:
            return 0
        ended.append(now + running.moving_time[number] + stuck)
        return stuck

    running.slower = slower
    running.run(since + stuck + 7 * cycle_of(running))
    settles(running, ended[0])


@pytest.mark.parametrize("length", [4_000, 40_000, 400_000])
def test_paused_and_resumed_at_any_instant_of_the_cycle(length: int) -> None:
    first = steady(plant("dryer"), "dryer")
    for stop in range(first, first + 234_000, 13_000):
        running = filled_line("dryer", SELDOM)
        running.enable = lambda now, a=stop, b=stop + length: not a <= now < b
        running.events = (stop, stop + length)
        running.run(stop + length + 4 * cycle_of(running))
        assert not [now for _, now in running.started if stop <= now < stop + length]
        settles(running, stop + length)


def test_a_move_stands_still_while_paused_and_goes_on() -> None:
    running = plant("dryer")
    since = steady(running, "dryer")
    running.run(since + 2_000)
    machine, step = running.machine, running.machine["StepNo"]
    assert machine["StartMove"]
    running.enable = lambda now: not since + 3_000 <= now < since + 9_000
    running.events = (since + 3_000, since + 9_000)
    running.run(since + 8_999)
    assert not machine["StartMove"]
    assert running.moving is not None
    running.run(since + 9_000)
    assert machine["StartMove"]
    assert machine["StepNo"] == step
    running.run(since + running.moving_time[step - 1] + 6_000)
    assert running.moving is None


def test_an_alarm_comes_as_soon_as_it_is_certain_and_names_step_and_station() -> None:
    running, since, _ = held(3, 5_000)
    running.run(since + 8 * cycle_of(running))
    row = running.table.steps[1]
    over = next(stay for stay in running.stays if stay.too_long)
    time = next(t for t, station, step in running.alarms if step == over.step)
    assert over.most is not None
    assert time <= over.since + over.most + running.scan  # in the call in which it has passed
    assert row.pick in running.names
    named = {(station, step) for _, station, step in running.alarms}
    assert named == {(stay.station, stay.step) for stay in running.stays if stay.too_long}


def test_overstay_and_dwell_are_shown_by_station() -> None:
    running, since, unit = held(2, 5_000)
    row = running.table.steps[1]
    running.run(since + 3_000 * unit)
    machine = running.machine
    (carrier,) = running.standing[row.pick]
    assert machine["OverstayAt"][row.pick]
    assert machine["DwellAt_ms"][row.pick] == running.now - carrier.since
    others = [n for n in running.names if not running.standing[n]]
    assert others
    assert {machine["DwellAt_ms"][n] for n in others} == {0}
    assert not any(machine["OverstayAt"][n] for n in others)
    running.run(since + 5_200 * unit)
    assert not machine["OverstayAt"][row.pick]


def test_every_move_a_little_slower_for_hours() -> None:
    # 0.1 s more than planned: some steps have no time to spare, so the clock gives way.
    running = plant("dryer")
    running.slower = lambda now, step: 100
    running.scan = SELDOM
    running.run(200 * cycle_of(running))
    assert shown(running, "Drift")
    assert running.machine["LostTime_ms"] > 0
    assert not overstays(running)
    assert not running.alarms


def test_a_stop_of_hours_is_not_made_up_for() -> None:
    running, since, unit = held(2, 36_000, SELDOM)  # an hour
    running.run(since + 36_000 * unit + 6 * cycle_of(running))
    last = [now for s, now in running.started if s == 2][-4:]
    assert [b - a for a, b in pairwise(last)] == [cycle_of(running)] * 3
    wait = len(running.stays)
    running.run(running.now + 4 * cycle_of(running))
    running.stays = running.stays[wait:]
    assert running.stays
    assert not overstays(running)
    assert not shown(running, "Drift")[-1:] or shown(running, "Drift")[-1] < running.now


def test_the_clock_stands_while_it_is_held() -> None:
    running = plant("dryer")
    since = steady(running, "dryer")
    running.hold = lambda now: since + 30_000 <= now < since + 42_000
    running.events = (since + 30_000, since + 42_000)
    running.run(since + 2 * cycle_of(running))
    plan = whole_run("dryer", running.now)
    held_up = [(s, now + 12_000 * (now > since + 30_000)) for s, now in plan]
    # HoldClock counts for the time up to the call that has it: one call more or less.
    for (step, now), (wanted, planned_at) in zip(running.started, held_up, strict=False):
        assert step == wanted
        assert abs(planned_at - now) <= running.scan
