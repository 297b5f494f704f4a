"""What tables with lists run once have several hoists do, replayed from what stands in them.

The lists, then the cycle as its steps feed each other, for as many whole cycles as any load takes
to go through it and two more; from there on it is to go on for ever. Travels as the tables state
them.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ...checker import ProgrammeReplay
from ...problem import Problem
from ...schedule import Programme, Repeats, Step, Travel
from ..several.motion_table import (
    HoistMotion,
    HoistTable,
    SeveralTable,
    cycles_through,
    shown_cycles,
)
from .once import NotAsStated, replayed

Made = tuple[Step, HoistMotion]


def check_lists(table: SeveralTable, line: Problem) -> ProgrammeReplay:
    """Replay the lists of several hoists, and the cycle after them.

    Parameters
    ----------
    table : SeveralTable
        As read back, with the state the lists begin with.
    line : Problem
        With the windows to be kept.

    Raises
    ------
    NotAsStated
        When the checker refuses them, or sees other loads lifted than the tables say.
    """
    until = _shown(table)[1]
    moves = moves_of_lists(table, until)
    programme = programme_of_lists(table, line)
    seen, brought = replayed(line, programme, table.state, table.lost)
    rows = [row for _, row in moves]
    for run, row in zip(seen.runs, rows, strict=True):
        before = brought.get(run.step, 0)
        fed_by = row.step if before is None else rows[before - 1].step if before else None
        listed = row.step <= len(table.once)
        # In the first cycles it is the list that has set down what a step of the cycle lifts.
        if before and not listed and rows[before - 1].step <= len(table.once):
            fed_by = row.fed_by if rows[before - 1].feeds == row.step else fed_by
        same = not listed or (row.load, row.stage) == (run.load, run.stage)
        if row.fed_by != fed_by or not same:
            raise NotAsStated(
                f"the tables have step {row.step} fed by step {row.fed_by}, but the checker saw "
                f"step {fed_by} do so"
            )
    return seen


def programme_of_lists(table: SeveralTable, line: Problem) -> Programme:
    """The programme that tables state, one tick being one unit of them."""
    at = {n: Fraction(line.station_by_name[name].position or 0) for n, name in table.stations}
    at |= dict(table.waiting)
    since, until = _shown(table)
    travels = []
    for hoist in table.hoists:
        first = hoist.rows[0]
        if not first.step:
            # Where it begins; without this its first travel would be taken to lead there.
            travels.append(Travel(Fraction(0), hoist.name, at[first.start]))
        made = [(motion.planned, motion) for motion in hoist.once]
        for motion in hoist.motions:
            starts = range(table.joins + motion.planned, until, table.cycle)
            made += [(start, motion) for start in starts]
        travels += [
            Travel(Fraction(start), hoist.name, at[motion.place])
            for start, motion in made
            if not motion.step
        ]
    travels.sort(key=lambda travel: travel.start)
    steps = tuple(step for step, _ in moves_of_lists(table, until))
    repeats = Repeats(since, table.cycle) if table.steps else None
    return Programme(table.unit.per_unit_of(line), steps, repeats, tuple(travels))


def moves_of_lists(table: SeveralTable, until: int) -> list[Made]:
    """The moves in order of time up to some, each with the row of the tables it comes from."""
    names = {motion.step: hoist for hoist in table.hoists for motion in hoist.rows}
    rows = {motion.step: motion for hoist in table.hoists for motion in hoist.rows}
    found = [(_step(table, names[m.step], m, m.planned, m.load), m) for m in table.once]
    known = [] if table.state is None else table.state.numbered().loads
    new = max((*known, *(motion.load for motion in table.once)), default=0)

    def way(row: HoistMotion, cycle: int, load: int) -> Iterator[Made]:
        for _ in rows:  # a load makes no step twice
            start = table.joins + cycle * table.cycle + row.planned
            if start < until:
                yield _step(table, names[row.step], row, start, load), row
            if row.feeds is None:
                return
            row = rows[row.feeds]
            cycle += row.boundaries

    for row in table.once:
        if row.feeds is not None and row.feeds > len(table.once):
            found += way(rows[row.feeds], row.lifted_in, row.load)
    entering = [row for row in table.steps if row.fed_by is None]
    for cycle in range((until - table.joins) // table.cycle + 1 if entering else 0):
        for row in entering:
            new += 1
            found += way(row, cycle, new)
    return sorted(found, key=lambda made: made[0].start)


def _shown(table: SeveralTable) -> tuple[int, int]:
    """From when to when whole cycles are shown; from the end of a list to there without any."""
    last = max(motion.planned for motion in table.once)
    if not table.steps:
        return last + 1, last + 1
    through = cycles_through(table.steps)
    planned = [motion.planned for motion in table.steps]
    return shown_cycles(table.joins, table.cycle, last, planned, through)


def _step(table: SeveralTable, hoist: HoistTable, row: HoistMotion, start: int, load: int) -> Step:
    names = dict(table.stations)
    recipe = table.recipes[row.recipe - 1]
    return Step(
        start, names[row.start], names[row.place], recipe, load, row.stage, hoist=hoist.name
    )
