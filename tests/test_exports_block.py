"""The function block in charge of a line: its structured text parsed, checked and run.

Outside source: the grammar of blark, an open-source IEC 61131-3 parser from PyPI (see
st_machine). What the block does is compared with the checker's replay, and with the
windows of the recipes as the plant measures them.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from plant import Plant
from sequenced import LINES, planned, planned_starts, plant
from st_machine import Fault, Machine

ALL_LINES = pytest.mark.parametrize("line", LINES)
STEPS_OF_DRYER = range(1, 6)


def cycle_of(line: Plant) -> int:
    return line.table.cycle * line.table.unit.milliseconds


def steady(line: Plant, name: str) -> int:
    """The start of a cycle in which the line is full."""
    return planned(name).steady_from * cycle_of(line)


def overstays(line: Plant) -> list[int]:
    """Steps that lifted a carrier after its greatest dwell, by the plant's own clock."""
    unit = line.table.unit.milliseconds
    most = {step.step: step.most for step in line.table.steps}
    return [s.step for s in line.stays if (m := most[s.step]) is not None and s.dwell > m * unit]


def too_short(line: Plant) -> list[int]:
    unit = line.table.unit.milliseconds
    least = {step.step: step.least for step in line.table.steps}
    return [stay.step for stay in line.stays if stay.dwell < least[stay.step] * unit]


def shown(line: Plant, name: str) -> list[int]:
    """Times at which an output was TRUE."""
    return [now for now, outputs in line.seen if outputs[name]]


# -- to plan ------------------------------------------------------------------------


@ALL_LINES
def test_fills_runs_and_runs_out_as_the_checker_replayed_it(line: str) -> None:
    running = plant(line)
    seen = planned(line)
    loading = (seen.steady_from + seen.steady_cycles) * cycle_of(running)
    running.admit = lambda now: now < loading
    running.run(seen.cycles * cycle_of(running))
    assert running.started == planned_starts(line)
    assert {len(shown(running, name)) for name in ("Late", "Alarm", "Overstay")} == {0}
    assert not shown(running, "CarrierMissing")
    assert running.machine["RunOutDone"]
    assert running.machine["LoadsInLine"] == 0
    assert not overstays(running)
    assert not too_short(running)
    assert seen.skipped  # else filling would have been no test


def test_boundaries_keep_a_crowded_bath_from_being_emptied_too_early() -> None:
    # The same block without the count of cycles lifts whatever stands there: it finds
    # carriers a cycle early, and the other recipe's.
    running = plant("crowded")
    assert max(step.boundaries for step in running.table.steps) == 2
    running.run(4 * cycle_of(running))
    right = running.started
    wrong = plant("crowded")
    for step in range(1, len(wrong.table.steps) + 1):
        wrong.machine["Steps"][step]["Boundaries"] = 0
    wrong.run(4 * cycle_of(wrong))
    assert right == planned_starts("crowded")[: len(right)]
    assert wrong.started != right


def test_loads_are_admitted_again_after_a_run_out() -> None:
    running = plant("dryer")
    cycle = cycle_of(running)
    running.admit = lambda now: not 4 * cycle <= now < 9 * cycle
    running.events = (4 * cycle, 9 * cycle)
    running.run(14 * cycle)
    began = [now for step, now in running.started if step == 1]
    assert began == [c * cycle for c in (0, 1, 2, 3, 9, 10, 11, 12, 13, 14)]
    first = [start for start in planned_starts("dryer") if start[1] < 4 * cycle]
    again = [(step, now - 9 * cycle) for step, now in running.started if now >= 9 * cycle]
    assert again[: len(first)] == first


@ALL_LINES
def test_reset_empties_the_memory_of_the_block(line: str) -> None:
    running = plant(line)
    running.run(3 * cycle_of(running))
    running.machine.call(Reset=True)
    again = Plant(running.machine, running.problem, running.table)
    running.machine.call(Reset=False, Enable=False)
    again.run(3 * cycle_of(running))
    assert again.started == running.started


# -- fill and run-out by load ---------------------------------------------------------


def test_a_load_that_is_not_ready_is_left_out_and_its_time_is_kept() -> None:
    running = plant("dryer")
    cycle, late = cycle_of(running), steady(running, "dryer")
    running.release = lambda now: not late <= now < late + cycle // 2
    running.events = (late, late + cycle // 2)
    running.run(late + 6 * cycle)
    whole = plant("dryer")
    whole.run(late + 6 * cycle)
    missing = set(whole.started) - set(running.started)
    # One load less, and with it one run of each of its steps; all the others on time.
    assert set(running.started) < set(whole.started)
    assert sorted(step for step, _ in missing) == list(STEPS_OF_DRYER)
    assert (1, late) in missing


@pytest.mark.parametrize(("ready", "taken"), [(2_900, True), (3_000, True), (3_001, False)])
def test_a_load_is_waited_for_until_the_latest_start(ready: int, taken: bool) -> None:
    running = plant("dryer")
    running.machine["Steps"][1]["LatestStart_ds"] = 30
    since = steady(running, "dryer")
    running.release = lambda now: not since - 50_000 <= now < since + ready
    running.events = (since + ready,)
    running.run(since + cycle_of(running) // 3)
    assert ((1, since + ready) in running.started) is taken
    assert [now for step, now in running.started if step == 1 and now > since - 1] == (
        [since + ready] if taken else []
    )


def test_a_carrier_taken_by_hand_holds_the_line_until_that_is_confirmed() -> None:
    running = plant("dryer")
    cycle = cycle_of(running)
    due = steady(running, "dryer") + 826 * 100  # step 4 lifts from the rinse
    pick = running.table.steps[3].pick
    running.run(due - 10_000)
    running.standing[pick].clear()
    confirmed = due + 7_000
    running.confirm = lambda now: now >= confirmed
    running.events = (confirmed,)
    running.run(due + 6_900)
    assert shown(running, "CarrierMissing")[0] == due
    assert due < shown(running, "Late")[0] <= due + 1_000
    assert running.started[-1][0] == 3
    running.run(due + 4 * cycle)
    # The load's later steps are left out; everything else is to plan, or as late as that
    # step and those it makes late.
    whole = plant("dryer")
    whole.run(running.now)
    missing = len(whole.started) - len(running.started)
    assert missing == 2
    assert running.machine["LoadsInLine"] == whole.machine["LoadsInLine"]
    steps = [step for step, now in running.started if now > due]
    assert steps[:2] == [5, 1]  # step 4 is left out now, step 3 of its load a cycle later
    assert not overstays(running)


# -- late -----------------------------------------------------------------------------


def held(step: int, until: int, name: str = "dryer") -> tuple[Plant, int, int]:
    """A line whose hoist is not ready for a step until a time of its cycle, in units."""
    running = plant(name)
    unit, since = running.table.unit.milliseconds, steady(running, name)
    planned_at = running.table.steps[step - 1].start
    busy = (since + planned_at * unit, since + until * unit)
    running.hoist_ready = lambda now: not busy[0] <= now < busy[1]
    running.events = busy
    return running, since, unit


def when_due(line: Plant, first: tuple[int, int], until: int) -> list[tuple[int, int]]:
    """What the rule of the sequencer makes of one late start, in plain arithmetic.

    Keep the order; start when planned, but not before the hoist is there and the carrier
    has stood its minimum (from the first start on, which is given; before it, to plan).
    """
    table, unit, cycle = line.table, line.table.unit.milliseconds, cycle_of(line)
    number, started = first
    planned_first = (started // cycle) * cycle  # only to name the cycle it belongs to
    begun = [(s, now) for s, now in whole_run("dryer", until) if now < planned_first]
    ended: dict[tuple[int, int], int] = {}
    found: list[tuple[int, int]] = []
    free, at = 0, table.steps[0].pick
    for c in range(until // cycle + 1):
        for step in table.steps:
            runs = step.fed_by is None or (step.fed_by, c - step.boundaries) in ended
            if not runs:
                continue
            start = max(c * cycle + step.start * unit, free + line.empty[at, step.pick])
            if step.fed_by is not None:
                start = max(start, ended[step.fed_by, c - step.boundaries] + step.least * unit)
            if (step.step, c) == (number, planned_first // cycle):
                start = max(start, started)
            found.append((step.step, start))
            free, at = start + line.moving_time[step.step - 1], step.place
            ended[step.step, c] = free
    assert begun == found[: len(begun)]
    return [(s, now) for s, now in found if now <= until]


def whole_run(name: str, until: int) -> list[tuple[int, int]]:
    running = plant(name)
    running.run(until)
    return running.started


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
    first = (step, since + (row.latest + late) * unit)
    assert running.started == when_due(running, first, running.now)
    assert not too_short(running)
    times = shown(running, "Late")
    if late:
        assert since + row.latest * unit < times[0] <= since + (row.latest + late) * unit
    else:
        assert not times


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


def test_least_dwell_is_waited_for() -> None:
    running = plant("dryer")
    since = steady(running, "dryer")
    running.run(since + 206 * 100)
    slow, step = running.moving_time[1], running.table.steps[1]  # step 2 feeds step 4
    assert step.feeds == 4
    running.moving_time[1] = slow + 30_000
    running.run(since + 500 * 100)
    running.moving_time[1] = slow
    running.run(since + 2000 * 100)
    lifted = next(now for s, now in running.started if s == 4 and now > since)
    set_down = since + 207 * 100 + slow + 30_000
    assert lifted == pytest.approx(set_down + 400 * 100, abs=50)
    assert not too_short(running)
    # The clock was held for step 3, so that step 4 came due at this time; it waited longer.
    third = next(now for s, now in running.started if s == 3 and now > since)
    assert lifted > third + (826 - 530) * 100 + 5_000


def test_no_carrier_is_set_down_where_no_place_is_free() -> None:
    running = plant("dryer")
    place = running.table.steps[3].place  # step 4 goes into the dryer
    since = steady(running, "dryer")
    running.run(since + 700 * 100)
    running.standing[place].append((running.now, 0))  # someone else's
    running.run(since + 900 * 100)
    assert running.started[-1][0] == 3
    assert running.machine["Late"]
    assert not running.machine["CarrierMissing"]
    running.standing[place].clear()
    running.run(since + 910 * 100)
    assert running.started[-1][0] == 4


def test_not_enabled_stops_the_clock_and_starts_nothing() -> None:
    running = plant("dryer")
    stop = steady(running, "dryer") + 600 * 100
    running.enable = lambda now: not stop < now <= stop + 40_000
    running.events = (stop, stop + 40_000)
    running.run(stop + 3 * cycle_of(running))
    expected = [
        (s, now if now <= stop else now + 40_000) for s, now in whole_run("dryer", running.now)
    ]
    assert running.started == expected[: len(running.started)]


def test_hoist_is_sent_ahead_and_starts_only_over_the_pick_station() -> None:
    running = plant("dryer")
    running.run(3 * cycle_of(running))
    machine = running.machine.fresh()
    step = machine["Current"]
    pick = machine["Steps"][step]["PickStation"]
    everywhere = dict.fromkeys(running.names, True)
    common = {
        "Enable": True,
        "AdmitLoads": True,
        "MoveDone": False,
        "CarrierAt": everywhere,
        "PlaceFreeAt": everywhere,
        "HoistIdle": True,
    }
    elsewhere = next(number for number in running.names if number != pick)
    while machine["Moving"]:
        machine.call(Elapsed_ms=0, **{**common, "MoveDone": not machine["DoneBefore"]})
    for _ in range(40):
        machine.call(Elapsed_ms=10_000, HoistAt=elsewhere, **common)
    assert machine["GoToPick"]
    assert machine["NextPick"] == machine["Steps"][machine["Current"]]["PickStation"]
    assert not machine["StartMove"]
    machine.call(Elapsed_ms=0, HoistAt=machine["NextPick"], **common)
    assert machine["StartMove"]


def test_dwells_of_the_steady_cycle_are_the_planned_ones() -> None:
    running = plant("crowded")
    running.run(8 * cycle_of(running))
    unit = running.table.unit.milliseconds
    by_step = {step: [s.dwell for s in running.stays if s.step == step] for step in (3, 6)}
    for step, dwells in by_step.items():
        assert len(set(dwells)) == 1
        row = running.table.steps[step - 1]
        assert row.least * unit <= dwells[0] <= (row.most or 0) * unit


# -- the instrument itself ------------------------------------------------------------

PROGRAM = """FUNCTION_BLOCK Small
VAR_INPUT
    Go : BOOL;
END_VAR
VAR
    Whole : INT;
    Long : DINT;
    Span : TIME;
    Row : ARRAY [1..3] OF INT;
END_VAR
VAR CONSTANT
    Fixed : INT := 4;
END_VAR
STATEMENT
END_FUNCTION_BLOCK
"""


@pytest.mark.parametrize(
    "statement",
    [
        "Whole := Long;",
        "Long := Whole;",
        "Whole := TRUE;",
        "Go := FALSE;",
        "Fixed := 5;",
        "Missing := 1;",
        "Long := Span;",
        "Span := Span * 2;",
        "IF Whole THEN Whole := 1; END_IF;",
        "IF Whole = Long THEN Whole := 1; END_IF;",
        "Row[Long] := 1;",
        "Row[1, 2] := 1;",
    ],
)
def test_the_strict_reading_refuses(statement: str) -> None:
    with pytest.raises(Fault):
        Machine(PROGRAM.replace("STATEMENT", statement))


@pytest.mark.parametrize(
    "statement",
    [
        "Whole := Whole + 32000;",
        "Row[Fixed] := 1;",
        "IF Go AND Row[0] = 1 THEN Whole := 1; END_IF;",
        "Span := Span - T#1ms;",
    ],
)
def test_the_run_refuses(statement: str) -> None:
    machine = Machine(PROGRAM.replace("STATEMENT", statement))
    machine.call(Go=False) if "32000" in statement else None  # the first sum still fits
    with pytest.raises(Fault):
        machine.call(Go=False)


@pytest.mark.parametrize(
    "statement", ["// note", "Whole := Row[1] := 2;", "Whole R= 1;", "{pragma}", "CONTINUE;"]
)
def test_the_parser_refuses_what_the_standard_does_not_know(statement: str) -> None:
    with pytest.raises(Exception, match=r"(?i)unexpected|no terminal|expected"):
        Machine(PROGRAM.replace("STATEMENT", f"Whole := 1; {statement}\n"))
