"""The proof of an export: what stands in the file is read back and replayed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

from ...base.errors import HoistoptError
from ...checker import Refused, Replay, accepted
from ...problem import Problem
from ...problem.grid import ticks_per_unit
from ...schedule import Schedule, Step
from ..joining import line_of
from ..names import for_comment
from ..several.motion_table import SeveralTable
from ..table import SequencerTable
from .csv_back import table_from_csv
from .json_back import table_from_json
from .once import NotAsStated, check_list
from .plcopen_back import table_from_plcopen
from .st_back import table_from_st

READERS: dict[str, Callable[[str], SequencerTable]] = {
    "csv": table_from_csv,
    "json": table_from_json,
    "st": table_from_st,
    "xml": table_from_plcopen,
}


class ExportFailed(HoistoptError):
    """A file read back is not what was to be written: a fault in hoistopt itself."""


def prove(problem: Problem, table: SequencerTable, text: str, form: str) -> None:
    """Read a file back and replay it.

    Parameters
    ----------
    problem : Problem
        The line.
    table : SequencerTable
        What was to be written.
    text : str
        What the file holds.
    form : str
        ``csv``, ``json``, ``st`` or ``xml``.

    Raises
    ------
    ExportFailed
        When the file cannot be read, says something else, or the checker refuses it.
    """
    try:
        back = READERS[form](text)
    except (ValueError, KeyError, IndexError, SyntaxError) as error:
        raise ExportFailed(f"the {form} file cannot be read back: {error!r}") from None
    if form in ("st", "xml"):
        back = _with_names(table, back, form)
    if back != table:
        raise ExportFailed(f"the {form} file says something else than the table")
    back = replace(back, state=table.state, lost=table.lost)
    if back.once and back.steps:
        problem = line_of(problem, schedule_of(problem, back))
    for name, line in (("stated", problem), ("exported", as_exported(problem, back))):
        try:
            if back.steps:
                _same_feeding(back, accepted(line, schedule_of(line, back)), form)
            if back.once:
                check_list(back, line)
        except (Refused, NotAsStated) as refused:
            raise ExportFailed(f"the {form} file, windows as {name}: {refused}") from None


def _with_names(table: SequencerTable, back: SequencerTable, form: str) -> SequencerTable:
    """What a program says, in the user's own names, which it can only hold in plain ASCII."""
    plain = (
        for_comment(table.line),
        tuple((number, for_comment(name)) for number, name in table.stations),
        tuple(for_comment(name) for name in table.recipes),
    )
    if (back.line, back.stations, back.recipes) != plain:
        raise ExportFailed(f"the {form} file names something else than the table")
    return replace(back, line=table.line, stations=table.stations, recipes=table.recipes)


def schedule_of(problem: Problem, table: SequencerTable) -> Schedule:
    """The cycle a table states, one tick being one unit of the table."""
    names = dict(table.stations)
    steps = tuple(
        Step(
            start=step.start,
            source=names[step.pick],
            target=names[step.place],
            recipe=table.recipes[step.recipe - 1],
            load=step.load,
            stage=step.stage,
            boundaries=None if step.fed_by is None else step.boundaries,
        )
        for step in table.steps
    )
    return Schedule(table.cycle, table.unit.per_unit_of(problem), steps)


def as_exported(problem: Problem, table: SequencerTable | SeveralTable) -> Problem:
    """The line with the windows and drips of its stages as the table states them."""
    rows = table.rows if isinstance(table, SequencerTable) else [*table.once, *table.steps]
    data = problem.to_data()
    stages: dict[tuple[str, int], dict[str, Any]] = {
        (recipe["name"], number): stage
        for recipe in data["recipe"]
        for number, stage in enumerate(recipe["stage"], start=1)
    }
    dripping: dict[tuple[str, int], int] = {}
    for step in rows:
        key = (table.recipes[step.recipe - 1], step.stage)
        stage = stages.get(key)
        if stage is None:
            continue
        stage.pop("nominal", None)  # may lie outside the narrower window; no rule asks for it
        stage["min"] = table.unit.decimal(step.least, problem, up=True)
        if step.most is not None:
            stage["max"] = table.unit.decimal(step.most, problem, up=False)
        # Where a crossing asks for more, it does so by itself.
        dripping[key] = min(step.drip, dripping.get(key, step.drip))
        stage["drip"] = table.unit.decimal(dripping[key], problem, up=True)
    # Windows on a finer grid than the line's must not make a finer tick of it.
    tick = 1 / ticks_per_unit(problem)
    data["tick"] = Decimal(tick.numerator) / Decimal(tick.denominator)
    return Problem.from_data(data)


def _same_feeding(table: SequencerTable, seen: Replay, form: str) -> None:
    """Who feeds whom, and how many cycles before, is what the checker saw happen."""
    began = {(run.carrier, run.end): run for run in seen.runs}
    ended = {(run.carrier, run.start): run for run in seen.runs}
    for stay in seen.stays:
        before = began.get((stay.carrier, stay.since))
        after = None if stay.until is None else ended.get((stay.carrier, stay.until))
        if before is None or after is None or after.stage == 0:
            continue
        step = table.steps[after.step - 1]
        found = (before.step + len(table.once), after.cycle - before.cycle)
        if (step.fed_by, step.boundaries) != found:
            raise ExportFailed(
                f"the {form} file has step {step.step} fed by step {step.fed_by}, but the "
                f"checker saw step {found[0]} do so"
            )
