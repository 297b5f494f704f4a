"""A track with several hoists for their blocks to run: positions over time, tanks, an operator.

It knows how hoists travel and nothing of the schedule. Times are ms, positions the problem's
unit, in floating point: the blocks under test count in whole ms, and what is looked for here,
two hoists too close, is not a matter of the last figure. It goes from event to event; at each
the blocks are called until no output changes any more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import ceil, floor
from typing import Any

from hoistopt.exports.several import HoistMotion, SeveralTable
from hoistopt.problem import Motion, Problem
from tests.helpers.block.st_machine import Machine
from tests.helpers.hoists.several_blocks import machines, tables
from tests.helpers.hoists.several_model import TrackModel
from tests.helpers.hoists.several_preset import Loads, Place, begin, told
from tests.helpers.trips import Trip

LONGEST_SCAN = 2000
NEAR = 1e-6
"""By which a position in floating point may be wrong."""
ALWAYS = {"Reset": False, "Preset": False, "HoldClock": False, "CarrierRemoved": False}
"""Inputs of the blocks that nobody touches here."""


@dataclass
class OneHoist:
    """A hoist: what it does and where it is."""

    number: int
    machine: Machine
    table: dict[str, Any]
    motions: tuple[HoistMotion, ...]
    loaded: Motion
    empty: Motion
    place: int
    position: float
    trip: Trip | None = None
    motion: HoistMotion | None = None
    carrying: bool = False
    phase: str = "rest"
    """``rest``, ``lifted`` (or about to leave), ``way``, ``lower``."""
    until: float = 0
    stuck_until: float = 0
    stalled_until: float = 0
    """Till then it stands half way."""
    done: bool = False
    count: int = 0
    """Motions that are over."""

    def at(self, now: float) -> float:
        return self.position if self.trip is None else self.trip.at(now)[0]


Longer = Callable[[int, int, str], int]
"""By hoist, number of the motion since the start and phase: by how many ms it takes longer."""


@dataclass
class SeveralPlant:
    """The track.

    Attributes
    ----------
    longer : callable
        By how much a phase takes longer: ``rest`` before a motion, ``lift``, ``way`` half way
        on its way, ``lower``.
    release, admit : callable
        Of time: whether a load is ready, and whether one is admitted.
    closest : float
        The least of all distances of neighbours so far, less what they need.
    stays : list of (int, int, int, int, bool)
        Step that lifted, station, dwell, time and whether it was too long.
    alarms : set of (int, int)
        Station and step.
    """

    problem: Problem
    table: SeveralTable
    longer: Longer = lambda hoist, number, phase: 0
    release: Callable[[int], bool] = lambda now: True
    admit: Callable[[int], bool] = lambda now: True
    events: tuple[int, ...] = ()
    now: int = 0
    called: int = 0
    closest: float = 1e9
    where: str = ""
    stays: list[tuple[int, int, int, int, bool]] = field(default_factory=list)
    alarms: list[tuple[int, int, int]] = field(default_factory=list)
    starts: list[tuple[int, int, int]] = field(default_factory=list)
    start: tuple[int, Loads, dict[int, int] | None] | None = None
    """Step that comes next, loads in the tanks at first and motions made, if told; None: empty."""
    twin: TrackModel | None = None
    """The model of the blocks, called beside them; every output of every call is compared."""
    compared: int = 0
    begun_at: int = 0
    """What the clock shows at first, in cycle 0."""

    def __post_init__(self) -> None:
        problem, table = self.problem, self.table
        assert problem.track is not None
        self.clearance = float(problem.track.clearance)
        per = 1000 * float(problem.seconds_per_unit)
        self.ms = lambda value: 0 if value is None else ceil(float(value) * per - 1e-6)
        found, self.line = machines(table)
        variables = tables(table)
        names = dict(table.stations)
        self.stations = {n: problem.station_by_name[name] for n, name in names.items()}
        self.positions = {n: float(s.position or 0) for n, s in self.stations.items()}
        self.positions |= {n: float(at) for n, at in table.waiting}
        self.hoists = []
        for hoist in table.hoists:
            own = problem.hoists[hoist.number - 1]
            assert own.loaded is not None and own.empty is not None
            begins = hoist.rows[0].start
            self.hoists.append(
                OneHoist(hoist.number, found[hoist.number], variables[hoist.number],
                         hoist.rows, own.loaded, own.empty, begins, self.positions[begins])
            )  # fmt: skip
        self.standing: dict[int, list[tuple[int, int]]] = {n: [] for n in names}
        """By station: since when, and the step that lifts it."""
        ready = sorted((m.planned, m.recipe) for h in table.hoists for m in h.rows
                       if m.step and m.fed_by is None)  # fmt: skip
        self.arrivals = [recipe for _, recipe in ready]
        self.entered = 0
        self.feeds = {m.step: m for h in table.hoists for m in h.rows if m.step}
        self.deltas = [r.left * table.unit.milliseconds for h in table.hoists for m in h.rows
                       for r in m.releases if r.left is not None]  # fmt: skip

        if self.start is not None:
            self._begin(*self.start)

    def _begin(self, step: int, loads: Loads, made: dict[int, int] | None) -> None:
        """Loads stand, the blocks are told of them, and the hoists brought to where they say."""
        place = Place(self.table, step, made)
        for due, age in place.chosen(loads):
            self.standing[due.motion.start].append((-age, due.motion.step))
        first = {h.number: {**self._inputs(h), "Table": h.table, "Line": self.line}
                 for h in self.hoists}  # fmt: skip
        drop = ("Enable", "HoistIdle", "HoistAt", "MoveDone")
        given = {h: {n: v for n, v in i.items() if n not in drop} for h, i in first.items()}
        blocks = {h.number: h.machine for h in self.hoists}
        told(self.table, blocks, self.line, given, step, loads, made=made)
        assert self.line["Phase"] == 7, (self.line["PresetFault"], self.line["PresetEntry"])
        for hoist in self.hoists:
            hoist.place = hoist.machine.values["StartPlace"]
            hoist.position = self.positions[hoist.place]
        new = [
            (place.next_cycle(m, h.number) * self.table.cycle + m.planned, m.recipe)
            for h in self.table.hoists for m in h.rows if m.step and m.fed_by is None
        ]  # fmt: skip
        self.arrivals = [recipe for _, recipe in sorted(new)]
        self.begun_at = place.begins(place.chosen(loads))
        if self.twin is not None:
            begin(self.twin, step, loads, 0, made)

    # -- time ---------------------------------------------------------------------

    def run(self, until: int) -> None:
        """Go on to a time."""
        while self.now < until:
            for turn in range(12):
                before = [self._outputs(hoist) for hoist in self.hoists]
                self._call()
                changed = before != [self._outputs(hoist) for hoist in self.hoists]
                if not changed and turn:
                    break
            following = min(until, self._next())
            self._measure(self.now, following)
            self.now = following

    def _outputs(self, hoist: OneHoist) -> tuple[Any, ...]:
        values = hoist.machine.values
        names = ("StartMove", "GoTo", "MayTravel", "MustStop", "StopAt", "MotionNo", "State",
                 "Gone", "Come", "Current")  # fmt: skip
        shared = (self.line["Arrived"][hoist.number], self.line["Left"][hoist.number])
        return (*(values[name] for name in names), *shared, self.line["Back_ms"], hoist.phase)

    def _next(self) -> int:
        found = self.now + LONGEST_SCAN
        later = [event for event in self.events if event > self.now]
        for hoist in self.hoists:
            values = hoist.machine.values
            if hoist.phase != "rest" and hoist.until > self.now:
                later.append(ceil(hoist.until))
            if hoist.trip is not None and hoist.trip.brakes > self.now:
                later.append(floor(hoist.trip.brakes))
            if hoist.stuck_until > self.now:
                later.append(ceil(hoist.stuck_until))
            motion, per = hoist.motions[values["Current"] - 1], self.table.unit.milliseconds
            for moment in (motion.planned, motion.leaves, motion.latest):
                ahead = moment * per - values["Clock_ms"]
                later += [self.now + ahead, self.now + ahead + 1]
            if motion.step and motion.fed_by is not None:
                for since, step in self.standing[motion.start]:
                    if step == motion.step:
                        later.append(since + motion.least * per)
            since = self.line["LeftFor_ms"][hoist.number]
            later += [self.now + delta - since for delta in self.deltas]
        return min([found, *(time for time in later if time > self.now)])

    # -- one call of all blocks -----------------------------------------------------

    def _call(self) -> None:
        elapsed, self.called = self.now - self.called, self.now
        for index, hoist in enumerate(self.hoists):
            self._progress(hoist)
            inputs = self._inputs(hoist)
            if index == 0:
                inputs |= {
                    "Reset": False,
                    "Elapsed_ms": elapsed,
                    "AdmitLoads": self.admit(self.now),
                }
            hoist.machine.call(Table=hoist.table, Line=self.line, **inputs)
            if self.twin is not None:
                self._compare(hoist, self.twin.hoists[index].call({**ALWAYS, **inputs}))
            self._act(hoist)
            self._watch(hoist)

    def _compare(self, hoist: OneHoist, wanted: dict[str, Any]) -> None:
        """The model of the block shows the same."""
        for name, value in wanted.items():
            shown = hoist.machine.values[name]
            assert shown == value, (
                f"at {self.now}, hoist {hoist.number}: {name} {shown}, not {value}"
            )
        self.compared += 1

    def _inputs(self, hoist: OneHoist) -> dict[str, Any]:
        return {
            "Enable": True,
            "HoistIdle": hoist.phase == "rest" and self.now >= hoist.stuck_until,
            "HoistAt": hoist.place,
            "MoveDone": hoist.done,
            "CarrierAt": {n: bool(self.standing[n]) or s.loads for n, s in self.stations.items()},
            "PlaceFreeAt": {n: self._room(n) for n in self.stations},
            "LoadReleasedAt": {n: self._ready(n) for n in self.stations},
        }

    def _room(self, number: int) -> bool:
        capacity = self.stations[number].capacity
        return capacity == "unlimited" or len(self.standing[number]) < capacity

    def _ready(self, number: int) -> int:
        if not self.stations[number].loads or not self.release(self.now):
            return 0
        return self.arrivals[self.entered % len(self.arrivals)]

    def _watch(self, hoist: OneHoist) -> None:
        values = hoist.machine.values
        assert values["TableFault"] == 0, values["TableFault"]
        for number in self.stations:
            step = values["AlarmStepAt"][number]
            if step:
                self.alarms.append((self.now, number, step))

    # -- what a hoist does ------------------------------------------------------------

    def _act(self, hoist: OneHoist) -> None:
        values = hoist.machine.values
        hoist.done = False
        asked = values["StartMove"] or values["GoTo"]
        if hoist.phase == "rest" and asked and not values["Gone"]:
            hoist.motion = hoist.motions[values["MotionNo"] - 1]
            hoist.carrying = values["StartMove"]
            self.starts.append((self.now, hoist.number, hoist.motion.motion))
            assert hoist.place == hoist.motion.start
            if hoist.carrying:
                self._lift(hoist)
            else:
                hoist.phase, hoist.until = "lifted", self.now
        if hoist.phase == "lifted" and values["MayTravel"] and self.now >= hoist.until:
            self._set_out(hoist)
        elif hoist.phase == "way":
            self._on_its_way(hoist)

    def _lift(self, hoist: OneHoist) -> None:
        motion, station = hoist.motion, self.stations[hoist.place]
        assert motion is not None
        own = self.problem.hoists[hoist.number - 1]
        drip = motion.drip * self.table.unit.milliseconds
        time = self.ms(own.lift if station.lift is None else station.lift) + drip
        hoist.phase = "lifted"
        hoist.until = self.now + time + self.longer(hoist.number, hoist.count, "lift")
        if motion.fed_by is None:
            self.entered += 1
            return
        here = [entry for entry in self.standing[hoist.place] if entry[1] == motion.step]
        assert here, f"step {motion.step} lifts what is not there"
        self.standing[hoist.place].remove(here[0])
        dwell, per = self.now - here[0][0], self.table.unit.milliseconds
        assert dwell >= motion.least * per - 1, f"step {motion.step} lifts too early"
        too_long = motion.most is not None and dwell > motion.most * per + 1
        self.stays.append((motion.step, hoist.place, dwell, self.now, too_long))

    def _target(self, hoist: OneHoist) -> int:
        values, motion = hoist.machine.values, hoist.motion
        assert motion is not None
        return values["StopAt"] if values["MustStop"] else motion.place

    def _speeds(self, hoist: OneHoist) -> tuple[float, float | None]:
        assert hoist.motion is not None
        speeds = hoist.loaded if hoist.motion.step else hoist.empty
        gain = speeds.acceleration
        return float(speeds.speed), None if gain is None else float(gain)

    def _set_out(self, hoist: OneHoist) -> None:
        there = self.positions[self._target(hoist)]
        stuck = self.longer(hoist.number, hoist.count, "way")
        if stuck and not self._led(hoist):
            # It comes to a stand half way, for a while.
            there = (hoist.position + there) / 2
        else:
            stuck = 0
        hoist.trip = Trip(self.now, hoist.position, there, 0.0, *self._speeds(hoist))
        hoist.phase, hoist.place = "way", -1
        hoist.until = hoist.stalled_until = hoist.trip.until + stuck
        if not stuck:
            hoist.stalled_until = 0

    def _led(self, hoist: OneHoist) -> bool:
        """Whether another follows on this way: then only distance control keeps it off."""
        assert hoist.motion is not None
        return (hoist.number, hoist.motion.motion) in {
            (release.hoist, release.motion) for _, _, release in self.table.following()
        }

    def _on_its_way(self, hoist: OneHoist) -> None:
        assert hoist.trip is not None
        if self.now < hoist.stalled_until:
            return
        there = self.positions[self._target(hoist)]
        if abs(there - hoist.trip.there) > NEAR:
            position, speed = hoist.trip.at(self.now)
            hoist.trip = Trip(self.now, position, there, speed, *self._speeds(hoist))
            hoist.until = hoist.trip.until

    def _progress(self, hoist: OneHoist) -> None:
        """What is over by now."""
        motion = hoist.motion
        if hoist.phase == "way" and self.now >= hoist.until - NEAR:
            assert hoist.trip is not None and motion is not None
            hoist.position = hoist.trip.there
            if abs(hoist.position - self.positions[motion.place]) > NEAR or (
                self.now < hoist.stalled_until
            ):
                return  # it stands short of where it goes
            hoist.trip, hoist.place = None, motion.place
            settling = self._settling(hoist)
            lower = 0
            if hoist.carrying:
                own, station = self.problem.hoists[hoist.number - 1], self.stations[hoist.place]
                lower = self.ms(own.lower if station.lower is None else station.lower)
                lower += self.longer(hoist.number, hoist.count, "lower")
            hoist.phase, hoist.until = "lower", self.now + settling + lower
        if hoist.phase == "lower" and self.now >= hoist.until:
            assert motion is not None
            if hoist.carrying:
                hoist.done = True
                self._set_down(hoist, motion)
            hoist.phase = "rest"
            hoist.count += 1
            hoist.stuck_until = self.now + self.longer(hoist.number, hoist.count, "rest")

    def _settling(self, hoist: OneHoist) -> int:
        """Before lowering, or before lifting: where it is next."""
        motion = hoist.motion
        assert motion is not None
        after = hoist.motions[motion.motion % len(hoist.motions)]
        speeds = hoist.loaded if motion.step else hoist.empty
        station = self.stations.get(motion.place)
        if not hoist.carrying and (motion.step or not after.step):
            return 0
        own = None if station is None else station.settling
        return self.ms(speeds.settling if own is None else own)

    def _set_down(self, hoist: OneHoist, motion: HoistMotion) -> None:
        if motion.feeds is not None:
            self.standing[motion.place].append((self.now, motion.feeds))
            capacity = self.stations[motion.place].capacity
            assert capacity == "unlimited" or len(self.standing[motion.place]) <= capacity, (
                f"too many carriers at station {motion.place}"
            )

    # -- distances --------------------------------------------------------------------

    def _measure(self, since: int, until: int) -> None:
        moments = {float(since), float(until)}
        moments |= {since + (until - since) * part / 8 for part in range(1, 8)}
        if all(hoist.trip is None for hoist in self.hoists):
            moments = {float(since)}
        for now in moments:
            for one, other in zip(self.hoists, self.hoists[1:], strict=False):
                needed = (other.number - one.number) * self.clearance
                room = other.at(now) - one.at(now) - needed
                if room < self.closest:
                    self.closest = room
                    self.where = (
                        f"at {now}: hoist {one.number} at {one.at(now):.4f} in motion "
                        f"{one.motion and one.motion.motion}, hoist {other.number} at "
                        f"{other.at(now):.4f} in motion {other.motion and other.motion.motion}"
                    )
