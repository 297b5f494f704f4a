"""A schedule handed over to a machine: step tables as whole numbers, each proved."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Literal

from ...analysis.figures.cautions import STANDING
from ...base.errors import InputError
from ...base.numbers.decimals import told
from ...base.numbers.duration import Duration, given_time
from ...base.numbers.exact import Numeral
from ...base.text import counted
from ...exports import (
    SequencerStyle,
    SequencerTable,
    export_text,
    programme_table,
    sequencer_table,
    several_text,
)
from ...exports.formats.words import CAUTIONS, ONCE
from ...exports.several import SeveralTable, several_table
from ...exports.several.formats.words import cautions_of as several_cautions
from ...exports.several.once import several_programme_table
from ...exports.units import TimeUnit
from ...problem import Problem
from ...schedule import LineState, Programme, Schedule
from ...schedule.files import read_moves, read_programme
from ...schedule.raw_move import LONGEST
from ...schedule.state_files import read_state
from ..given import Line, Moves, naming, problem_of, replayed


@dataclass(frozen=True)
class HandedOver:
    """A sequencer table in the formats asked for.

    Attributes
    ----------
    problem : Problem
    moves : Schedule or Programme
        The moves before they were rounded to whole units.
    table : SequencerTable or SeveralTable
        The latter of a line with several hoists.
    texts : tuple of str
        One a format, each read back and replayed by the checker.
    """

    problem: Problem
    moves: Schedule | Programme
    table: SequencerTable | SeveralTable
    texts: tuple[str, ...]

    def sentences(self) -> list[str]:
        """What rounding to whole units did to the schedule, if anything."""
        table, schedule = self.table, self.moves
        if isinstance(schedule, Programme):
            if isinstance(table, SeveralTable):
                return self._of_lists(table, schedule)
            return self._of_a_list(table, schedule)
        units = table.unit.per_unit_of(self.problem)
        before = schedule.time(schedule.cycle) * units
        starts = [schedule.time(step.start) * units for step in schedule]
        if isinstance(table, SeveralTable):
            whole: Sequence[int] = [m.planned % table.cycle for m in table.steps]
            return self._of_several(table, before, sorted(starts), sorted(whole))
        whole = [step.start for step in table.steps]
        moved = sum(a != b for a, b in zip(starts, whole, strict=True))
        if not moved and before == table.cycle:
            return []
        label = table.unit.label
        return [
            f"In whole {label}: {moved} of {len(starts)} starts moved, cycle time "
            f"{told(before)} becomes {table.cycle} {self._counted}. The checker accepts it."
        ]

    def _of_several(
        self,
        table: SeveralTable,
        before: Fraction,
        starts: Sequence[Fraction],
        whole: Sequence[int],
    ) -> list[str]:
        """What waiting for one another did to the schedule, and who follows whom."""
        moved = sum(a != b for a, b in zip(starts, whole, strict=True))
        becomes = (
            f"the cycle time stays {table.cycle}"
            if before == table.cycle
            else f"the cycle time {told(before)} becomes {table.cycle}"
        )
        found = [
            f"In whole {table.unit.label}, with hoists that wait for one another: {moved} of "
            f"{len(starts)} starts moved, {becomes} {self._counted}. The checker accepts it."
        ]
        return [*found, _signals(table)]

    def _of_lists(self, table: SeveralTable, programme: Programme) -> list[str]:
        """How long the lists are, what follows them, and what waiting did to the times."""
        count = sum(len(hoist.once) for hoist in table.hoists)
        text = f"Lists of {count} motions, {len(table.once)} of them moves, run once"
        if table.steps:
            text += (
                f"; the cycle of {len(table.steps)} moves begins at {table.joins} {self._counted}"
            )
        units = table.unit.per_unit_of(self.problem)
        before = sorted(programme.time(step.start) * units for step in programme)
        whole = sorted(motion.planned for motion in table.once)
        moved = sum(a != b for a, b in zip(before, whole, strict=False))
        later = max((b - a for a, b in zip(before, whole, strict=False)), default=Fraction(0))
        return [
            f"{text}.",
            f"In whole {table.unit.label}, with hoists that wait for one another: {moved} starts "
            f"moved, by at most {told(later)} {self._counted}. The checker accepts it.",
            _signals(table),
        ]

    def _of_a_list(self, table: SequencerTable, programme: Programme) -> list[str]:
        """How long the list is, and what follows it."""
        count = len(table.once)
        steps = f"A list of {counted(count, 'step')}, run once"
        found = []
        if table.steps:
            found.append(
                f"{steps}; the cycle of {len(table.steps)} steps begins at {table.joins} "
                f"{self._counted}."
            )
        else:
            found.append(f"{steps}.")
        if count > len(programme):
            found.append(
                f"{count - len(programme)} steps of the cycle are in the list too, until each "
                "load that stood in the line has been lifted."
            )
        units = table.unit.per_unit_of(self.problem)
        moved = sum(
            programme.time(step.start) * units != row.start
            for step, row in zip(programme, table.once, strict=False)
        )
        if moved:
            found.append(
                f"In whole {table.unit.label}: {moved} of {len(programme)} starts of the "
                "programme moved. The checker accepts it."
            )
        return found

    def cautions(self) -> list[str]:
        """What a person must know of a machine that runs the table."""
        if isinstance(self.table, SeveralTable):
            return [text for text in several_cautions(self.table) if text not in CAUTIONS[1:]]
        return [*((ONCE,) if self.table.once else ()), STANDING]

    @property
    def _counted(self) -> str:
        label = self.table.unit.label
        return label if label[0].isalpha() else f"times {label}"


def _signals(table: SeveralTable) -> str:
    """How many release signals there are, and how many of them let a hoist follow another."""
    waits = [one for h in table.hoists for m in h.rows for one in m.releases]
    follow = sum(one.left is not None for one in waits)
    return (
        f"{counted(len(waits), 'release signal')} between {len(table.hoists)} "
        f"hoists, {follow} of them to follow one that has not arrived yet."
    )


def sequencer(
    line: Line,
    moves: Moves,
    formats: Sequence[str],
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
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
    seen = replayed(line, moves, several=True)
    problem, schedule = seen.problem, seen.schedule
    if len(problem.hoists) > 1:
        tables = several_table(problem, schedule, unit, stations, first, seen)
        texts = tuple(several_text(problem, tables, form, style) for form in formats)
        return HandedOver(problem, schedule, tables, texts)
    table = sequencer_table(problem, schedule, unit, stations, first, seen)
    texts = tuple(export_text(problem, table, form, style) for form in formats)
    return HandedOver(problem, schedule, table, texts)


def sequencer_once(
    line: Line,
    programme: Programme | str | Path,
    formats: Sequence[str],
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first: int = 0,
    style: SequencerStyle | None = None,
    *,
    state: LineState | str | Path | None = None,
    then: Moves | None = None,
    joins: Numeral | Duration | None = None,
    lost: Iterable[int] = (),
) -> HandedOver:
    """Make the step table of a programme, alone or with the cycle after it, and prove it.

    Parameters
    ----------
    line : Problem, str or Path
    programme : Programme, str or Path
    formats, unit, stations, first, style
        As of :func:`sequencer`; ``st`` and ``xml`` need the cycle.
    state : LineState, str or Path, optional
        What the programme begins with; by default an empty line.
    then : Schedule, str or Path, optional
        The cycle that follows.
    joins : number or Duration, optional
        When it begins, in the problem's unit from the beginning of the programme.
    lost : iterable of int, optional
        Loads of the state that may stand longer than their maxima.

    Raises
    ------
    InputError
        When a file, a name or a number cannot be used, or the cycle cannot begin then.
    ProgrammeRefused, Refused
        When the moves break a rule.
    ExportFailed
        When a proof fails: a fault in hoistopt itself.
    """
    problem = problem_of(line, several=True)
    made = programme if isinstance(programme, Programme) else read_programme(programme, problem)
    begins = read_state(state, problem) if isinstance(state, str | Path) else state
    cycle = then if then is None or isinstance(then, Schedule) else read_moves(then, problem)
    if isinstance(joins, Duration):
        joins = given_time(joins, problem.unit, "joins", LONGEST)
    if len(problem.hoists) > 1:
        if cycle is not None or joins is not None:
            raise InputError(
                "no other cycle: of several hoists a programme itself has how they give way to "
                "one another where it goes over into its cycle",
                field="then" if cycle is not None else "joins",
                way_out="Plan it with `hoistopt plan --to`, and leave this out.",
            )
        with naming(programme):
            lists = several_programme_table(problem, made, begins, unit, stations, first, lost)
        texts = tuple(several_text(problem, lists, form, style) for form in formats)
        return HandedOver(problem, made, lists, texts)
    with naming(programme):
        table = programme_table(problem, made, begins, cycle, joins, unit, stations, first, lost)
    texts = tuple(export_text(problem, table, form, style) for form in formats)
    return HandedOver(problem, made, table, texts)
