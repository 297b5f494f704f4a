"""A sequencer's step table that a user hands over: its moves, to be replayed on a line.

The numbers of stations and recipes mean what the file itself says they mean.
"""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import LineState, Programme, Schedule
from ...schedule.raw_move import unknown_name
from ..names import for_comment
from ..table import SequencerTable
from .members import OtherSum
from .once import programme_moves
from .proof import READERS, schedule_of

MOST_CYCLES = 200
"""Cycles that a load takes through the line at the most."""
NAMES = {"csv": "CSV", "json": "JSON", "st": "structured text", "xml": "PLCopen XML"}
NOT_JUDGED = (
    "Of the sequencer's table its moves were replayed, on the windows of the problem file; its "
    "limits for lateness, waits and feeding steps are not judged."
)


def table_given(text: str, form: str) -> tuple[SequencerTable, list[str]]:
    """Read a table, and what has to be said of it.

    Parameters
    ----------
    text : str
        What the file holds.
    form : str
        ``csv``, ``json``, ``st`` or ``xml``.

    Returns
    -------
    SequencerTable
    list of str
        What is not judged; that the check sum is another, where it is.

    Raises
    ------
    InputError
        When the file is none that ``hoistopt sequencer`` writes.
    """
    said = [NOT_JUDGED]
    try:
        if re.search(r"<!(?:DOCTYPE|ENTITY)", text):
            raise ValueError("it declares entities")
        table = READERS[form](text)
    except OtherSum as other:
        if other.table is None:
            raise unreadable(form, other) from None
        table = other.table
        said.append(
            f"Not as it was written: {other}. A controller that checks the sum does not run it."
        )
    except (ValueError, KeyError, IndexError, TypeError, SyntaxError, RecursionError) as error:
        raise unreadable(form, error) from None
    for step in table.rows:
        if not 1 <= step.recipe <= len(table.recipes):
            raise InputError(
                "a recipe that the file names", field=f"step {step.step}, recipe", value=step.recipe
            )
        for what, number in (("pick", step.pick), ("place", step.place)):
            if number not in dict(table.stations):
                raise InputError(
                    "a station that the file names",
                    field=f"step {step.step}, {what} station",
                    value=number,
                )
    return table, said


def unreadable(form: str, error: Exception) -> InputError:
    """The error which says that a file of a format is no sequencer's table, and why."""
    why = str(error) if type(error).__module__ != "builtins" else "it is cut off or was changed"
    return InputError(
        f"a sequencer's table in {NAMES[form]}, as `hoistopt sequencer` writes it ({why})",
        way_out="A table of moves with the columns start, from, to and cycle_time can be read too.",
    )


def schedule_from(table: SequencerTable, problem: Problem) -> Schedule:
    """The cycle that a table states, in the names of the line.

    Raises
    ------
    InputError
        When it names what the line does not have, or times that make no cycle.
    """
    if not table.steps or table.once:
        raise InputError("a cycle; this table has a list that is run once", field="list_steps")
    named = _named(table, problem)
    if named.cycle <= 0:
        raise InputError("a number above 0", field="cycle_time", value=named.cycle)
    for step in named.steps:
        if not 0 <= step.start < named.cycle:
            raise InputError(
                f"a start from 0 and below the cycle time, which is {named.cycle}",
                field=f"step {step.step}, start",
                value=step.start,
            )
    schedule = schedule_of(problem, named)
    return Schedule(
        schedule.cycle,
        schedule.ticks_per_unit,
        tuple(sorted(schedule.steps, key=lambda step: step.start)),
    )


def programme_from(
    table: SequencerTable, problem: Problem, state: LineState | None = None
) -> Programme:
    """The list that a table states, and the cycle after it as often as shows all of it.

    Parameters
    ----------
    state : LineState, optional
        What stands in the line when the list begins.

    Raises
    ------
    InputError
        When the table names what the line does not have, or no list.
    """
    if not table.once:
        raise InputError(
            "a list that is run once; this table is a cycle",
            field="list_steps",
            way_out="Leave out the state.",
        )
    _feeding_ends(table)
    moves = programme_moves(replace(_named(table, problem), state=state))
    steps = tuple(move for move, _ in moves)
    if any(step.start < 0 for step in steps):
        raise InputError("starts of at least 0", field="start")
    return Programme(Fraction(table.unit.per_unit_of(problem)), steps)


def _feeding_ends(table: SequencerTable) -> None:
    """Refuse steps that feed one another in a circle, or over very many cycles.

    Raises
    ------
    InputError
    """
    for first in table.rows:
        row, passed = first, first.boundaries + first.lifted_in
        for _ in range(len(table.rows)):
            if row.feeds is None:
                break
            if not 1 <= row.feeds <= len(table.rows):
                raise InputError(
                    "a step of the table", field=f"step {row.step}, feeds", value=row.feeds
                )
            row = table.rows[row.feeds - 1]
            passed += row.boundaries
        else:
            raise InputError(
                "steps that lead each load out of the line", field=f"step {first.step}, feeds"
            )
        if not 0 <= passed <= MOST_CYCLES:
            raise InputError(
                f"at most {MOST_CYCLES} cycles from one step to the last of a load",
                field=f"step {first.step}, boundaries",
                value=passed,
            )


def _named(table: SequencerTable, problem: Problem) -> SequencerTable:
    """The table with the line's own names, which a program holds in plain ASCII only."""
    stations = _Own("station", [station.name for station in problem.stations])
    recipes = _Own("recipe", [recipe.name for recipe in problem.recipes])
    used = {number for row in table.rows for number in (row.pick, row.place)}
    return replace(
        table,
        stations=tuple(
            (number, stations(name) if number in used else name) for number, name in table.stations
        ),
        recipes=tuple(
            recipes(name) if any(row.recipe == number for row in table.rows) else name
            for number, name in enumerate(table.recipes, start=1)
        ),
    )


class _Own:
    """Finds the name of a line that a file spells in its own way."""

    def __init__(self, what: str, names: list[str]) -> None:
        self._what, self._names = what, names
        self._spelt: dict[str, list[str]] = {}
        for name in names:
            self._spelt.setdefault(for_comment(name), []).append(name)

    def __call__(self, name: str) -> str:
        if name in self._names:
            return name
        meant = self._spelt.get(name, [])
        if len(meant) == 1:
            return meant[0]
        if meant:
            raise InputError(
                f"a name that tells the {self._what}s of the line apart",
                field=self._what,
                value=name,
                way_out=f"In a program {' and '.join(meant)} are spelt alike; use CSV or JSON.",
            )
        raise unknown_name(self._what, self._names, self._what, name)
