"""What a table with a list run once has the hoist do, replayed from what stands in it.

The list, then the cycle as its steps feed each other, for as many cycles as any load takes to
go through it and two more: by then the line repeats itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ...checker import ProgrammeRefused, ProgrammeReplay, accepted_programme
from ...problem import Problem
from ...schedule import LineState, Programme, Step
from ..table import SequencerStep, SequencerTable


class NotAsStated(ValueError):
    """The checker refuses the list, or sees other loads lifted than the table says."""


def check_list(table: SequencerTable, line: Problem) -> ProgrammeReplay:
    """Replay a list, and the cycle after it.

    Parameters
    ----------
    table : SequencerTable
        As read back, with the state the list begins with.
    line : Problem
        With the windows to be kept.

    Raises
    ------
    NotAsStated
    """
    moves = programme_moves(table)
    programme = Programme(Fraction(table.unit.per_unit_of(line)), tuple(move for move, _ in moves))
    seen, brought = replayed(line, programme, table.state, table.lost)
    rows = [row for _, row in moves]
    for run in seen.runs[: len(table.once)]:
        row, before = rows[run.step - 1], brought.get(run.step, 0)
        fed_by = row.step if before is None else rows[before - 1].step if before else None
        if row.fed_by != fed_by or (row.load, row.stage) != (run.load, run.stage):
            raise NotAsStated(
                f"the table has step {row.step} fed by step {row.fed_by}, but the checker saw "
                f"step {fed_by} do so"
            )
    return seen


def replayed(
    line: Problem, programme: Programme, state: LineState | None, lost: Sequence[int]
) -> tuple[ProgrammeReplay, dict[int, int | None]]:
    """The checker's replay of what is read back, and by which step each step's load was brought.

    Raises
    ------
    NotAsStated
        When the checker refuses it.
    """
    try:
        seen = accepted_programme(line, programme, state, lost=lost)
    except ProgrammeRefused as refused:
        raise NotAsStated(str(refused)) from None
    return seen, {stay.left_by: stay.arrived_by for stay in seen.stays if stay.left_by}


def programme_moves(table: SequencerTable) -> list[tuple[Step, SequencerStep]]:
    """The moves in order of time, each with the row of the table it comes from."""
    found = [(_move(table, row, row.start, row.load), row) for row in table.once]
    if not table.steps:
        return found
    entering = [row for row in table.steps if row.fed_by is None]
    cycles = 2 + max(_cycles(table, row) for row in entering)
    end = table.joins + cycles * table.cycle
    known = [] if table.state is None else table.state.numbered().loads
    new = max((*known, *(row.load for row in table.once)), default=0)
    for row in table.once:
        if row.feeds is not None and row.feeds > len(table.once):
            found += _way(table, table.rows[row.feeds - 1], row.lifted_in, row.load, end)
    for cycle in range(cycles):
        for row in entering:
            new += 1
            found += _way(table, row, cycle, new, end)
    return sorted(found, key=lambda pair: pair[0].start)


def _cycles(table: SequencerTable, row: SequencerStep) -> int:
    """Cycle boundaries that a load passes from a step of the cycle on."""
    passed = 0
    while row.feeds is not None:
        row = table.rows[row.feeds - 1]
        passed += row.boundaries
    return passed


def _way(
    table: SequencerTable, row: SequencerStep, cycle: int, load: int, end: int
) -> list[tuple[Step, SequencerStep]]:
    """The moves of a load from a step of the cycle on, up to a time."""
    found = []
    while True:
        start = table.joins + cycle * table.cycle + row.start
        if start < end:
            found.append((_move(table, row, start, load), row))
        if row.feeds is None:
            return found
        row = table.rows[row.feeds - 1]
        cycle += row.boundaries


def _move(table: SequencerTable, row: SequencerStep, start: int, load: int) -> Step:
    names = dict(table.stations)
    recipe = table.recipes[row.recipe - 1]
    return Step(start, names[row.pick], names[row.place], recipe, load, row.stage)
