"""A schedule as a sheet for the cabinet door: what the sequencer does, and what to do when."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

from ..base.errors import InputError
from ..exports import (
    SequencerStep,
    SequencerStyle,
    SequencerTable,
    check_sum,
    sequencer_table,
)
from ..exports.several import HoistMotion, HoistTable, Release, SeveralTable, several_table
from ..exports.several.block import variables
from ..exports.several.members import check_sum as several_sum
from ..exports.several.program import Program
from ..exports.several.words import cautions_of as several_cautions
from ..exports.several.words import place_names
from ..exports.st_types import Dialect
from ..exports.units import TimeUnit
from ..exports.words import CAUTIONS
from ..problem import Problem
from ..problem.files import files_of
from ..schedule import Schedule, readable
from ..schedule.files import MovesFile, schedule_to_data, takes_runnable
from ..show.sheet.data import CheckSum, Sheet, SheetStep
from ..show.sheet.html import sheet_html
from ..show.sheet.layout import laid_out
from ..show.sheet.pdf import sheet_pdf
from ..show.sheet.words import ALARMS, OUT_OF_PLACE, Alarm
from ..show.tables.jsonfile import json_text, versions
from .given import Line, Moves, problem_of, replayed

FORMATS = {"pdf": "PDF", "html": "HTML"}
"""By the ending of the file's name."""
MOST_REVISION = 40
_SHOWN = {"ms": ("s", 3), "ds": ("s", 1), "s": ("s", 0), "min": ("min", 0)}
"""Unit of the times printed, and its decimals, by the unit that is counted in."""


@dataclass(frozen=True)
class Printed:
    """A sheet, and the files asked for.

    Attributes
    ----------
    problem, schedule : Problem, Schedule
        The line, and the moves that were accepted on it.
    sheet : Sheet
        What is printed.
    files : tuple of str or bytes
        One a format: bytes of PDF, text of HTML.
    pages : int
        Sides of A4.
    more : tuple of Sheet
        Of several hoists: the sheets of all but the first.
    """

    problem: Problem
    schedule: Schedule
    sheet: Sheet
    files: tuple[str | bytes, ...]
    pages: int
    more: tuple[Sheet, ...] = ()

    def sentences(self) -> list[str]:
        """How many pages it takes, where one is not enough."""
        if self.pages == 1 + len(self.more):
            return [f"A page for each of {self.pages} hoists."] if self.more else []
        if self.more:
            return [f"The motions of {1 + len(self.more)} hoists take {self.pages} pages."]
        return [f"{len(self.sheet.steps)} steps take {self.pages} pages in type one can read."]


def sheet_format(path: str | Path) -> str:
    """The format a file's name asks for.

    Raises
    ------
    InputError
        When its ending is neither .pdf nor .html.
    """
    ending = Path(path).suffix.lower().removeprefix(".")
    if ending not in FORMATS:
        raise InputError(
            "a file name that ends in .pdf or .html",
            file=path,
            way_out="The ending says what to write.",
        )
    return ending


def sheet(
    line: Line,
    moves: Moves,
    formats: tuple[str, ...] = ("pdf",),
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first: int = 0,
    revision: str = "",
    written: date | None = None,
) -> Printed:
    """Print the sequencer table of a schedule for people at the machine.

    Numbers of stations, starts and limits are those of :func:`hoistopt.app.sequencer.sequencer`
    with the same unit and numbering.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
    formats : tuple of str
        ``pdf``, ``html``.
    unit, stations, first
        As of the sequencer table.
    revision : str
        Printed as it is; left out, there is room to write it by hand.
    written : date, optional
        The day to print.

    Raises
    ------
    InputError
        When a file, a number or the revision cannot be used.
    Refused
        When the moves break a rule.
    """
    if len(revision) > MOST_REVISION or not revision.isprintable():
        raise InputError(
            f"at most {MOST_REVISION} printable characters", field="revision", value=revision
        )
    sums = (*_of_line(line), _of_moves(moves))
    problem = problem_of(line, several=True)
    seen = replayed(problem, moves, several=True)
    schedule = seen.schedule
    sources = _sources(problem)

    def printed(table: SequencerTable | SeveralTable, found: _Found) -> Sheet:
        return _sheet(table, found, sums=sums, sources=sources, revision=revision, written=written)

    if len(problem.hoists) > 1:
        tables = several_table(problem, schedule, unit, stations, first, seen)
        sheets = tuple(printed(tables, _of_hoist(tables, hoist)) for hoist in tables.hoists)
    else:
        table = sequencer_table(problem, schedule, unit, stations, first, seen)
        sheets = (printed(table, _of_one(table)),)
    files = tuple(sheet_pdf(*sheets) if form == "pdf" else sheet_html(*sheets) for form in formats)
    return Printed(problem, schedule, sheets[0], files, len(laid_out(*sheets)), sheets[1:])


@dataclass(frozen=True)
class _Found:
    """What a sheet says of one hoist, of a line with one or with several."""

    steps: tuple[SheetStep, ...]
    alarms: tuple[Alarm, ...]
    cautions: tuple[str, ...]
    table_sum: int
    hoist: str = ""


def _sheet(
    table: SequencerTable | SeveralTable,
    found: _Found,
    *,
    sums: tuple[CheckSum, ...],
    sources: tuple[str, ...],
    revision: str,
    written: date | None,
) -> Sheet:
    """A sheet of what was found, with what is told of the whole table."""
    return Sheet(
        line=table.line,
        note=table.note,
        unit=_SHOWN[table.unit.key][0],
        counted=table.unit.label,
        cycle=_shown(table, table.cycle),
        loads=sum(step.fed_by is None for step in table.steps),
        steps=found.steps,
        stations=table.stations,
        recipes=tuple(enumerate(table.recipes, start=1)),
        alarms=found.alarms,
        cautions=found.cautions,
        sums=sums,
        table_sum=found.table_sum,
        revision=revision,
        written=written,
        made_by=f"hoistopt {versions()['hoistopt']}",
        hoist=found.hoist,
        sources=sources,
    )


def _shown(table: SequencerTable | SeveralTable, units: int) -> Decimal:
    """A time of the table in the unit that is printed."""
    decimals = _SHOWN[table.unit.key][1]
    return Decimal(f"{Decimal(units).scaleb(-decimals).normalize():f}")


def _step(
    table: SequencerTable | SeveralTable, row: SequencerStep | HoistMotion, **more: Any
) -> SheetStep:
    """A row of the sheet: what a step and a motion have alike, and the rest."""
    return SheetStep(
        recipe=row.recipe,
        load=row.load,
        latest=_shown(table, row.latest),
        alarm=None if row.alarm is None else _shown(table, row.alarm),
        least=_shown(table, row.least),
        most=None if row.most is None else _shown(table, row.most),
        **more,
    )


def _of_one(table: SequencerTable) -> _Found:
    """The steps of the only hoist."""
    names = dict(table.stations)
    raised = {v.name for v in Dialect(table, tags="numbers").variables() if v.section == "output"}
    steps = tuple(
        _step(
            table,
            step,
            step=step.step,
            pick=_station(step.pick, names),
            place=_station(step.place, names),
            start=_shown(table, step.start),
        )
        for step in table.steps
    )
    alarms = tuple(alarm for alarm in ALARMS if alarm.name in raised)
    return _Found(steps, alarms, CAUTIONS, check_sum(table))


def _of_hoist(table: SeveralTable, hoist: HoistTable) -> _Found:
    """The motions of one of several hoists."""
    names = dict(table.stations) | place_names(table)
    program = Program(table, SequencerStyle(tags="numbers"))
    declared = variables(program.sizes, "", "")
    raised = {variable.name for variable in declared if variable.section == "output"}
    steps = tuple(
        _step(
            table,
            motion,
            step=motion.step or None,
            pick=_station(motion.start, names),
            place=_station(motion.place, names),
            start=_shown(table, motion.planned),
            motion=motion.motion,
            after=" ".join(map(_after, motion.releases)) or "-",
        )
        for motion in hoist.motions
    )
    return _Found(
        steps,
        tuple(alarm for alarm in (*ALARMS, OUT_OF_PLACE) if alarm.name in raised),
        several_cautions(table),
        several_sum(table, hoist),
        f"{hoist.number} ({hoist.name})",
    )


def _sources(problem: Problem) -> tuple[str, ...]:
    """Where the windows of the stages come from, each source once with its stages."""
    found: dict[str, list[str]] = {}
    for recipe in problem.recipes:
        for number, stage in enumerate(recipe.stages, start=1):
            if source := problem.source_of(recipe.name, number):
                found.setdefault(source, []).append(stage.label)
    return tuple(
        f"{', '.join(dict.fromkeys(stages))}: {source}" for source, stages in found.items()
    )


def _after(release: Release) -> str:
    """What another hoist must have done, in short; no line breaks within."""
    earlier = f"-{release.cycles}" if release.cycles else ""
    left = "\N{NO-BREAK SPACE}left" if release.left is not None else ""
    stop = (
        ""
        if release.stop is None
        else f"\N{NO-BREAK SPACE}up\N{NO-BREAK SPACE}to\N{NO-BREAK SPACE}{release.stop}"
    )
    return f"{release.hoist}.{release.motion}{earlier}{left}{stop}"


def _station(number: int, names: Mapping[int, str]) -> str:
    """Number and name; no line breaks between the two."""
    return f"{number}\N{NO-BREAK SPACE}{names[number]}"


def _of_line(line: Line) -> tuple[CheckSum, ...]:
    """Of the problem file and of the tables beside it that it names."""
    if isinstance(line, Problem):
        return (_sum("line", line.to_toml().encode("utf-8")),)
    return tuple(_of_file(path) for path in files_of(line))


def _of_moves(moves: Moves) -> CheckSum:
    """Of the file of moves; of the text of its JSON where the moves come from no file."""
    if isinstance(moves, Schedule):
        cycle = readable(moves.time(moves.cycle))
        data = {"cycle_time": cycle, "moves": schedule_to_data(moves)}
        return _sum("moves", json_text(data).encode("utf-8"))
    found = _of_file(Path(moves))
    if isinstance(moves, MovesFile) and takes_runnable(moves):
        # The file holds two schedules, and one sum stands for both.
        return replace(found, name=f"{found.name} (the one that can be run)")
    return found


def _of_file(path: Path) -> CheckSum:
    try:
        return _sum(path.name, path.read_bytes())
    except OSError as error:
        raise InputError(f"a readable file ({error.strerror})", file=path) from None


def _sum(name: str, content: bytes) -> CheckSum:
    return CheckSum(name, hashlib.sha256(content).hexdigest())
