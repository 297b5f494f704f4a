"""The function block in charge of a line: its structured text parsed, checked and run.

Outside source: the grammar of blark, an open-source IEC 61131-3 parser from PyPI (see
st_grammar). What the block does is compared with the checker's replay, and with the
windows of the recipes as the plant measures them.
"""

from __future__ import annotations

import re

import pytest

from tests.helpers.block.block_model import Model
from tests.helpers.block.late_block import (
    STEPS_OF_DRYER,
    cycle_of,
    overstays,
    shown,
    steady,
    too_short,
    whole_run,
)
from tests.helpers.block.plant import Carrier, Plant
from tests.helpers.block.sequenced import (
    LINES,
    SEQUENCER,
    as_variable,
    changed,
    filled,
    last_load,
    planned,
    planned_starts,
    plant,
    table_of,
    text_of,
)

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


def test_the_other_lines_have_the_same_statements() -> None:
    # Only that of the dryer is parsed: nothing but numbers of the declarations differs.
    def plain(line: str) -> str:
        text = text_of(line)
        return re.sub(r"\d+\.\.\d+|(INT := )\d+", r"\1", text[text.index(SEQUENCER) :])

    assert plain("dryer") == plain("crowded") == plain("returning")
    bodies = {text_of(line)[text_of(line).rindex("END_VAR") :] for line in LINES}
    assert len(bodies) == 1


@ALL_LINES
def test_the_program_fills_the_table_that_was_made(line: str) -> None:
    make, unit, _, hostile = LINES[line]
    assert filled(line) == as_variable(table_of(make, unit, hostile))


def test_boundaries_keep_a_crowded_bath_from_being_emptied_too_early() -> None:
    # The same block without the count of cycles lifts whatever stands there: it finds
    # carriers a cycle early, and the other recipe's.
    running = plant("crowded")
    assert max(step.boundaries for step in running.table.steps) == 2
    running.run(4 * cycle_of(running))
    right = running.started
    wrong = plant("crowded")
    wrong.model = None
    for step in range(1, len(wrong.table.steps) + 1):
        changed(wrong.machine, step, Boundaries=0)
    wrong.run(4 * cycle_of(wrong))
    assert right == planned_starts("crowded")[: len(right)]
    assert wrong.started != right


def test_loads_are_admitted_again_after_a_run_out() -> None:
    running = plant("dryer")
    cycle = cycle_of(running)
    again = 9 * cycle + 12_345
    running.admit = lambda now: not 4 * cycle <= now < again
    running.events = (4 * cycle, again)
    running.run(14 * cycle)
    began = [now for step, now in running.started if step == 1]
    # The first load of the empty line starts the clock; the hoist stands there already.
    later = [again + c * cycle for c in range(5)]
    assert began == [c * cycle for c in (0, 1, 2, 3)] + later
    first = [start for start in planned_starts("dryer") if start[1] < 4 * cycle]
    refill = [(step, now - again) for step, now in running.started if now >= again]
    assert refill[: len(first)] == first


@pytest.mark.parametrize("ready", [1, 100_000, 233_999])
def test_on_an_empty_line_the_first_load_starts_the_clock(ready: int) -> None:
    running = plant("dryer")
    running.at = running.table.steps[4].place
    running.release = lambda now: now >= ready
    running.events = (ready,)
    running.run(ready + 2 * cycle_of(running))
    way = running.empty[running.table.steps[4].place, running.table.steps[0].pick]
    lifted = running.started[0]
    assert lifted == (1, max(ready + way, ready + running.table.steps[0].approach * 100))
    plan = [(step, now + lifted[1]) for step, now in whole_run("dryer", cycle_of(running))]
    assert running.started[: len(plan)] == plan
    assert not overstays(running)


@ALL_LINES
def test_reset_empties_the_memory_of_the_block(line: str) -> None:
    running = plant(line)
    running.run(3 * cycle_of(running))
    again = Plant(running.machine, running.problem, running.table, model=Model(running.table))
    again.reset = True
    for name in ("StepNo", "PickStation", "PlaceStation", "Drip_ms", "NextStep", "NextPick"):
        again.model.shown[name] = running.machine[name]  # type: ignore[union-attr]
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


@pytest.mark.parametrize(("early", "taken"), [(8_300, True), (8_299, False), (1, False)])
def test_a_load_is_taken_only_if_the_hoist_can_still_be_there(early: int, taken: bool) -> None:
    # 8.3 s is the longest way to the bench; the latest start there is the planned one.
    running = plant("dryer")
    step = running.table.steps[0]
    assert (step.start, step.latest, step.approach) == (0, 0, 83)
    since, cycle = steady(running, "dryer"), cycle_of(running)
    ready = since - early
    running.release = lambda now: not since - cycle // 2 <= now < ready
    running.events = (since - cycle // 2, ready)
    running.run(since + 3 * cycle)
    began = [now for number, now in running.started if number == 1 and now > since - cycle // 2]
    assert began == [since + c * cycle for c in range(not taken, 4)]
    whole = [start for start in whole_run("dryer", running.now) if start in running.started]
    assert running.started == whole  # and what stands in the line is served to plan
    assert not running.alarms


def test_a_load_is_taken_until_the_latest_start_where_the_hoist_stands_there() -> None:
    running = plant("dryer")
    since = steady(running, "dryer")
    running.model = None
    changed(running.machine, 1, LatestStart_ms=3_000)
    ready = since + 3_000
    running.release = lambda now: not since - 50_000 <= now < ready
    running.events = (ready,)
    running.run(since - 30_000)
    running.at = running.table.steps[0].pick
    running.run(since + 60_000)
    assert (1, ready) in running.started


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


def test_minimum_dwell_is_waited_for() -> None:
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
    assert lifted >= set_down + 400 * 100
    assert not too_short(running)
    assert not overstays(running)


def test_no_carrier_is_set_down_where_no_place_is_free() -> None:
    running = plant("dryer")
    place = running.table.steps[3].place  # step 4 goes into the dryer
    since = steady(running, "dryer")
    running.run(since + 700 * 100)
    running.standing[place].append(Carrier(running.now, 0, 0, 0))  # someone else's
    running.run(since + 900 * 100)
    assert running.started[-1][0] == 3
    assert running.machine["Late"]
    assert not running.machine["CarrierMissing"]
    assert running.machine["PlaceBlocked"]
    running.standing[place].clear()
    running.run(since + 910 * 100)
    assert running.started[-1][0] == 4


def test_hoist_is_sent_ahead_and_starts_only_over_the_pick_station() -> None:
    running = plant("dryer")
    running.run(3 * cycle_of(running))
    machine = running.machine.fresh()
    pick = machine["Table"]["Steps"][machine["Current"]]["PickStation"]
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
    assert machine["NextPick"] == machine["Table"]["Steps"][machine["Current"]]["PickStation"]
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
