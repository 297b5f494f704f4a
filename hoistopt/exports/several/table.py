"""The sequencer tables of several hoists: one a hoist, with release signals between them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Literal

from ...base.errors import InputError
from ...checker import Replay, accepted
from ...problem import Problem
from ...problem.numbering import numbered
from ...schedule import Schedule, Step
from ..rounding import InWhole
from ..strict import strict_problem
from ..units import TimeUnit, time_unit
from .limits import limits_of
from .motion_table import HoistMotion, HoistTable, SeveralTable
from .motions import motions_of
from .ordered import from_rest, in_order_of
from .releases import releases
from .rounding import released_in_whole_units
from .rows import Rows, figures_of


def several_table(
    problem: Problem,
    schedule: Schedule,
    unit: str | TimeUnit = "ms",
    stations: Literal["own", "list", "track"] | Mapping[str, int] = "list",
    first_station: int = 0,
    seen: Replay | None = None,
) -> SeveralTable:
    """The sequencer tables of a schedule of several hoists.

    Parameters
    ----------
    problem, schedule, unit, stations, first_station, seen
        As of :func:`hoistopt.sequencer_table`. Places that are no stations are numbered on from
        the greatest number of a station.

    Raises
    ------
    Refused
        When the checker refuses the schedule.
    InputError
        When the unit is unknown or too coarse, the numbers of the stations are wrong, a tank
        rests, or no timing of the motions leaves hoists time to wait for one another.
    """
    unit = time_unit(unit)
    numbers = numbered(problem, stations, first_station)
    given = accepted(problem, schedule, seen)
    check_told(problem, given.schedule.steps)
    found = released_in_whole_units(given, strict_problem(problem, unit), unit)
    rows = CycleRows(found, unit, numbers)
    names = [hoist.name or "" for hoist in problem.hoists]
    return rows.tables(
        lambda hoist: HoistTable(hoist + 1, names[hoist], rows.motions(hoist)),
        found.schedule.cycle,
    )


def check_told(problem: Problem, steps: Iterable[Step]) -> None:
    """Check that release signals can be worked out for these steps.

    Raises
    ------
    InputError
        When a tank rests, or the time of a move comes from a table.
    """
    resting = next((station for station in problem.stations if station.min_rest), None)
    if resting is not None:
        raise InputError(
            "no rest of a tank, as hoists do not tell one another of it",
            field=f'station "{resting.name}", min_rest',
            value=resting.min_rest,
            way_out="Tables of a line with one hoist know rests.",
        )
    for step in steps:
        if (step.source, step.target) in problem.loaded_times:
            raise InputError(
                "moves by lift, speeds and lowering, as release signals go by where hoists are",
                field="times, loaded",
                value=f"{step.source} to {step.target}",
                way_out="Fit the figures of the hoists to what was measured: `hoistopt fit`.",
            )


class CycleRows(Rows):
    """The motions of a schedule in whole units, one tick being one unit."""

    def __init__(
        self,
        found: InWhole,
        unit: TimeUnit,
        numbers: Mapping[str, int],
        places: Iterable[Fraction] = (),
    ) -> None:
        self.found, self.plan, self.strict = found, found.plain.plan, found.strict
        table, planned = self.plan.table, motions_of(found.plain)
        made = from_rest(planned, in_order_of(self.plan, planned), table.cycle)
        super().__init__(
            table,
            made,
            releases(self.plan, made),
            limits_of(found.strict, made),
            unit,
            numbers,
            table.cycle,
            min(motions[0].since for motions in made if motions),
            places,
        )
        self.figures = figures_of(self.plan.table, made, unit)

    def _turned(self, step: int) -> int:
        """How many cycles later than its motion a step is counted."""
        motion = next(m for made in self.made for m in made if m.step == step)
        return (self.table.starts[step] - motion.since) // self.cycle

    def _move(self, hoist: int, number: int) -> HoistMotion:
        motion, figures = self.made[hoist][number], self.figures[hoist]
        assert motion.step is not None
        step, link = motion.step, self.plan.links.get(motion.step)
        leg, parts = self.plan.legs[step], self.plan.parts[step]
        assert leg is not None and parts is not None
        told = self.table.steps[step]
        loading, after = self.plan.begins(step), self.plan.lifted_by.get(step)
        least, most = figures.window(leg.recipe, leg.leaves, told.source)
        fed = None if loading or link is None else link.before
        boundaries = 0
        if fed is not None and link is not None:
            boundaries = link.boundaries + self._turned(step) - self._turned(fed)
        return HoistMotion(
            step=step + 1,
            start=self.numbers[told.source],
            place=self.numbers[told.target],
            recipe=self.recipes.index(leg.recipe) + 1,
            load=self.plan.loads[step],
            stage=leg.leaves,
            fed_by=None if fed is None else fed + 1,
            boundaries=boundaries,
            feeds=None if after is None or self.plan.begins(after) else after + 1,
            wait_source_dwell=least > 0 and not loading,
            wait_target_empty=self._free_when_lifted(step),
            least=least,
            most=most,
            drip=figures.drip(parts.drip),
            busy=figures.busy(parts.total, told.target),
            **self._common(hoist, number),
        )

    def _free_when_lifted(self, step: int) -> bool:
        """Whether places at the target are counted, and one is free by plan at every lifting."""
        target = self.table.steps[step].target
        station = self.strict.problem.station_by_name[target]
        if station.capacity == "unlimited":
            return False
        stays = [stay for stay in self.strict.stays if stay.station == target]
        gone = Fraction(station.min_occupation)
        by_hand = station.kind == "unload" and self.strict.problem.carriers.return_ != "hoist"
        return all(
            sum(
                stay.since <= run.start
                and (
                    stay.since + gone > run.start
                    if by_hand
                    else stay.until is None or stay.until >= run.start
                )
                for stay in stays
            )
            < station.capacity
            for run in self.strict.runs
            if run.step == step + 1
        )
