"""The sequencer tables of several hoists: one a hoist, with release signals between them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from typing import Literal

from ...base.errors import InputError
from ...checker import Replay, accepted
from ...problem import Problem
from ...problem.numbering import numbered
from ...schedule import Schedule
from ..figures import Figures
from ..rounding import InWhole
from ..strict import strict_problem
from ..units import TimeUnit, time_unit
from .limits import Limits, limits_of
from .motion_table import HoistMotion, HoistTable, Release, SeveralTable, Stage
from .motions import Motion, motions_of
from .releases import Before, from_rest, in_order_of, releases
from .rounding import released_in_whole_units


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
    resting = next((station for station in problem.stations if station.min_rest), None)
    if resting is not None:
        raise InputError(
            "no rest of a tank, as hoists do not tell one another of it",
            field=f'station "{resting.name}", min_rest',
            value=resting.min_rest,
            way_out="Tables of a line with one hoist know rests.",
        )
    given = accepted(problem, schedule, seen)
    for step in given.schedule.steps:
        if (step.source, step.target) in problem.loaded_times:
            raise InputError(
                "moves by lift, speeds and lowering, as release signals go by where hoists are",
                field="times, loaded",
                value=f"{step.source} to {step.target}",
                way_out="Fit the figures of the hoists to what was measured: `hoistopt fit`.",
            )
    found = released_in_whole_units(given, strict_problem(problem, unit), unit)
    rows = _Rows(found, unit, numbers)
    hoists = tuple(
        HoistTable(hoist + 1, problem.hoists[hoist].name or "", rows.motions(hoist))
        for hoist, made in enumerate(rows.made)
        if made
    )
    return SeveralTable(
        line=problem.name,
        unit=unit,
        cycle=found.schedule.cycle,
        hoists=hoists,
        idle=tuple(h.name or "" for h, made in zip(problem.hoists, rows.made, strict=True)
                   if not made),
        stations=tuple((number, name) for name, number in numbers.items()),
        waiting=rows.waiting,
        recipes=tuple(recipe.name for recipe in problem.recipes),
        note=" ".join(problem.note.split()),
        length_unit=problem.length_unit,
    )  # fmt: skip


class _Rows:
    """The motions of a schedule in whole units, one tick being one unit."""

    def __init__(self, found: InWhole, unit: TimeUnit, numbers: Mapping[str, int]) -> None:
        self.found, self.unit, self.numbers = found, unit, numbers
        self.plan, self.strict = found.plain.plan, found.strict
        self.table, self.problem = self.plan.table, found.plain.problem
        planned = motions_of(found.plain)
        self.made = from_rest(planned, in_order_of(self.plan, planned), self.table.cycle)
        self.releases = releases(self.plan, self.made)
        self.limits = limits_of(found.strict, self.made)
        self.zero = min(made[0].since for made in self.made if made)
        self.recipes = [recipe.name for recipe in self.problem.recipes]
        self.waiting = self._places()
        at = self.problem.station_by_name
        self.at = {name: Fraction(at[name].position or 0) for name in numbers}
        self.figures = [
            Figures(self.problem, unit, self.table.clock, times, self.table.routes, steps)
            for times, steps in zip(self.table.timetables, self._steps(), strict=True)
        ]

    def _steps(self) -> list[list]:
        schedule = self.found.schedule
        return [
            [schedule.steps[motion.step] for motion in made if motion.step is not None]
            for made in self.made
        ]

    def _places(self) -> tuple[tuple[int, Fraction], ...]:
        """Places that are no stations, in order of position."""
        stations = {Fraction(s.position) for s in self.problem.stations if s.position is not None}
        ends = {end for made in self.made for m in made for end in (m.here, m.there)}
        stops = {b.stop for waits in self.releases.values() for b in waits if b.stop is not None}
        after = max(self.numbers.values()) + 1
        return tuple(enumerate(sorted((ends | stops) - stations), start=after))

    def place(self, position: Fraction) -> int:
        """The number of a place that is stopped at without lifting or setting down."""
        for number, at in self.waiting:
            if at == position:
                return number
        return min(number for name, number in self.numbers.items() if self.at[name] == position)

    def motions(self, hoist: int) -> tuple[HoistMotion, ...]:
        return tuple(
            self._travel(hoist, number) if motion.step is None else self._move(hoist, number)
            for number, motion in enumerate(self.made[hoist])
        )

    def _up(self, time: int) -> int:
        return self.unit.up(self.table.clock.fraction(time), self.problem)

    def _down(self, time: int) -> int:
        return self.unit.down(self.table.clock.fraction(time), self.problem)

    def _common(self, hoist: int, number: int) -> dict:
        motion, limits = self.made[hoist][number], self.limits[hoist, number]
        start = self._down(motion.since - self.zero)
        return {
            "motion": number + 1,
            "planned": start,
            "leaves": start + self._up(motion.leaves - motion.since),
            **self._limited(start, limits),
            "lasts": self._up(motion.ends - motion.since),
            "releases": tuple(
                self._release(motion, before)
                for before in sorted(
                    self.releases.get((hoist, number), ()),
                    # What it waits for on its way: the nearest place first.
                    key=lambda one: abs(
                        (motion.here if one.stop is None else one.stop) - motion.here
                    ),
                )
            ),
        }

    def _limited(self, start: int, limits: Limits) -> dict:
        def later(time: int | None) -> int | None:
            return None if time is None else start + self._down(time)

        return {
            "latest": later(limits.latest),
            "alarm": later(limits.alarm),
            "clock_limit": later(limits.clock),
            "lasting_limit": later(limits.lasting),
        }

    def _release(self, motion: Motion, before: Before) -> Release:
        other = self.made[before.hoist][before.motion]
        stage: Stage = "lift"
        if before.stop is not None:
            stage = "pass"
        elif motion.step is not None:
            event = other.arrives if before.left is None else other.leaves + before.left
            stage = "leave" if event - before.cycles * self.table.cycle > motion.since else "lift"
        return Release(
            before=stage,
            hoist=before.hoist + 1,
            motion=before.motion + 1,
            cycles=before.cycles,
            left=None if before.left is None else self._up(max(0, before.left)),
            stop=None if before.stop is None else self.place(before.stop),
        )

    def _travel(self, hoist: int, number: int) -> HoistMotion:
        motion = self.made[hoist][number]
        before, after = self._neighbours(hoist, number)
        return HoistMotion(
            step=0,
            start=self.place(motion.here) if before is None else before,
            place=self.place(motion.there) if after is None else after,
            recipe=0,
            load=0,
            stage=0,
            fed_by=None,
            boundaries=0,
            feeds=None,
            wait_source_dwell=False,
            wait_target_empty=False,
            least=0,
            most=None,
            drip=0,
            busy=self._down(motion.ends - motion.since),
            **self._common(hoist, number),
        )

    def _neighbours(self, hoist: int, number: int) -> tuple[int | None, int | None]:
        """Station that the step before leads to, and that the step after leads from."""
        made, steps = self.made[hoist], self.found.schedule.steps
        before = made[number - 1].step
        after = made[(number + 1) % len(made)].step
        return (
            None if before is None else self.numbers[steps[before].target],
            None if after is None else self.numbers[steps[after].source],
        )

    def _turned(self, step: int) -> int:
        """How many cycles later than its motion a step is counted."""
        motion = next(m for made in self.made for m in made if m.step == step)
        return (self.table.starts[step] - motion.since) // self.table.cycle

    def _move(self, hoist: int, number: int) -> HoistMotion:
        motion, figures = self.made[hoist][number], self.figures[hoist]
        assert motion.step is not None
        step, link = motion.step, self.plan.links.get(motion.step)
        leg, parts = self.plan.legs[step], self.plan.parts[step]
        assert leg is not None and parts is not None
        told = self.found.schedule.steps[step]
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
        target = self.found.schedule.steps[step].target
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
