"""What a printed sheet says: the rows, alarms and cautions of a sequencer's table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from ...exports import SequencerStep, SequencerStyle, SequencerTable, check_sum
from ...exports.formats.st_types import Dialect
from ...exports.formats.words import CAUTIONS
from ...exports.several import HoistMotion, HoistTable, Release, SeveralTable
from ...exports.several.block import variables
from ...exports.several.formats.program import Program
from ...exports.several.formats.words import cautions_of as several_cautions
from ...exports.several.formats.words import place_names
from ...exports.several.members import check_sum as several_sum
from ...problem import Problem
from ...show.sheet.data import CheckSum, Sheet, SheetStep
from ...show.sheet.words import ALARMS, OUT_OF_PLACE, Alarm
from ...show.tables.jsonfile import versions

_SHOWN = {"ms": ("s", 3), "ds": ("s", 1), "s": ("s", 0), "min": ("min", 0)}
"""Unit of the times printed, and its decimals, by the unit that is counted in."""


@dataclass(frozen=True)
class Found:
    """What a sheet says of one hoist, of a line with one or with several."""

    steps: tuple[SheetStep, ...]
    alarms: tuple[Alarm, ...]
    cautions: tuple[str, ...]
    table_sum: int
    hoist: str = ""


def sheet_of(
    table: SequencerTable | SeveralTable,
    found: Found,
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


def of_one(table: SequencerTable) -> Found:
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
    return Found(steps, alarms, CAUTIONS, check_sum(table))


def of_hoist(table: SeveralTable, hoist: HoistTable) -> Found:
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
    return Found(
        steps,
        tuple(alarm for alarm in (*ALARMS, OUT_OF_PLACE) if alarm.name in raised),
        several_cautions(table),
        several_sum(table, hoist),
        f"{hoist.number} ({hoist.name})",
    )


def sources_of(problem: Problem) -> tuple[str, ...]:
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
