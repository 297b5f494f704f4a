"""The proof of an export of several hoists: what stands in the file is read back and replayed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from ...checker import Refused, Replay, accepted
from ...problem import Problem
from ...schedule import Schedule, Step, Travel
from ..joining import line_of
from ..names import for_comment
from ..several.motion_table import HoistMotion, SeveralTable
from .once import NotAsStated
from .proof import ExportFailed, as_exported
from .several import several_from_csv, several_from_json
from .several_once import check_lists
from .several_programs import several_from_plcopen, several_from_st

Reader = Callable[[str], tuple[SeveralTable, dict[int, int]]]
READERS: dict[str, Reader] = {
    "csv": several_from_csv,
    "json": several_from_json,
    "st": several_from_st,
    "xml": several_from_plcopen,
}


def prove_several(problem: Problem, table: SeveralTable, text: str, form: str) -> None:
    """Read a file back and replay it.

    Parameters
    ----------
    problem : Problem
    table : SeveralTable
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
        back, sums = READERS[form](text)
    except (ValueError, KeyError, IndexError, SyntaxError) as error:
        raise ExportFailed(f"the {form} file cannot be read back: {error!r}") from None
    if form in ("st", "xml"):
        back = _with_names(table, back, form)
    if back != table:
        raise ExportFailed(f"the {form} file says something else than the tables")
    back = replace(back, state=table.state, lost=table.lost)
    if back.once and back.steps:
        problem = line_of(problem, schedule_of_several(problem, back))
    for hoist, numbers in numbers_of(back).items():
        if summed_up(numbers) != sums.get(hoist):
            raise ExportFailed(f"the {form} file has a wrong check sum of hoist {hoist}")
    for name, line in (("stated", problem), ("exported", as_exported(problem, back))):
        try:
            if back.steps:
                _same_feeding(back, accepted(line, schedule_of_several(line, back)), form)
            if back.once:
                check_lists(back, line)
        except (Refused, NotAsStated) as refused:
            raise ExportFailed(f"the {form} file, windows as {name}: {refused}") from None


def _with_names(table: SeveralTable, back: SeveralTable, form: str) -> SeveralTable:
    """What a program says, in the user's own names, which it can only hold in plain ASCII."""

    def names(of: SeveralTable) -> tuple[str, ...]:
        stations, hoists = (n for _, n in of.stations), (hoist.name for hoist in of.hoists)
        return (of.line, *stations, *of.recipes, *hoists, *of.idle)

    if names(back) != tuple(map(for_comment, names(table))):
        raise ExportFailed(f"the {form} file names something else than the tables")
    hoists = tuple(
        replace(read, name=hoist.name)
        for read, hoist in zip(back.hoists, table.hoists, strict=True)
    )
    return replace(
        back,
        line=table.line,
        hoists=hoists,
        idle=table.idle,
        stations=table.stations,
        recipes=table.recipes,
    )


def schedule_of_several(problem: Problem, table: SeveralTable) -> Schedule:
    """The cycle that tables state, one tick being one unit of them."""
    names = dict(table.stations)
    at = {number: _position(problem, name) for number, name in table.stations}
    at |= dict(table.waiting)
    turns = {m.step: m.planned // table.cycle for m in table.steps}
    steps: list[Step] = []
    travels: list[Travel] = []
    for hoist in table.hoists:
        for motion in hoist.motions:
            start = motion.planned % table.cycle
            if not motion.step:
                travels.append(Travel(Fraction(start), hoist.name, at[motion.place]))
                continue
            turned = 0 if motion.fed_by is None else turns[motion.step] - turns[motion.fed_by]
            steps.append(
                Step(
                    start=start,
                    source=names[motion.start],
                    target=names[motion.place],
                    recipe=table.recipes[motion.recipe - 1],
                    load=motion.load,
                    stage=motion.stage,
                    boundaries=None if motion.fed_by is None else motion.boundaries + turned,
                    hoist=hoist.name,
                )
            )
    return Schedule(table.cycle, table.unit.per_unit_of(problem), tuple(steps), tuple(travels))


def _position(problem: Problem, name: str) -> Fraction:
    return Fraction(problem.station_by_name[name].position or 0)


def _same_feeding(table: SeveralTable, seen: Replay, form: str) -> None:
    """Who feeds whom, and how many cycles before, is what the checker saw happen."""
    order = {
        (step.hoist, step.load, step.stage): number
        for number, step in enumerate(seen.schedule, start=1)
    }
    told: dict[int, HoistMotion] = {}
    names: dict[int, int] = {}
    for hoist in table.hoists:
        for motion in hoist.motions:
            if motion.step:
                number = order[hoist.name, motion.load, motion.stage]
                told[number], names[motion.step] = motion, number
    began = {(run.carrier, run.end): run for run in seen.runs}
    ended = {(run.carrier, run.start): run for run in seen.runs}
    for stay in seen.stays:
        before = began.get((stay.carrier, stay.since))
        after = None if stay.until is None else ended.get((stay.carrier, stay.until))
        if before is None or after is None or after.stage == 0:
            continue
        motion, feeding = told[after.step], told[before.step]
        turned = motion.planned // table.cycle - feeding.planned // table.cycle
        stated = None if motion.fed_by is None else names[motion.fed_by]
        if (stated, motion.boundaries + turned) != (before.step, after.cycle - before.cycle):
            raise ExportFailed(
                f"the {form} file has step {motion.step} fed by step {motion.fed_by}, but the "
                f"checker saw step {feeding.step} do so"
            )


def numbers_of(table: SeveralTable) -> dict[int, list[int]]:
    """The numbers that make the check sum of every hoist, apart from how the writer does it."""
    per, found = table.unit.milliseconds, {}
    counts: Mapping[int, int] = {hoist.number: len(hoist.motions) for hoist in table.hoists}
    for hoist in table.hoists:
        waits = [(m.motion, one) for m in hoist.rows for one in m.releases]
        values = [
            hoist.number, len(hoist.rows), len(waits), len(table.once) + len(table.steps),
            table.slots - 1,
            table.cycle * per,
        ]  # fmt: skip
        for m in hoist.rows:
            values += [
                m.step, m.start, m.place, m.recipe, m.load, m.stage, m.fed_by or 0, m.boundaries,
                m.feeds or 0, int(m.wait_source_dwell), int(m.wait_target_empty), m.planned * per,
                m.leaves * per, m.latest * per, int(m.alarm is not None), (m.alarm or 0) * per,
                m.clock_limit * per, int(m.lasting_limit is not None),
                (m.lasting_limit or 0) * per, m.least * per, int(m.most is not None),
                (m.most or 0) * per, m.drip * per, m.lasts * per, m.busy * per,
            ]  # fmt: skip
        for motion, one in waits:
            values += [
                motion, ("lift", "leave", "pass").index(one.before) + 1, one.hoist, one.motion,
                counts[one.hoist], one.cycles, int(one.left is not None), (one.left or 0) * per,
                one.stop or 0,
            ]  # fmt: skip
        if table.once:
            values += [len(hoist.once), table.joins * per, *(m.lifted_in for m in hoist.once)]
        found[hoist.number] = values
    return found


def summed_up(values: list[int]) -> int:
    """The check sum of numbers."""
    parts = [part for value in values for part in (value >> 15, value & 0x7FFF)]
    total = 0
    for power, part in enumerate(reversed(parts)):
        total += part * pow(32_749, power, 65_521)
    return total % 65_521
