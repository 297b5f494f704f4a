"""The function block in charge of a line: its structured text parsed, checked and run.

Outside source: the grammar of blark, an open-source IEC 61131-3 parser from PyPI (see
st_grammar). What the block does is compared with the checker's replay, and with the
windows of the recipes as the plant measures them.
"""

from __future__ import annotations

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
from tests.helpers.sequenced import LINES, last_load, planned, planned_starts, plant

ALL_LINES = pytest.mark.parametrize("line", LINES)


# -- to plan ------------------------------------------------------------------------


@ALL_LINES
def test_fills_runs_and_runs_out_as_the_checker_replayed_it(line: str) -> None:
    running = plant(line)
    seen = planned(line)
    last = last_load(seen, running.problem)
    running.admit = lambda now: now <= last
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


def test_a_load_of_another_recipe_is_not_lifted() -> None:
    running = plant("crowded")
    running.run(2 * cycle_of(running))
    running.loads = [3]  # the line has recipes 1 and 2
    running.started.clear()
    running.run(4 * cycle_of(running))
    entering = {step.step for step in running.table.steps if step.fed_by is None}
    assert running.started
    assert not entering & {step for step, _ in running.started}


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
