"""A sequencer on a line, event by event: an independent check on slack and jitter.

Written from the semantics of a problem alone: carriers stand in stations, the hoist goes
from place to place, everything in exact fractions. Only what the checker's public replay
tells is used, for the exact times of moves and for who stands where to begin with.

The rule: keep the order of the steps; start one when its planned time has come, the
hoist is there, the carrier has stood its minimum and the place it goes to will have rested; at
the ends of the line wait for a
carrier, or for a place, to be ready.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction

from hoistopt.checker import Replay, replay
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule

BEFORE = 12
"""Cycles replayed on plan before the watched ones."""

Change = Callable[[int, int], Fraction]
"""By step and cycle, both from 0."""


def nothing(step: int, cycle: int) -> Fraction:
    """No change."""
    return Fraction(0)


@dataclass(frozen=True)
class Stood:
    """A dwell as it was, ended by `step` in `cycle`."""

    step: int
    cycle: int
    recipe: str
    stage: int
    station: str
    since: Fraction
    until: Fraction
    brought: int
    most: Fraction | None

    @property
    def dwell(self) -> Fraction:
        return self.until - self.since

    @property
    def too_long(self) -> bool:
        return self.most is not None and self.dwell > self.most + Fraction(1, 10**25)


@dataclass
class Watched:
    """What happened: starts and ends by (step, cycle), dwells in order."""

    starts: dict[tuple[int, int], Fraction] = field(default_factory=dict)
    ends: dict[tuple[int, int], Fraction] = field(default_factory=dict)
    stood: list[Stood] = field(default_factory=list)


@dataclass
class Carrier:
    since: Fraction
    recipe: str
    load: int
    stage: int
    brought: int  # cycle


class Sequencer:
    """The line at the start of a cycle of the steady state; see :meth:`run`."""

    def __init__(self, problem: Problem, schedule: Schedule) -> None:
        self.problem = problem
        self.schedule = schedule
        self.cycle = schedule.time(schedule.cycle)
        seen = replay(problem, schedule, BEFORE + 4)
        assert seen.clean
        assert seen.steady_from + 3 <= BEFORE
        self.seen: Replay = seen
        self.runs = {(run.step - 1, run.cycle - 1): run for run in seen.runs}
        self.by_hoist = problem.carriers.return_ == "hoist"

    # -- what the plan says -------------------------------------------------------

    def leg(self, step: int) -> tuple[str, int, int]:
        run = self.runs[step, BEFORE]
        return run.recipe, run.load, run.stage

    def last_stage(self, recipe: str) -> int:
        return len(self.problem.recipe_by_name[recipe].stages) + 1

    def window(self, recipe: str, stage: int, station: str) -> tuple[Fraction, Fraction | None]:
        if 1 <= stage < self.last_stage(recipe):
            given = self.problem.recipe_by_name[recipe].stages[stage - 1]
            return Fraction(given.min), None if given.max is None else Fraction(given.max)
        return Fraction(self.problem.station_by_name[station].min_occupation), None

    def gives_up_carrier(self, step: int) -> bool:
        """Whether the carrier is empty for good once this step has set it down."""
        recipe, _, stage = self.leg(step)
        return stage == self.last_stage(recipe) - (not self.by_hoist)

    def pool(self, station: str) -> str:
        kind = self.problem.station_by_name[station].kind
        return station if self.by_hoist or kind == "load-unload" else "outside"

    # -- the beginning ------------------------------------------------------------

    def _standing(self) -> dict[str, list[Carrier]]:
        """Loads along their way, set down by moves begun before the first watched cycle."""
        at: dict[str, list[Carrier]] = {}
        limit = BEFORE * self.cycle
        for stay in self.seen.stays:
            if stay.arrived_by is None or stay.stage == 0 or stay.until is None:
                continue
            by = max(
                (r for r in self.seen.runs if r.step == stay.arrived_by and r.end == stay.since),
                key=lambda r: r.cycle,
            )
            if by.start < limit <= stay.until:
                carrier = Carrier(stay.since, stay.recipe, stay.load, stay.stage, by.cycle - 1)
                at.setdefault(stay.station, []).append(carrier)
        return at

    def _pools(self) -> dict[str, list[Fraction] | None]:
        """When each empty carrier waiting is ready; None: there is always one."""
        count = self.problem.carriers.count
        limit = BEFORE * self.cycle
        names = {self.pool(self.runs[s, BEFORE].source) for s in self._entering()}
        found: dict[str, list[Fraction] | None] = {}
        for name in names:
            ready = sorted(
                self._ready(step, self.runs[step, cycle].end)
                for step, cycle in self.runs
                if self.gives_up_carrier(step)
                and self.pool(self.runs[step, cycle].target) == name
                and self.runs[step, cycle].start < limit
            )
            needed = self._needed(name)
            places: int | str = "unlimited"
            if name != "outside":
                places = self.problem.station_by_name[name].capacity
            if count is None and places == "unlimited":
                found[name] = None
                continue
            rooms = []
            if places != "unlimited":
                assert isinstance(places, int)
                rooms.append(places - self._most_standing(name))
            if count is not None:
                rooms.append(count - self.seen.carriers_needed if len(names) == 1 else 0)
            kept = needed + max(0, min(rooms))
            found[name] = ready[len(ready) - kept :]
            assert len(found[name] or ()) == kept
        return found

    def _entering(self) -> list[int]:
        return [s for s in range(len(self.schedule)) if self.leg(s)[2] == 0]

    def _ready(self, step: int, end: Fraction) -> Fraction:
        """When the carrier a step gives up may be lifted, but for the stay at a load station."""
        target = self.runs[step, BEFORE].target
        station = self.problem.station_by_name[target]
        if self.pool(target) != "outside":
            return end + Fraction(station.min_occupation)
        return end + Fraction(station.min_occupation + self.problem.carriers.return_time)

    def _arranged(self, source: str) -> Fraction:
        """The least stay at a load station of a carrier that came back outside."""
        if self.pool(source) != "outside":
            return Fraction(0)
        return Fraction(self.problem.station_by_name[source].min_occupation)

    def _needed(self, name: str) -> int:
        """The fewest carriers waiting or on their way now with which no lift ever waits."""
        limit = BEFORE * self.cycle
        lifts = sorted(
            run.start - self._arranged(run.source)
            for (step, _), run in self.runs.items()
            if step in self._entering()
            and self.pool(run.source) == name
            and run.start >= limit
            and run.cycle <= BEFORE + 4
        )
        ready = sorted(
            self._ready(step, run.end)
            for (step, _), run in self.runs.items()
            if self.gives_up_carrier(step) and self.pool(run.target) == name
        )
        before = sum(
            self.gives_up_carrier(step) and self.pool(run.target) == name and run.start < limit
            for (step, _), run in self.runs.items()
        )
        slop = Fraction(1, 10**25)
        for needed in range(before + 1):
            supply = ready[before - needed :]
            if all(r <= t + slop for r, t in zip(supply, lifts, strict=False)):
                return needed
        raise AssertionError("not enough carriers")

    def _most_standing(self, name: str) -> int:
        """Empty carriers standing at a station at once, as the replay has it."""
        low, high = BEFORE * self.cycle, (BEFORE + 2) * self.cycle
        stays = [s for s in self.seen.stays if s.station == name]
        moments = [s.since for s in stays if low <= s.since < high]
        return max(
            sum(s.since <= m and (s.until is None or s.until >= m) for s in stays) for m in moments
        )

    # -- the watched cycles -------------------------------------------------------

    def run(
        self,
        cycles: int,
        late: Change = nothing,
        longer: Change = nothing,
        slower: Change = nothing,
    ) -> Watched:
        """Run `cycles` cycles.

        Parameters
        ----------
        late : callable
            By how much a start is held back beyond what the rule says.
        longer, slower : callable
            By how much a loaded move, and the empty travel before it, takes longer.

        Returns
        -------
        Watched
            Times from the start of the first watched cycle.
        """
        zero = BEFORE * self.cycle
        at = self._standing()
        pools = self._pools()
        last = max((r for r in self.seen.runs if r.start < zero), key=lambda r: r.start)
        free, place = last.end, last.target
        spaced = self._spaced()
        lifted, came = self._lifted()
        watched = Watched()
        for cycle in range(cycles):
            for step in range(len(self.schedule)):
                plan = self.runs[step, BEFORE]
                recipe, load, stage = self.leg(step)
                start = plan.start + cycle * self.cycle
                empty = plan.empty if cycle or step else self.runs[0, BEFORE + 1].empty
                assert place == self.schedule.steps[step - 1].target
                start = max(start, free + empty + slower(step, cycle))
                carrier = None
                if stage:
                    carrier = self._take(at, step, cycle)
                    start = max(start, carrier.since + self.window(recipe, stage, plan.source)[0])
                else:
                    pool = pools[self.pool(plan.source)]
                    if pool is not None:
                        start = max(start, pool.pop(0) + self._arranged(plan.source))
                took = plan.end - plan.start
                start = max(start, self._place_ready(spaced, plan.source, "load"))
                start = max(start, self._place_ready(spaced, plan.target, "unload") - took)
                if (ready := self._rested(lifted, came, plan.target)) is not None:
                    start = max(start, ready - took)
                start += late(step, cycle)
                lifted.setdefault(plan.source, []).append(start)
                came[plan.target] = came.get(plan.target, 0) + 1
                end = start + took + longer(step, cycle)
                self._note(spaced, plan.source, "load", start)
                self._note(spaced, plan.target, "unload", end)
                watched.starts[step, cycle] = start - zero
                watched.ends[step, cycle] = end - zero
                if carrier is not None:
                    most = self.window(recipe, stage, plan.source)[1]
                    if 1 <= stage < self.last_stage(recipe):
                        watched.stood.append(
                            Stood(step, cycle, recipe, stage, plan.source, carrier.since - zero,
                                  start - zero, carrier.brought - BEFORE, most)
                        )  # fmt: skip
                if self.gives_up_carrier(step):
                    back = pools.get(self.pool(plan.target))
                    if back is not None:
                        back.append(self._ready(step, end))
                        back.sort()
                else:
                    set_down = Carrier(end, recipe, load, stage + 1, BEFORE + cycle)
                    at.setdefault(plan.target, []).append(set_down)
                free, place = end, plan.target
        return watched

    def _take(self, at: dict[str, list[Carrier]], step: int, cycle: int) -> Carrier:
        """The carrier of this load that came the planned number of cycles ago."""
        recipe, load, stage = self.leg(step)
        here = at[self.runs[step, BEFORE].source]
        wanted = [c for c in here if (c.recipe, c.load, c.stage) == (recipe, load, stage)]
        carrier = min(wanted, key=lambda c: c.brought)
        here.remove(carrier)
        return carrier

    def _spaced(self) -> dict[str, list[Fraction]]:
        """Ends served from outside: latest lifts there, or latest set downs."""
        zero = BEFORE * self.cycle
        found: dict[str, list[Fraction]] = {}
        for station in self.problem.stations:
            if station.kind == "load":
                runs = [r.start for r in self.seen.runs if r.source == station.name]
            else:
                runs = [r.end for r in self.seen.runs if r.target == station.name]
            begun = [
                r.start
                for r in self.seen.runs
                if station.name == (r.source if station.kind == "load" else r.target)
            ]
            found[station.name] = sorted(t for t, b in zip(runs, begun, strict=True) if b < zero)
        return found

    def _lifted(self) -> tuple[dict[str, list[Fraction]], dict[str, int]]:
        """By station: lifts there, and how many were brought, before the watched cycles."""
        begun = [r for r in self.seen.runs if r.start < BEFORE * self.cycle]
        lifted: dict[str, list[Fraction]] = {}
        came: dict[str, int] = {}
        for run in begun:
            lifted.setdefault(run.source, []).append(run.start)
            came[run.target] = came.get(run.target, 0) + 1
        return {name: sorted(times) for name, times in lifted.items()}, came

    def _rested(
        self, lifted: dict[str, list[Fraction]], came: dict[str, int], name: str
    ) -> Fraction | None:
        """When a place has rested for the next carrier brought there; None: it need not."""
        station = self.problem.station_by_name[name]
        if not station.min_rest:
            return None
        assert isinstance(station.capacity, int)
        number = came.get(name, 0) - station.capacity
        return None if number < 0 else lifted[name][number] + Fraction(station.min_rest)

    def _place_ready(self, spaced: dict[str, list[Fraction]], name: str, kind: str) -> Fraction:
        station = self.problem.station_by_name[name]
        if self.by_hoist or station.kind != kind or station.capacity == "unlimited":
            return Fraction(-(10**9))
        return spaced[name][-station.capacity] + Fraction(station.min_occupation)

    def _note(
        self, spaced: dict[str, list[Fraction]], name: str, kind: str, time: Fraction
    ) -> None:
        if self.problem.station_by_name[name].kind == kind:
            spaced[name].append(time)
