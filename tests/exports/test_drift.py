"""Every move slower than stated, for good: within the float all goes by plan; beyond it the clock
gives way, and no load is lost by that which the hoist could have kept.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import pytest

from tests.helpers.block.drift import helpless, run_slower, slowed, work
from tests.helpers.block.late_block import overstays, shown
from tests.helpers.block.plant import Plant
from tests.helpers.block.stories import lines

CYCLES = 12


@pytest.mark.parametrize("more", [20, 300, 2_000])
def test_drift_within_the_limits_moves_nothing_beyond_them_the_clock_gives_way(more: int) -> None:
    given_way = 0
    for line in lines()[::3]:
        running, beyond = run_slower(line, more)
        gave_way = bool(shown(running, "Drift"))
        assert beyond or not gave_way, line.name
        # Where a load has nothing to spare, and none set down later is in danger, it stays.
        if not gave_way:
            assert not overstays(running), line.name
            assert not running.alarms, line.name
        given_way += gave_way
    assert given_way > 0


def test_drift_within_the_float_lets_no_load_overstay_on_any_line() -> None:
    with_float = 0
    for line in lines():
        unit = line.table.unit.milliseconds
        spare = min(step.latest - step.start for step in line.table.steps) * unit
        if not spare:
            continue
        with_float += 1
        running, beyond = run_slower(line, spare)
        assert not beyond, line.name
        assert not overstays(running), line.name
        assert not running.alarms, line.name
        assert not shown(running, "Drift"), line.name
    assert with_float >= 3


def share_out_of_window(running: Plant, since: int) -> dict[int, Fraction]:
    """By step: of the loads set down since then, the share that stood too long."""
    stays = [stay for stay in running.stays if stay.since > since]
    lifted = Counter(stay.step for stay in stays)
    late = Counter(stay.step for stay in stays if stay.too_long)
    return {step: Fraction(late[step], lifted[step]) for step in lifted}


@pytest.mark.parametrize(("more", "every"), [(100, 1), (1_000, 3)])
def test_drift_beyond_the_float_is_told_and_loses_no_load_that_could_be_kept(
    more: int, every: int
) -> None:
    given_way = lost_anyway = 0
    for line in lines()[::every]:
        running = slowed(line, more, CYCLES)
        told = bool(shown(running, "Drift"))
        assert told == (running.machine["LostTime_ms"] > 0), line.name
        # The pace cannot be kept, and all the lateness the table allows for is used up. A line
        # that empties in between has a clock that begins anew with the next load.
        behind = CYCLES // 2 * (work(running, more) - line.table.cycle)
        limits = max(step.clock_limit - step.start for step in line.table.steps)
        first = running.started[0][1]
        empties = any(at > first and not shows["LoadsInLine"] for at, shows in running.seen)
        assert told or empties or behind <= limits * line.table.unit.milliseconds, line.name
        given_way += told
        # How a lasting drift begins, nothing tells from single delays: two cycles may be hurt.
        since = 3 * line.table.cycle
        late = [stay for stay in running.stays if stay.too_long and stay.since > since]
        could = {stay.step for stay in late if not helpless(running, stay, more)}
        lost_anyway += len(late)
        if could:
            without = share_out_of_window(slowed(line, more, CYCLES, back=False), since)
            share = share_out_of_window(running, since)
            assert all(share[step] <= without[step] for step in could), line.name
    assert given_way > 5
    assert lost_anyway > 0


@pytest.mark.parametrize("name", ["slots 4", "slots 3", "turns 4"])
def test_on_a_line_without_room_the_clock_costs_no_more_than_the_first_loads(name: str) -> None:
    (line,) = (found for found in lines() if found.name == name)
    running = slowed(line, 100, 2 * CYCLES)
    assert shown(running, "Drift")
    assert len(overstays(running)) <= 3
    since = 4 * line.table.cycle
    assert not [stay for stay in running.stays if stay.too_long and stay.since > since]
