"""The cycle that a programme of several hoists goes on as, and where each hoist enters it.

The list has all that the programme shows, and as many more of its cycles as it takes until every
motion of the cycle is kept from all of the list by the release signals of the cycle alone: those
name motions so many cycles before, and where there is no cycle before, motions of the list. As
the list ends in motions of the cycle, they are counted back from its end.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from ....checker import ProgrammeReplay, Replay, accepted, replay_programme
from ....problem import Problem
from ....schedule import Programme, Schedule, Step
from ....schedule.programme import carried_on
from ...joining import line_of
from ...strict import strict_problem
from ...units import TimeUnit
from ..motion_table import cycles_through
from ..motions import motions_of
from ..ordered import Ordered, Which
from ..rounding import released_in_whole_units
from ..table import CycleRows
from .motions import motions_once
from .whole import Tied

MOST_MORE = 4
"""Cycles of the programme by which a list may be longer than it shows."""


def cycle_of(programme: Programme) -> tuple[Schedule, int]:
    """The cycle a programme goes on as, and when the last one it shows begins, in its ticks."""
    repeats = programme.repeats
    assert repeats is not None
    last = programme.steps[-1].start
    begins = last - (last - repeats.since) % repeats.every
    # A load that enters in the last cycle shown goes through as many cycles as are shown, at most.
    shown = (begins - repeats.since) // repeats.every + 1
    ways: dict[int, list[Step]] = {}
    for step in carried_on(programme, shown + 1):
        assert step.load is not None and step.stage is not None
        enters = not step.stage and begins <= step.start < begins + repeats.every
        if enters or step.load in ways:
            ways.setdefault(step.load, []).append(step)
    steps: list[Step] = []
    for load, way in enumerate(ways.values(), start=1):
        cycles = [(step.start - begins) // repeats.every for step in way]
        for place, (step, cycle) in enumerate(zip(way, cycles, strict=True)):
            start = (step.start - begins) % repeats.every
            turned = cycle - cycles[place - 1] if place else None
            steps.append(replace(step, start=start, load=load, boundaries=turned))
    travels = tuple(
        replace(travel, start=travel.start - begins)
        for travel in programme.travels
        if begins <= travel.start < begins + repeats.every
    )
    return Schedule(repeats.every, programme.ticks_per_unit, tuple(steps), travels), begins


class Onward:
    """The cycle in whole units, with its rows, and the motions of it in the programme.

    Attributes
    ----------
    line : Problem
        The line with the loads of the cycle as its mix.
    rows : CycleRows
    cycles : int
        Cycles after the list that are looked at.
    """

    def __init__(self, given: ProgrammeReplay, unit: TimeUnit, numbers: Mapping[str, int]) -> None:
        self.given, self.unit = given, unit
        self.schedule, self.begins = cycle_of(given.programme)
        self.line: Problem = line_of(given.problem, self.schedule)
        self.seen: Replay = accepted(self.line, self.schedule)
        whole = released_in_whole_units(self.seen, strict_problem(self.line, unit), unit)
        self.rows = CycleRows(whole, unit, numbers)
        made = [m for hoist in range(len(self.rows.made)) for m in self.rows.motions(hoist)]
        self.through = cycles_through(m for m in made if m.step)
        self.cycles = self.through + 6  # more than are shown, however late some hoist enters
        self.motions = sum(1 for m in made if m.step)

    def entered(self, more: int) -> tuple[ProgrammeReplay, Tied] | None:
        """The programme with `more` of its cycles in the list, and where each hoist enters.

        None where what it shows then is not the cycle, motion for motion.
        """
        longer = carried_on(self.given.programme, more + self.cycles + 2,
                            max(self.given.state.loads, default=0))  # fmt: skip
        shown = Programme(longer.ticks_per_unit, longer.steps, travels=longer.travels)
        course = replay_programme(self.line, shown, self.given.state, self.given.lost)
        rate, units = shown.ticks_per_unit, self.unit.per_unit_of(self.line)
        base = (self.begins + more * self.schedule.cycle) / rate
        every, clock = self.schedule.cycle / rate, course.course.table.clock
        starts = self._starts()
        first: list[int] = []
        after: list[tuple[int, ...]] = []
        joins: list[Fraction] = []
        rows = self.rows
        length = Fraction(rows.cycle) / rows.table.clock.per_unit
        for hoist, motions in enumerate(motions_once(course.course)):
            made = rows.made[hoist]
            if not made:
                first.append(len(motions))
                after.append(())
                continue
            place = next(n for n, motion in enumerate(made) if motion.step is not None)
            step = made[place].step
            assert step is not None
            planned = Fraction(made[place].since) / rows.table.clock.per_unit
            exact = starts[step]
            turn = round((planned - exact) / length)
            wanted = clock.ticks(int((base + exact + turn * every) * rate))
            found = next(
                (n for n, m in enumerate(motions) if m.step is not None and m.since == wanted), None
            )
            if found is None or found < place:
                return None
            begins, count = found - place, self.cycles * len(made)
            shape = [(m.step is None, m.here, m.there) for m in made]
            mine = [(m.step is None, m.here, m.there) for m in motions[begins : begins + count]]
            if mine != shape * self.cycles:
                return None
            # The list ends in a cycle of motions at the least.
            before = motions[max(0, begins - len(made)) : begins]
            if [(m.step is None, m.here, m.there) for m in before] != shape:
                return None
            times = [rows.down(m.since - rows.zero) for m in made]
            cycle = rows.down(rows.cycle)
            first.append(begins)
            after.append(tuple(t + c * cycle for c in range(self.cycles) for t in times))
            joins += [
                Fraction(motions[begins + n].since) * units / clock.per_unit - times[n]
                for n in range(len(made))
                if made[n].step is not None
            ]
        return course, Tied(
            tuple(first), tuple(after), min(joins), rows.down(rows.cycle), self.through, self.cycles
        )

    def _starts(self) -> dict[int, Fraction]:
        """When each step of the cycle in whole units starts in the one that was planned."""
        plan, table = self.seen.plan, self.seen.plan.table
        exact = {}
        for made in motions_of(self.seen):
            for motion in made:
                if motion.step is not None:
                    leg = plan.legs[motion.step]
                    assert leg is not None
                    key = plan.loads[motion.step], leg.leaves
                    exact[key] = Fraction(motion.since) / table.clock.per_unit
        steps = self.rows.found.schedule.steps
        return {n: exact[step.load, step.stage] for n, step in enumerate(steps)}  # type: ignore[index]


@dataclass(frozen=True)
class Joint:
    """A list and the cycles after it as one row of motions a hoist.

    Attributes
    ----------
    first : tuple of int
        By hoist: how many motions the list has.
    rows : CycleRows
    """

    first: tuple[int, ...]
    rows: CycleRows

    def waits(
        self, motion: Which, listed: dict[Which, tuple]
    ) -> list[tuple[int, int, Fraction | None, bool]]:
        """Hoist and motion waited for, up to where, and whether it need not have arrived."""
        hoist, number = motion
        if number < self.first[hoist]:
            return [(b.hoist, b.motion, b.stop, b.left is not None) for b in listed.get(motion, ())]
        cycle, place = divmod(number - self.first[hoist], len(self.rows.made[hoist]))
        return [
            (
                b.hoist,
                self.first[b.hoist] + (cycle - b.cycles) * len(self.rows.made[b.hoist]) + b.motion,
                b.stop,
                b.left is not None,
            )
            for b in self.rows.releases.get((hoist, place), ())
        ]

    def lacks(
        self,
        order: list[Which],
        ordered: list[Ordered],
        listed: dict[Which, tuple],
    ) -> bool:
        """Whether some motion of the cycle is not kept from some of the list.

        Parameters
        ----------
        order : list of (int, int)
            All motions in order of leaving.
        ordered : list of Ordered
            Which motions go before which others.
        listed : dict
            What each motion of the list waits for.
        """
        surely: dict[Which, dict[int, int]] = {}
        for hoist, number in order:
            known = dict(surely.get((hoist, number - 1), {}))
            known[hoist] = number - 1
            for other, made, stop, left in self.waits((hoist, number), listed):
                # One that has left has arrived with its motion before; one that is waited for on
                # the way only, later than at the start, tells nothing of the start.
                arrived = made - 1 if left else made
                if stop is None:
                    for one, last in {**surely.get((other, arrived), {}), other: arrived}.items():
                        known[one] = max(last, known.get(one, last))
            surely[hoist, number] = known
        for pair in ordered:
            (other, made), (hoist, number) = pair.first, pair.second
            if number < self.first[hoist]:
                if made >= self.first[other]:
                    return True  # a motion of the list would wait for one of the cycle
                continue
            if surely[hoist, number].get(other, made - 1) >= made:
                continue
            if not any(
                one == other and self._holds(pair, made, then, stop)
                for one, then, stop, _ in self.waits(pair.second, listed)
            ):
                return True
        return False

    def _holds(self, pair: Ordered, made: int, then: int, stop: Fraction | None) -> bool:
        """Whether a wait on the way for a motion keeps a hoist from an earlier one as well."""
        if then == made:
            return True
        if then < made or stop is None or pair.choices.stop is None:
            return False
        hoist = pair.second[0]
        side = 1 if pair.first[0] > hoist else -1
        return (pair.choices.stop - stop) * side >= 0
