"""Lines on which every move takes longer than stated: what happens, and what cannot be helped."""

from __future__ import annotations

from tests.helpers.block.block_model import Model
from tests.helpers.block.plant import Plant, Stay
from tests.helpers.block.sequenced import changed, refitted
from tests.helpers.block.stories import Line

NEVER = 400_000_000  # the latest time the block knows


def run_slower(line: Line, more: int) -> tuple[Plant, bool]:
    """A line with every move so much slower, and whether a step was later than its limit."""
    table = line.table
    plant = Plant(
        refitted(table), line.problem, table, model=Model(table), scan=max(1000, table.cycle // 4)
    )  # fmt: skip
    plant.slower = lambda now, step: more
    plant.run(20 * table.cycle)
    # Planned from the start of the first load on, as the clock then has not been put back.
    first, count = plant.started[0][1], len(table.steps)
    origin, cycle, last, beyond = first - table.steps[plant.started[0][0] - 1].start, 0, 0, False
    for step, now in plant.started:
        cycle += step <= last
        last = step
        row = table.steps[step - 1]
        planned = origin + cycle * table.cycle
        end = now + plant.moving_time[step - 1] + more
        beyond |= now > planned + row.clock_limit
        beyond |= end < plant.now and end > planned + row.clock_limit + row.move
        if beyond:
            break
    assert count
    return plant, beyond


def slowed(line: Line, more: int, cycles: int, back: bool = True) -> Plant:
    """A line with every move so much slower, the clock put back where the block does so."""
    table = line.table
    plant = Plant(
        refitted(table), line.problem, table, model=Model(table), scan=max(1000, table.cycle // 2)
    )  # fmt: skip
    if not back:
        never_put_back(plant)
    plant.slower = lambda now, step: more
    plant.run(cycles * table.cycle)
    return plant


def never_put_back(running: Plant) -> None:
    """Have the table say that no step is ever too late for the clock."""
    running.model = None  # it has the table as it is
    for step in running.table.steps:
        changed(running.machine, step.step, ClockLimit_ms=NEVER)


def helpless(running: Plant, stay: Stay, more: int) -> bool:
    """Whether the hoist needs longer than the maximum for its moves between set down and lift."""
    steps = running.table.steps
    last = stay.step - 1
    fed_by = steps[last].fed_by
    assert fed_by is not None
    assert stay.most is not None
    first = fed_by - 1
    taken, at = 0, steps[first].place
    for number in range(first + 1, last + steps[last].boundaries * len(steps)):
        row = number % len(steps)
        taken += running.empty[at, steps[row].pick] + running.moving_time[row] + more
        at = steps[row].place
    return taken + running.empty[at, stay.station] > stay.most


def work(running: Plant, more: int) -> int:
    """What the hoist's moves of a cycle take, in ms, without any waiting."""
    steps = running.table.steps
    empty = sum(
        running.empty[a.place, b.pick]
        for a, b in zip((*steps[-1:], *steps[:-1]), steps, strict=True)
    )
    return empty + sum(running.moving_time) + more * len(steps)
