"""The tables of a programme of several hoists: a list of motions a hoist, run once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
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
from ..ordered import Which
from ..releases import releases_of
from ..rows import Rows, figures_of
from ..table import check_told
from .beyond import Beyond
from .limits import limits_once
from .motions import horizon, motions_once, ordered_once
from .onward import MOST_MORE, Joint, Onward
from .waits import OnceWaits
from .whole import Tied, WholeOnce, whole_once


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
    if programme.repeats is None:
        found = whole_once(given, strict_problem(problem, unit), unit)
        rows = ListRows(found, unit, numbers)
        return _table(rows)
    rows = _entering(Onward(given, unit, numbers), unit, numbers)
    return _table(rows)


def _entering(onward: Onward, unit: TimeUnit, numbers: Mapping[str, int]) -> ListRows:
    """The list of a programme that goes on as a cycle, just long enough for its signals."""
    strict = strict_problem(onward.line, unit)
    for more in range(1, MOST_MORE + 1):
        entered = onward.entered(more)
        if entered is None:
            continue
        shown, tied = entered
        rows = ListRows(whole_once(shown, strict, unit, tied), unit, numbers, tied, onward)
        joint = Joint(tied.first, onward.rows)
        order = [(h, n) for h, made in enumerate(rows.made) for n in range(len(made))]
        order.sort(key=lambda which: rows.made[which[0]][which[1]].leaves)
        if not joint.lacks(order, rows.ordered, rows.listed):
            return rows
    raise InputError(
        "a programme whose hoists enter the cycle so that its release signals keep them apart from "
        f"all that was before, within {MOST_MORE} cycles",
        field="moves",
        way_out="Hand over the programme until the line is empty, and the cycle by itself.",
    )


def _table(rows: ListRows) -> SeveralTable:
    problem, onward = rows.problem, rows.onward
    names = [hoist.name or "" for hoist in problem.hoists]

    def of_hoist(hoist: int) -> HoistTable:
        motions, once = rows.cycle_motions(hoist), rows.list_motions(hoist)
        return HoistTable(hoist + 1, names[hoist], motions, once)

    return replace(
        rows.tables(of_hoist, 0 if onward is None else onward.rows.found.schedule.cycle),
        joins=rows.joins,
        state=rows.seen.state,
        lost=rows.seen.lost,
        time_unit=problem.unit,
    )


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
    """The motions of a list in whole units, one tick being one unit.

    Parameters
    ----------
    found : WholeOnce
    unit, numbers
        As of :class:`Rows`.
    tied : Tied, optional
        Where each hoist enters the cycle.
    onward : Onward, optional
        The cycle.
    """

    def __init__(
        self,
        found: WholeOnce,
        unit: TimeUnit,
        numbers: Mapping[str, int],
        tied: Tied | None = None,
        onward: Onward | None = None,
    ) -> None:
        self.seen, self.strict, self.joins, self.onward = (
            found.plain, found.strict, found.joins, onward,
        )  # fmt: skip
        course = self.seen.course
        made = motions_once(course)
        self.ordered = ordered_once(course, made)
        self.first = tuple(map(len, made)) if tied is None else tied.first
        strict = motions_once(self.strict.course)
        waits = OnceWaits(self.strict.course, strict, ordered_once(self.strict.course, strict))
        which: list[Which] = [(h, n) for h, count in enumerate(self.first) for n in range(count)]
        end = max(strict[hoist][number].ends for hoist, number in which)
        beyond = None if onward is None else Beyond(onward, self.first, waits)
        known = releases_of(made, self.ordered, horizon(made), course.table.clock.tolerance)
        self.listed = {one: known[one] for one in which if one in known}
        super().__init__(
            course.table,
            made,
            self.listed,
            limits_once(waits, which, end, beyond),
            unit,
            numbers,
            places=() if onward is None else (at for _, at in onward.rows.waiting),
        )
        self.figures = figures_of(course.table, made, unit)
        self.which = {
            motion.step: (hoist, number)
            for hoist, motions in enumerate(made)
            for number, motion in enumerate(motions)
            if motion.step is not None
        }
        runs = [run.number for run in course.runs]
        self.runs = {run: place for place, run in enumerate(runs)}
        listed = [run for run in runs if self._in_list(*self.which[run])]
        self.steps = {run: step for step, run in enumerate(listed, start=1)}
        self.lifted = {stay.left_by: stay for stay in self.seen.stays if stay.left_by}
        self.brought = {stay.arrived_by: stay for stay in self.seen.stays if stay.arrived_by}

    def _in_list(self, hoist: int, number: int) -> bool:
        return number < self.first[hoist]

    def list_motions(self, hoist: int) -> tuple[HoistMotion, ...]:
        """The motions of a hoist in the list."""
        return tuple(self.row(hoist, number) for number in range(self.first[hoist]))

    def cycle_motions(self, hoist: int) -> tuple[HoistMotion, ...]:
        """Those in the cycle, numbered on from the list."""
        if self.onward is None:
            return ()
        rows, once = self.onward.rows, len(self.steps)
        rows.waiting = self.waiting
        return tuple(
            replace(
                row,
                motion=row.motion + self.first[hoist],
                step=row.step + once if row.step else 0,
                fed_by=None if row.fed_by is None else row.fed_by + once,
                feeds=None if row.feeds is None else row.feeds + once,
                releases=tuple(
                    replace(release, motion=release.motion + self.first[release.hoist - 1])
                    for release in row.releases
                ),
            )
            for row in rows.motions(hoist)
        )

    def _move(self, hoist: int, number: int) -> HoistMotion:
        motion, figures = self.made[hoist][number], self.figures[hoist]
        assert motion.step is not None
        place, step = self.runs[motion.step], self.steps[motion.step]
        run, parts = self.seen.runs[place], self.seen.course.runs[place].parts
        stay, after = self.lifted.get(run.step), self.brought.get(run.step)
        least, most = figures.window(run.recipe, run.stage, run.source)
        feeds, lifted_in = self._feeds(after)
        return HoistMotion(
            step=step,
            start=self.numbers[run.source],
            place=self.numbers[run.target],
            recipe=self.recipes.index(run.recipe) + 1,
            load=run.load,
            stage=run.stage,
            fed_by=None if stay is None else self._fed_by(stay, step),
            boundaries=int(stay is not None and stay.arrived_by is None),
            feeds=feeds,
            wait_source_dwell=least > 0 and stay is not None,
            wait_target_empty=free_when_lifted(self.strict, run.step),
            least=least,
            most=most,
            drip=figures.drip(parts.drip),
            busy=figures.busy(parts.total, run.target),
            lifted_in=lifted_in,
            **self._common(hoist, number),
        )

    def _fed_by(self, stay: LoadStay, step: int) -> int:
        """The step that set a load down; of one that the state has there the step that lifts it."""
        if stay.arrived_by is None:
            return step
        return self.steps[self.seen.course.runs[stay.arrived_by - 1].number]

    def _feeds(self, stay: LoadStay | None) -> tuple[int | None, int]:
        """The step that lifts a load next and, of the cycle, in which cycle."""
        if stay is None or stay.left_by is None:
            return None, 0
        run = self.seen.course.runs[stay.left_by - 1].number
        if run in self.steps:
            return self.steps[run], 0
        assert self.onward is not None
        hoist, number = self.which[run]
        made = self.onward.rows.made[hoist]
        cycle, place = divmod(number - self.first[hoist], len(made))
        step = made[place].step
        assert step is not None
        return step + 1 + len(self.steps), cycle


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
