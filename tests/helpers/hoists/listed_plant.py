"""A track on which hoists make the lists of their tables, late at random; positions over time.

Each hoist goes by its table and the release signals alone, from scan to scan: this is no program
of ours, but the rules as the tables state them. Ways are those of :mod:`..trips`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import ceil

from hoistopt.exports.several import HoistMotion, HoistTable, Release, SeveralTable
from hoistopt.problem import Problem
from tests.helpers.trips import Trip

NEAR = 1e-6
Longer = Callable[[int, int, str], int]
"""By hoist, number of the motion made and phase: by how many ms it takes longer."""


@dataclass
class Hoist:
    """One hoist: `made` motions are over; times in ms."""

    table: HoistTable
    position: float
    made: int = 0
    phase: str = "rest"
    free: float = 0.0
    trip: Trip | None = None
    left_at: dict[int, float] = field(default_factory=dict)
    arrived: int = 0


class ListedPlant:
    """Runs the lists, and some cycles after them, until all motions are over.

    Attributes
    ----------
    closest : float
        The least of all distances of neighbours, less what they need.
    dwells : list of (int, float, bool)
        Step, its dwell in ms, and whether it was too long.
    """

    def __init__(
        self,
        problem: Problem,
        table: SeveralTable,
        longer: Longer = lambda hoist, number, phase: 0,
        cycles: int = 2,
        scan: int = 100,
    ) -> None:
        self.problem, self.table, self.longer = problem, table, longer
        self.scan, self.cycles, self.now = scan, cycles, 0
        assert problem.track is not None
        self.clearance = float(problem.track.clearance)
        self.names = dict(table.stations)
        self.at = {n: float(problem.station_by_name[s].position or 0) for n, s in table.stations}
        self.at |= {n: float(at) for n, at in table.waiting}
        self.hoists = [Hoist(one, self.at[one.rows[0].start]) for one in table.hoists]
        self.by_number = {hoist.table.number: hoist for hoist in self.hoists}
        self.per = table.unit.milliseconds
        self.standing: dict[tuple[int, int], float] = {}
        """Since when a load stands: by the step that lifts it, and in which cycle of its hoist."""
        self.closest, self.where = 1e9, ""
        self.dwells: list[tuple[int, float, bool]] = []
        self._put_state()

    def _put_state(self) -> None:
        per = 1000 * float(self.problem.seconds_per_unit)
        for motion in self.table.once:
            if motion.fed_by == motion.step:
                state = self.table.state
                assert state is not None
                entry = next((e for e in state.standing if e.load == motion.load), None)
                since = -float(entry.stood.most) * per if entry is not None else 0.0
                self.standing[motion.step, 0] = since

    def run(self, until: int) -> None:
        """Go on until all motions are over; fail if that takes longer."""
        while any(
            self._motion(hoist) is not None or hoist.phase != "rest" for hoist in self.hoists
        ):
            assert self.now < until, [(h.table.number, h.made, h.phase) for h in self.hoists]
            for hoist in self.hoists:
                self._go_on(hoist)
            self._measure()
            self.now += self.scan

    def _end(self, hoist: Hoist) -> int:
        return len(hoist.table.once) + self.cycles * len(hoist.table.motions)

    def _motion(self, hoist: Hoist, more: int = 0) -> tuple[HoistMotion, int] | None:
        """The next motion of a hoist, and its cycle; 0 of a list."""
        once, made = hoist.table.once, hoist.made + more
        if made >= self._end(hoist):
            return None
        if made < len(once):
            return once[made], 0
        cycle, place = divmod(made - len(once), len(hoist.table.motions))
        return hoist.table.motions[place], cycle

    def _planned(self, motion: HoistMotion, hoist: Hoist, cycle: int) -> int:
        listed = motion.motion <= len(hoist.table.once)
        begins = 0 if listed else self.table.joins + cycle * self.table.cycle
        return (begins + motion.planned) * self.per

    def _met(self, release: Release, cycle: int) -> bool:
        other = self.by_number[release.hoist]
        needed = release.motion
        if release.motion > len(other.table.once):
            needed += (cycle - release.cycles) * len(other.table.motions)
        if release.left is None:
            return other.arrived >= needed
        since = other.left_at.get(needed)
        return needed <= 0 or (since is not None and self.now >= since + release.left * self.per)

    def _waits(self, motion: HoistMotion, cycle: int, before: str) -> list[Release]:
        return [r for r in motion.releases if r.before == before and not self._met(r, cycle)]

    def _go_on(self, hoist: Hoist) -> None:
        found = self._motion(hoist)
        if found is None:
            return
        motion, cycle = found
        if hoist.phase == "rest" and self._may_start(hoist, motion, cycle):
            hoist.phase, hoist.free = "lifted", self.now
            if motion.step:
                self._lift(motion, cycle)
                longer = self.longer(hoist.table.number, hoist.made, "lift")
                hoist.free += (motion.leaves - motion.planned) * self.per + longer
        leaving = hoist.phase == "lifted" and self.now >= hoist.free
        if leaving and not self._waits(motion, cycle, "leave"):
            hoist.phase = "way"
            hoist.left_at[hoist.made + 1] = self.now
            self._set_out(hoist, motion, cycle, 0.0)
            stuck = self.longer(hoist.table.number, hoist.made, "way")
            if stuck and not self._led(hoist, motion):
                assert hoist.trip is not None
                half = (hoist.position + hoist.trip.there) / 2
                self._set_out(hoist, motion, cycle, 0.0, half)
                hoist.free = hoist.trip.until + stuck
        elif hoist.phase == "way":
            self._under_way(hoist, motion, cycle)
        elif hoist.phase == "lower" and self.now >= hoist.free:
            if motion.step:
                self._set_down(motion, cycle)
            hoist.made += 1
            hoist.phase = "rest"
            hoist.free = self.now + self.longer(hoist.table.number, hoist.made, "rest")

    def _may_start(self, hoist: Hoist, motion: HoistMotion, cycle: int) -> bool:
        if self.now < max(hoist.free, self._planned(motion, hoist, cycle)):
            return False
        if self._waits(motion, cycle, "lift"):
            return False
        if not motion.step or motion.fed_by is None:
            return True
        since = self.standing.get((motion.step, cycle))
        return since is not None and self.now >= since + motion.least * self.per

    def _lift(self, motion: HoistMotion, cycle: int) -> None:
        if motion.fed_by is None:
            return
        dwell = self.now - self.standing.pop((motion.step, cycle))
        most = None if motion.most is None else motion.most * self.per
        self.dwells.append((motion.step, dwell, most is not None and dwell > most))

    def _set_down(self, motion: HoistMotion, cycle: int) -> None:
        if motion.feeds is None:
            return
        after = next(m for h in self.table.hoists for m in h.rows if m.step == motion.feeds)
        later = after.boundaries if motion.step > len(self.table.once) else 0
        self.standing[motion.feeds, motion.lifted_in + cycle + later] = self.now

    def _led(self, hoist: Hoist, motion: HoistMotion) -> bool:
        """Whether another follows on this way: then only distance control keeps it off."""
        ways = {(r.hoist, r.motion) for _, _, r in self.table.following()}
        return (hoist.table.number, motion.motion) in ways

    def _set_out(
        self, hoist: Hoist, motion: HoistMotion, cycle: int, speed: float, to: float | None = None
    ) -> None:
        there = self._target(motion, cycle) if to is None else to
        own = self.problem.hoists[hoist.table.number - 1]
        speeds = own.loaded if motion.step else own.empty
        assert speeds is not None
        gain = None if speeds.acceleration is None else float(speeds.acceleration)
        per = float(self.problem.seconds_per_unit)
        gain = None if gain is None else gain / per**2
        hoist.trip = Trip(self.now, hoist.position, there, speed, float(speeds.speed) / per, gain)
        hoist.free = hoist.trip.until

    def _target(self, motion: HoistMotion, cycle: int) -> float:
        stops = [r.stop for r in self._waits(motion, cycle, "pass")]
        here = self.at[motion.start]
        places = [self.at[stop] for stop in stops if stop is not None]
        return min([*places, self.at[motion.place]], key=lambda at: abs(at - here))

    def _under_way(self, hoist: Hoist, motion: HoistMotion, cycle: int) -> None:
        trip = hoist.trip
        assert trip is not None
        hoist.position, speed = trip.at(self.now)
        target = self._target(motion, cycle)
        stuck = hoist.free > trip.until + NEAR
        if abs(trip.there - target) > NEAR and not (stuck and self.now < hoist.free):
            self._set_out(hoist, motion, cycle, speed)
        elif abs(trip.there - self.at[motion.place]) <= NEAR and self.now >= trip.until:
            hoist.phase, hoist.arrived = "lower", hoist.made + 1
            hoist.free = trip.until + self._after(hoist, motion, trip)

    def _after(self, hoist: Hoist, motion: HoistMotion, trip: Trip) -> float:
        """Until the hoist is done, from when it arrives."""
        if motion.step:
            own = self.problem.hoists[hoist.table.number - 1]
            station = self.problem.station_by_name[self.names[motion.place]]
            assert own.loaded is not None
            settling = own.loaded.settling if station.settling is None else station.settling
            lower = own.lower if station.lower is None else station.lower
            longer = self.longer(hoist.table.number, hoist.made, "lower")
            return self._ms(settling) + self._ms(lower) + longer
        following = self._motion(hoist, 1)
        if following is None or not following[0].step:
            return 0
        own = self.problem.hoists[hoist.table.number - 1]
        station = self.problem.station_by_name[self.names[motion.place]]
        assert own.empty is not None
        return self._ms(own.empty.settling if station.settling is None else station.settling)

    def _ms(self, value: object) -> int:
        return 0 if value is None else ceil(float(str(value)) * 1000 * self._seconds - 1e-6)

    @property
    def _seconds(self) -> float:
        return float(self.problem.seconds_per_unit)

    def _measure(self) -> None:
        for hoist in self.hoists:
            if hoist.trip is not None:
                hoist.position = hoist.trip.at(self.now)[0]
        for one, other in zip(self.hoists, self.hoists[1:], strict=False):
            needed = (other.table.number - one.table.number) * self.clearance
            room = other.position - one.position - needed
            if room < self.closest:
                self.closest = room
                self.where = f"at {self.now}: {one.position}, {other.position}"
