"""The function block when a step is late: in order, when due, no further than the alarm limit.

The limits come from the slack analysis, which follows events in a graph; here they are
compared with what the plant measures when the block's own text is run.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.helpers.late_block import (
    STEPS_OF_DRYER,
    cycle_of,
    overstays,
    shown,
    steady,
    too_short,
    whole_run,
)
from tests.helpers.plant import Plant
from tests.helpers.sequenced import plant


def held(step: int, until: int, name: str = "dryer") -> tuple[Plant, int, int]:
    """A line whose hoist is not ready for a step until a time of its cycle, in units."""
    running = plant(name)
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
    later = next(key for key in running.machine["Steps"][step] if key.startswith("PlannedStart"))
    per = unit if later == "PlannedStart" else 1  # TIME literals are in ms
    running.machine["Steps"][step][later] = row.latest * per
    running.run(steady(running, name) + 3 * cycle_of(running))
    more = (row.latest - row.start) * unit
    expected = [(s, now + more * (s == step)) for s, now in whole_run(name, running.now)]
    assert running.started == expected[: len(running.started)]
    assert not overstays(running)
    assert not too_short(running)
    assert not shown(running, "Late")


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
@pytest.mark.parametrize("late", [0, 37, 150])
def test_later_steps_keep_their_order_and_start_when_due(step: int, late: int) -> None:
    row = plant("dryer").table.steps[step - 1]
    running, since, unit = held(step, row.latest + late)
    running.run(since + 6 * cycle_of(running))
    started, cycle = since + (row.latest + late) * unit, since // cycle_of(running)
    assert running.started == when_due(running, step, cycle, started, running.now)
    assert not too_short(running)
    times = shown(running, "Late")
    if late:
        assert since + row.latest * unit < times[0] <= since + (row.latest + late) * unit
    else:
        assert not times


@pytest.mark.parametrize("late", [2_000, 5_000])
def test_lateness_may_be_longer_than_a_cycle(late: int) -> None:
    # Without alarm limits the clock does not stop; what is late is then made up for.
    running, since, unit = held(5, 1124 + late)
    for step in STEPS_OF_DRYER:
        running.machine["Steps"][step]["AlarmLimited"] = False
    running.run(since + 8 * cycle_of(running))
    started, cycle = since + (1124 + late) * unit, since // cycle_of(running)
    assert running.started == when_due(running, 5, cycle, started, running.now)


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
def test_late_up_to_the_alarm_limit_lets_no_load_overstay(step: int) -> None:
    row = plant("dryer").table.steps[step - 1]
    assert row.alarm is not None
    running, since, _ = held(step, row.alarm)
    running.run(since + 12 * cycle_of(running))
    assert not overstays(running)
    assert not shown(running, "Overstay")
    assert not shown(running, "Alarm")


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
def test_later_than_the_alarm_limit_some_load_overstays(step: int) -> None:
    # With the clock's stop taken out, which would move the plan instead.
    row = plant("dryer").table.steps[step - 1]
    assert row.alarm is not None
    running, since, _ = held(step, row.alarm + 1)
    running.machine["Steps"][step]["AlarmLimited"] = False
    running.run(since + 12 * cycle_of(running))
    assert overstays(running)
    assert shown(running, "Overstay")


@pytest.mark.parametrize("step", STEPS_OF_DRYER)
def test_clock_stands_at_the_alarm_limit_until_the_step_has_started(step: int) -> None:
    row = plant("dryer").table.steps[step - 1]
    assert row.alarm is not None
    running, since, unit = held(step, row.alarm + 900)
    running.run(since + (row.alarm + 899) * unit)
    assert running.clock == row.alarm * unit
    assert shown(running, "Alarm")[0] == since + row.alarm * unit
    assert running.machine["Alarm"]
    running.run(since + 9 * cycle_of(running))
    assert not running.machine["Alarm"]
    assert not too_short(running)
    # What follows is what a start at the limit would lead to, 90 s later.
    limit, _, _ = held(step, row.alarm)
    limit.run(running.now - 900 * unit)
    after = [(s, now - 900 * unit) for s, now in running.started if now > since + row.alarm * unit]
    assert after == [start for start in limit.started if start[1] >= since + row.alarm * unit]


def test_no_alarm_where_the_hoist_only_comes_late() -> None:
    # Step 5 takes two and a half minutes too long, so that the next load, which may be
    # 20 s late by itself, is lifted later than that.
    running = plant("dryer")
    since = steady(running, "dryer")
    running.run(since + 1_000 * 100)
    running.moving_time[4] += 150_000
    running.run(since + 1_200 * 100)
    running.moving_time[4] -= 150_000
    running.run(since + cycle_of(running) * 3 // 2)
    row = running.table.steps[0]
    assert row.alarm is not None
    lifted = next(now for s, now in running.started if s == 1 and now > since)
    assert lifted > since + cycle_of(running) + row.alarm * 100
    assert not [now for now in shown(running, "Alarm") if now <= lifted]


def test_a_stop_of_hours_is_not_made_up_for() -> None:
    running, since, unit = held(2, 36_000)  # an hour
    running.run(since + 36_000 * unit + 6 * cycle_of(running))
    last = [now for s, now in running.started if s == 2][-4:]
    # What was rounded up to 0.1 s is all that it gains.
    assert [b - a for a, b in pairwise(last)] == pytest.approx([cycle_of(running)] * 3, abs=100)
    wait = len(running.stays)
    running.run(running.now + 4 * cycle_of(running))
    running.stays = running.stays[wait:]
    assert running.stays
    assert not overstays(running)


def test_overstay_is_shown_while_it_lasts() -> None:
    row = plant("dryer").table.steps[1]
    assert row.alarm is not None
    running, since, unit = held(2, row.alarm + 100)
    running.run(since + 3 * cycle_of(running))
    times = shown(running, "Overstay")
    assert since + row.alarm * unit < times[0] <= since + (row.alarm + 1) * unit + 1000
    assert max(times) <= since + (row.alarm + 100) * unit
