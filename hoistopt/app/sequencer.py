"""A schedule handed over to a machine: step tables as whole numbers, each proved."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from ..base.decimals import told
from ..exports import SequencerStyle, SequencerTable, export_text, sequencer_table
from ..exports.units import TimeUnit
from ..problem import Problem
from ..schedule import Schedule
from .given import Line, Moves, replayed


@dataclass(frozen=True)
class HandedOver:
    """A sequencer table in the formats asked for.

    Attributes
    ----------
    problem, schedule : Problem, Schedule
        The line, and the moves before they were rounded to whole units.
    table : SequencerTable
    texts : tuple of str
        One a format, each read back and replayed by the checker.
    """

    problem: Problem
    schedule: Schedule
    table: SequencerTable
    texts: tuple[str, ...]

    def sentences(self) -> list[str]:
        """What rounding to whole units did to the schedule, if anything."""
        table, schedule = self.table, self.schedule
        units = table.unit.per_unit_of(self.problem)
        before = schedule.time(schedule.cycle) * units
        starts = [schedule.time(step.start) * units for step in schedule]
        moved = sum(a != step.start for a, step in zip(starts, table.steps, strict=True))
        if not moved and before == table.cycle:
            return []
        label = table.unit.label
        counted = label if label[0].isalpha() else f"times {label}"
        return [
            f"In whole {label}: {moved} of {len(starts)} starts moved, cycle time "
            f"{told(before)} becomes {table.cycle} {counted}. The checker accepts it."
        ]


def sequencer(
    line: Line,
    moves: Moves,
    formats: Sequence[str],
    unit: str | TimeUnit = "ms",
    stations: Literal["list", "track"] | Mapping[str, int] = "list",
    first: int = 0,
    style: SequencerStyle | None = None,
) -> HandedOver:
    """Make the step table of a schedule in several formats, and prove each.

    Parameters
    ----------
    line : Problem, str or Path
    moves : Schedule, str or Path
    formats : sequence of str
        ``csv``, ``json``, ``st`` or ``xml``.
    unit : str or TimeUnit
        Time unit that is counted in whole numbers.
    stations : str or mapping
        ``"list"``, ``"track"``, or the number of every station.
    first : int
        Number of the first station.
    style : SequencerStyle, optional
        Of structured text and PLCopen XML.

    Raises
    ------
    InputError
        When a file, a name or a number cannot be used.
    Refused
        When the moves break a rule.
    ExportFailed
        When a proof fails: a fault in hoistopt itself.
    """
    seen = replayed(line, moves)
    problem, schedule = seen.problem, seen.schedule
    table = sequencer_table(problem, schedule, unit, stations, first, seen)
    texts = tuple(export_text(problem, table, form, style) for form in formats)
    return HandedOver(problem, schedule, table, texts)
