"""Why the clock is put back: without that, one late move is late in every later cycle."""

from __future__ import annotations

import pytest

from tests.helpers.block.drift import never_put_back
from tests.helpers.block.late_block import overstays, shown
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import refitted
from tests.helpers.block.stories import Line, lines


def stuck(line: Line, back: bool) -> Plant:
    """A full line, a load always ready; one move takes 22 s more, then eleven cycles."""
    table = line.table
    running = Plant(refitted(table), line.problem, table, scan=max(1000, table.cycle // 4))
    if not back:
        never_put_back(running)
    number = 6 * len(table.steps)
    running.slower = lambda now, step: 22_000 * (len(running.started) == number)
    running.run(17 * table.cycle)
    return running


def spoilt(running: Plant) -> list[int]:
    """When loads were lifted too late that were set down two cycles after the delay or later."""
    delayed = running.started[6 * len(running.table.steps) - 1][1]
    since = delayed + 22_000 + 2 * running.table.cycle
    return [stay.until for stay in running.stays if stay.too_long and stay.since > since]


def named(name: str) -> Line:
    (line,) = (found for found in lines() if found.name == name)
    return line


@pytest.mark.parametrize("name", ["limits 0", "carriers 2"])
def test_one_stuck_move_spoils_many_later_cycles_unless_the_clock_is_put_back(name: str) -> None:
    kept = stuck(named(name), back=True)
    assert shown(kept, "Drift")
    assert not spoilt(kept)
    lost = stuck(named(name), back=False)
    assert not shown(lost, "Drift")
    assert len(spoilt(lost)) >= 6


@pytest.mark.parametrize("back", [True, False])
def test_every_move_a_second_slower_for_sixty_cycles(back: bool) -> None:
    line = named("limits 0")
    running = Plant(refitted(line.table), line.problem, line.table)
    if not back:
        never_put_back(running)
    running.slower = lambda now, step: 1000
    running.run(60 * line.table.cycle)
    assert bool(shown(running, "Drift")) == back
    assert (running.machine["LostTime_ms"] > 0) == back
    assert bool(overstays(running)) != back
