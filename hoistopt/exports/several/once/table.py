"""The tables of a programme of several hoists: a list of motions a hoist, run once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Literal

from ....base.errors import InputError
from ....checker import LoadStay, ProgrammeReplay, accepted_programme
from ....problem import Problem
from ....problem.numbering import numbered
from ....schedule import LineState, Programme
from ...strict import strict_problem
from ...units import TimeUnit, time_unit
from ..motion_table import HoistMotion, HoistTable, SeveralTable
from ..releases import Which, releases_of
from ..rows import Rows, figures_of
from ..table import check_told
from .limits import limits_once
from .motions import horizon, motions_once, ordered_once
from .waits import OnceWaits
from .whole import WholeOnce, whole_once


def several_programme_table(
    problem: Problem,
    programme: Programme,
    state: LineState | None = None,
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first_station: int = 0,
    lost: Iterable[int] = (),
) -> SeveralTable:
    """The tables of a programme of several hoists, until the line is empty or into a cycle.

    Parameters
    ----------
    problem : Problem
    programme : Programme
        Moves in absolute time that the checker accepts. Where it goes on as a cycle, that is
        the cycle that follows.
    state, unit, stations, first_station, lost
        As of :func:`hoistopt.programme_table`.

    Raises
    ------
    ProgrammeRefused, Refused
        When the checker refuses the programme, or the cycle.
    InputError
        When the unit is unknown or too coarse, the numbers of the stations are wrong, a tank
        rests, a hoist is on its way in the state, or no timing of the motions leaves hoists time
        to wait for one another.
    """
    unit = time_unit(unit)
    numbers = numbered(problem, stations, first_station)
    if not len(programme):
        raise InputError("a programme of at least one move", field="programme")
    given = accepted_programme(problem, programme, state, lost=lost)
    check_told(problem, programme.steps)
    _check_at_rest(problem, given.state)
    found = whole_once(given, strict_problem(problem, unit), unit)
    rows = ListRows(found, unit, numbers)
    hoists = tuple(
        HoistTable(hoist + 1, problem.hoists[hoist].name or "", (), rows.motions(hoist))
        for hoist, made in enumerate(rows.made)
        if made
    )
    return SeveralTable(
        line=problem.name,
        unit=unit,
        cycle=0,
        hoists=hoists,
        idle=tuple(h.name or "" for h, made in zip(problem.hoists, rows.made, strict=True)
                   if not made),
        stations=tuple((number, name) for name, number in numbers.items()),
        waiting=rows.waiting,
        recipes=tuple(recipe.name for recipe in problem.recipes),
        note=" ".join(problem.note.split()),
        length_unit=problem.length_unit,
        state=found.plain.state,
        lost=found.plain.lost,
        time_unit=problem.unit,
    )  # fmt: skip


def _check_at_rest(problem: Problem, state: LineState) -> None:
    """No hoist is on its way when the list begins: no signal tells the others of that way."""
    for hoist in state.hoists:
        there = problem.station_by_name[hoist.station].position if hoist.station else None
        if there is not None and hoist.position not in (None, there):
            raise InputError(
                "hoists at rest when the list begins, as no release signal tells the others of a "
                "way that is not in it",
                field=f'state, hoist "{hoist.name}", position',
                value=f"on its way to {hoist.station}",
                way_out="Take the state when every hoist stands at a station or a position.",
            )


class ListRows(Rows):
    """The motions of a list in whole units, one tick being one unit."""

    def __init__(
        self,
        found: WholeOnce,
        unit: TimeUnit,
        numbers: Mapping[str, int],
        places: Iterable[Fraction] = (),
    ) -> None:
        self.seen, self.strict = found.plain, found.strict
        course = self.seen.course
        made = motions_once(course)
        ordered = ordered_once(course, made)
        strict = motions_once(self.strict.course)
        waits = OnceWaits(self.strict.course, strict, ordered_once(self.strict.course, strict))
        listed: list[Which] = [(h, n) for h, each in enumerate(made) for n in range(len(each))]
        end = max(motion.ends for each in strict for motion in each)
        super().__init__(
            course.table,
            made,
            releases_of(made, ordered, horizon(made), course.table.clock.tolerance),
            limits_once(waits, listed, end, {}),
            unit,
            numbers,
            places=places,
        )
        self.figures = figures_of(course.table, made, unit)
        self.runs = {run.number: place for place, run in enumerate(course.runs)}
        self.lifted = {stay.left_by: stay for stay in self.seen.stays if stay.left_by}
        self.brought = {stay.arrived_by: stay for stay in self.seen.stays if stay.arrived_by}

    def _move(self, hoist: int, number: int) -> HoistMotion:
        motion, figures = self.made[hoist][number], self.figures[hoist]
        assert motion.step is not None
        place = self.runs[motion.step]
        run, parts = self.seen.runs[place], self.seen.course.runs[place].parts
        stay, after = self.lifted.get(run.step), self.brought.get(run.step)
        least, most = figures.window(run.recipe, run.stage, run.source)
        return HoistMotion(
            step=run.step,
            start=self.numbers[run.source],
            place=self.numbers[run.target],
            recipe=self.recipes.index(run.recipe) + 1,
            load=run.load,
            stage=run.stage,
            fed_by=None if stay is None else stay.arrived_by or run.step,
            boundaries=int(stay is not None and stay.arrived_by is None),
            feeds=self._feeds(after),
            wait_source_dwell=least > 0 and stay is not None,
            wait_target_empty=free_when_lifted(self.strict, run.step),
            least=least,
            most=most,
            drip=figures.drip(parts.drip),
            busy=figures.busy(parts.total, run.target),
            **self._common(hoist, number),
        )

    def _feeds(self, stay: LoadStay | None) -> int | None:
        return None if stay is None else stay.left_by


def free_when_lifted(seen: ProgrammeReplay, step: int) -> bool:
    """Whether places at the target of a step are counted, and one is free by plan at its lifting.

    At an end of the line that is cleared from outside, what was set down before counts for as
    long as it stands there at the least.
    """
    run = seen.runs[step - 1]
    station = seen.problem.station_by_name[run.target]
    if station.capacity == "unlimited":
        return False
    by_hand = (station.loads or station.unloads) and seen.problem.carriers.return_ != "hoist"
    if by_hand:
        least = Fraction(station.min_occupation)
        taken = [
            other
            for other in seen.runs
            if other.target == run.target and other.end <= run.start < other.end + least
        ]
        return len(taken) < station.capacity
    standing = [
        stay
        for stay in seen.stays
        if stay.station == run.target
        and stay.since.most <= run.start
        and (stay.until is None or stay.until >= run.start)
    ]
    return len(standing) < station.capacity
