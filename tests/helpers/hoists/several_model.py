"""What the blocks of several hoists should do, in Python: from their rules, not from their text.

Times are points on one clock that never stands, loads are known by the step and the cycle that
brought them, and cycles are counted without an end. The blocks have ages, cycle clocks that go
back, and cycles counted round. Called with the same inputs in the same order, both must give the
same outputs in every call.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from hoistopt.exports.several import HoistMotion, HoistTable, Release, SeveralTable

LONGEST = 400_000_000
"""No time is counted further, in ms."""


@dataclass
class TrackModel:
    """What all hoists share: time, the loads in tanks, and the release signals.

    Attributes
    ----------
    table : SeveralTable
    now : int
        Since the first call, in ms.
    counted : int
        The one clock, from the start of the first motion: stands while it is held.
    loads : dict
        By step and its cycle: since when what it set down stands.
    left, arrived : dict
        By hoist: motions left for, arrived with; `left_at` the time of the last leaving.
    """

    table: SeveralTable
    now: int = 0
    counted: int = 0
    fresh: bool = False
    begun: bool = False
    admit: bool = False
    put_back: int = 0
    lost: int = 0
    drift_since: int | None = None
    inside: int = 0
    loads: dict[tuple[int, int], int] = field(default_factory=dict)
    left: dict[int, int] = field(default_factory=dict)
    left_at: dict[int, int] = field(default_factory=dict)
    arrived: dict[int, int] = field(default_factory=dict)
    holds: dict[int, bool] = field(default_factory=dict)
    can_stand: dict[int, int] = field(default_factory=dict)
    """By hoist: how much longer every load that it lifts can stand, when it was last asked."""

    def __post_init__(self) -> None:
        self.per = self.table.unit.milliseconds
        self.cycle = self.table.cycle * self.per
        self.hoists = [HoistModel(self, hoist) for hoist in self.table.hoists]

    def goes_on(self, given: Mapping[str, Any]) -> None:
        """Once in every scan."""
        passed = max(0, given["Elapsed_ms"])
        self.now += passed
        self.admit = given["AdmitLoads"]
        self.fresh, self.begun = given["Reset"] or not self.begun, True
        held = given["HoldClock"] or any(self.holds.values())
        self.counted += (0 if held else passed) - self.put_back
        if self.put_back:
            self.drift_since, self.lost = self.now, self.lost + self.put_back
        elif self.drift_since is not None and self.now - self.drift_since > self.cycle:
            self.drift_since = None
        self.put_back = 0
        if self.fresh:
            numbers = [hoist.number for hoist in self.table.hoists]
            self.left, self.arrived = dict.fromkeys(numbers, 0), dict.fromkeys(numbers, 0)
            self.holds, self.can_stand = {}, dict.fromkeys(numbers, LONGEST)
            self.left_at = dict.fromkeys(numbers, self.now)
            self.loads, self.inside, self.lost, self.drift_since = {}, 0, 0, None
            self.counted = 0

    def came(self, release: Release, cycle: int) -> bool:
        """Whether a release signal has come for a motion of a cycle."""
        count = next(len(h.motions) for h in self.table.hoists if h.number == release.hoist)
        needed = (cycle - release.cycles) * count + release.motion
        if self.arrived[release.hoist] >= needed:
            return True
        if release.left is None or self.left[release.hoist] < needed:
            return False
        return self.now - self.left_at[release.hoist] >= release.left * self.per


class HoistModel:
    """One hoist in the hands of the rules."""

    def __init__(self, track: TrackModel, table: HoistTable) -> None:
        self.track, self.table, self.number = track, table, table.number
        self.first = table is track.table.hoists[0]
        self.rows, self.cycles, self.last = table.rows, not table.once, len(table.rows) - 1
        self.stations = [number for number, _ in track.table.stations]
        self.shown: dict[str, Any] = {}
        self._begins()

    def _begins(self) -> None:
        self.made = 0
        """Motions that are over."""
        self.missed = 0
        self.started: int | None = None
        self.carries = self.may_travel = self.gone = self.come = False
        self.was_done = self.was_removed = False

    def begins_at(self, made: int) -> None:
        """Go on as if so many motions were over since the beginning of cycle 0."""
        self._begins()
        self.made = made

    # -- the motion under way, or next ----------------------------------------------------

    @property
    def motion(self) -> HoistMotion:
        return self.rows[self.made % len(self.rows) if self.cycles else min(self.made, self.last)]

    @property
    def cycle(self) -> int:
        return self.made // len(self.rows) if self.cycles else 0

    @property
    def over(self) -> bool:
        """All motions of a list are over."""
        return not self.cycles and self.made > self.last

    @property
    def clock(self) -> int:
        return self.track.counted - self.cycle * self.track.cycle

    def ms(self, time: int | None) -> int:
        return LONGEST if time is None else time * self.track.per

    # -- one call -----------------------------------------------------------------------------

    def call(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """The outputs, by the block's names."""
        track, self.given = self.track, given
        if self.first:
            track.goes_on(given)
        if track.fresh:
            self._begins()
            self.was_done, self.was_removed = given["MoveDone"], given["CarrierRemoved"]
            self.shown |= dict.fromkeys(("StartMove", "GoTo", "MayTravel", "MustStop"), False)
            self.shown |= {"Clock_ms": 0, "CycleNo": 0, "TableFault": 0}
            return self.shown
        done = self._under_way()
        told = self._ahead(done)
        if done:
            if self.carries:
                late = self.clock - self.ms(self.motion.planned) - self.ms(self.motion.lasts)
                self._put_back(late, told["can stand"])
            self.made, self.started = self.made + 1, None
            self.carries = self.may_travel = self.gone = self.come = False
        waits = self._waits()
        told |= self._start(done, waits, told.pop("can stand"))
        self.was_removed = given["CarrierRemoved"]
        return self._show(told, waits)

    def _under_way(self) -> bool:
        """The hoist leaves, arrives and is done."""
        track, given, motion = self.track, self.given, self.motion
        at, done = given["HoistAt"], False
        if self.started is not None:
            if self.may_travel and not self.gone and at != motion.start:
                self.gone = True
                track.left[self.number] += 1
                track.left_at[self.number] = track.now
            if self.gone and not self.come and at == motion.place:
                self.come = True
                track.arrived[self.number] += 1
            if self.come:
                rises = given["MoveDone"] and not self.was_done
                done = rises if self.carries else given["HoistIdle"]
            if done and self.carries:
                if motion.feeds is None:
                    track.inside -= 1
                else:
                    track.loads[motion.step, self.cycle] = track.now
        self.was_done = given["MoveDone"]
        return done

    def _put_back(self, late: int, room: int) -> None:
        """The clock goes back for all: by the lateness, by no more than hurts no load, and in any
        case down to the lasting limit."""
        motion = self.motion
        if late <= self.ms(motion.clock_limit) - self.ms(motion.planned):
            return
        back = min(late, room)
        if motion.lasting_limit is not None:
            back = max(back, late - self.ms(motion.lasting_limit) + self.ms(motion.planned))
        self.track.put_back = max(self.track.put_back, back)

    # -- loads in tanks -----------------------------------------------------------------------

    def _ahead(self, done: bool) -> dict[str, Any]:
        """Loads that this hoist lifts: how long they stand, and who cannot keep the maximum."""
        track, clock = self.track, self.clock
        dwell = dict.fromkeys(self.stations, 0)
        overstay = dict.fromkeys(self.stations, False)
        alarms = dict.fromkeys(self.stations, 0)
        first = (0, 0)
        free = clock
        if self.started is not None and not done and (self.carries or not self.motion.step):
            # Without a load a move takes less than the table says, so it is not counted.
            free += max(0, self.ms(self.motion.busy) - (track.now - self.started))
        rooms, others = [LONGEST], [LONGEST]
        count = len(self.rows) * track.table.slots if self.cycles else len(self.rows) - self.made
        for ahead in range(count):
            cycle, number = divmod(self.made + ahead, len(self.rows))
            motion = self.rows[number]
            since = track.loads.get((motion.fed_by or 0, cycle - motion.boundaries))
            if since is None or (not ahead and self.started is not None):
                continue
            stood, most, station = track.now - since, self.ms(motion.most), motion.start
            due = self.ms(motion.planned) + (cycle - self.cycle) * track.cycle
            dwell[station] = max(dwell[station], stood)
            overstay[station] |= stood > most
            if motion.most is not None:
                rooms.append(most - stood - (due - clock))
                if ahead:
                    others.append(rooms[-1])
            lift = max(due, free)
            if motion.wait_source_dwell:
                lift = max(lift, clock + self.ms(motion.least) - stood)
            if motion.most is not None and stood + lift - clock > most:
                alarms[station] = alarms[station] or motion.step
                first = first if first[0] else (motion.step, station)
            free = lift + self.ms(motion.busy)
        track.can_stand[self.number] = min(rooms)
        # What it is about to lift itself does not stand any longer.
        own = min(others)
        of_others = [r for h, r in track.can_stand.items() if h != self.number]
        return {
            "DwellAt_ms": dwell, "OverstayAt": overstay, "AlarmStepAt": alarms,
            "Overstay": any(overstay.values()), "Alarm": first[0] > 0,
            "AlarmStep": first[0], "AlarmStation": first[1],
            "can stand": max(0, min([own, *of_others])),
        }  # fmt: skip

    # -- the next motion ------------------------------------------------------------------------

    def _waits(self) -> dict[str, Any]:
        """Which release signals have not come."""
        stages: dict[str, list[Release]] = {"lift": [], "leave": [], "pass": []}
        open_ones = [r for r in self.motion.releases if not self.track.came(r, self.cycle)]
        for release in open_ones:
            stages[release.before].append(release)
        firm = [r for r in open_ones if r.before != "pass"]
        told = firm[-1] if firm else stages["pass"][0] if stages["pass"] else None
        found = {
            "lift": not stages["lift"], "way": not stages["leave"],
            "MustStop": bool(stages["pass"]), "WaitsFor": 0 if told is None else told.hoist,
        }  # fmt: skip
        # While it need not stop, no place means anything.
        return {**found, "StopAt": stages["pass"][0].stop or 0} if stages["pass"] else found

    def _start(self, done: bool, waits: Mapping[str, Any], room: int) -> dict[str, Any]:
        """Start the motion when it is time and nothing keeps it."""
        track, given, motion = self.track, self.given, self.motion
        away = given["HoistIdle"] and given["HoistAt"] != motion.start
        told = {
            "CarrierMissing": False, "PlaceBlocked": False, "Late": False,
            "OutOfPlace": self.started is None and away,
        }  # fmt: skip
        track.holds[self.number] = False
        here = not done and given["HoistIdle"] and given["HoistAt"] == motion.start
        if self.over:
            return {**told, "OutOfPlace": False}
        if self.started is None and self.clock >= self.ms(motion.planned):
            ready = has = False
            if here and not motion.step:
                ready = given["Enable"] and waits["lift"] and waits["way"]
            elif here:
                has = self._has_load(told)
                ready = self._with(told, waits) if has else self._without(waits)
            told["Late"] = (
                not ready and self.clock > self.ms(motion.latest) and not track.holds[self.number]
            )
            if ready:
                idle_way = bool(motion.step) and not has
                planned = self.ms(motion.leaves if idle_way else motion.planned)
                self._put_back(self.clock - planned, room // 2)
                self.started, self.carries = track.now, has
                self.missed += not self.cycles and idle_way and motion.fed_by is None
                if has and motion.fed_by is None:
                    track.inside += 1
                elif has:
                    del track.loads[motion.fed_by, self.cycle - motion.boundaries]
        if self.started is not None and waits["lift"] and waits["way"]:
            self.may_travel = True
        return told

    def _has_load(self, told: dict[str, bool]) -> bool:
        track, given, motion = self.track, self.given, self.motion
        if motion.fed_by is None:
            late = motion.alarm is not None and self.clock > self.ms(motion.alarm)
            if track.inside and late:
                return False
            return track.admit and given["LoadReleasedAt"][motion.start] == motion.recipe
        key = motion.fed_by, self.cycle - motion.boundaries
        if key not in track.loads:
            return False
        if not given["CarrierAt"][motion.start]:
            if given["CarrierRemoved"] and not self.was_removed:
                del track.loads[key]
                track.inside -= 1
                return False
            told["CarrierMissing"] = True
        return True

    def _with(self, told: dict[str, bool], waits: Mapping[str, Any]) -> bool:
        track, given, motion = self.track, self.given, self.motion
        told["PlaceBlocked"] = motion.wait_target_empty and not given["PlaceFreeAt"][motion.place]
        stood = LONGEST
        if motion.fed_by is not None and motion.wait_source_dwell:
            stood = track.now - track.loads[motion.fed_by, self.cycle - motion.boundaries]
        return (
            given["Enable"] and waits["lift"] and given["CarrierAt"][motion.start]
            and not told["PlaceBlocked"] and stood >= self.ms(motion.least)
        )  # fmt: skip

    def _without(self, waits: Mapping[str, Any]) -> bool:
        """Without a load it leaves when it would with one, for a new one after its latest start;
        on an empty line the clock waits for a load."""
        track, given, motion = self.track, self.given, self.motion
        new = motion.fed_by is None
        if new and not track.inside:
            ready = track.admit and any(recipe > 0 for recipe in given["LoadReleasedAt"].values())
            track.holds[self.number] = not ready
        if track.holds[self.number] or (
            new and track.admit and self.clock <= self.ms(motion.latest)
        ):
            return False
        return (
            given["Enable"] and waits["lift"] and waits["way"]
            and self.clock >= self.ms(motion.leaves)
        )  # fmt: skip

    # -- what is told -----------------------------------------------------------------------------

    def _show(self, told: Mapping[str, Any], waits: Mapping[str, Any]) -> dict[str, Any]:
        track, given, motion = self.track, self.given, self.motion
        moving = self.started is not None
        begun = not self.over and (moving or self.clock >= self.ms(motion.planned))
        self.shown = {
            **told,
            "StartMove": given["Enable"] and moving and self.carries,
            "GoTo": given["Enable"] and moving and not self.carries,
            "MayTravel": self.may_travel,
            **{name: waits[name] for name in ("MustStop", "StopAt") if name in waits},
            "MotionNo": motion.motion, "StepNo": motion.step,
            "StartPlace": motion.start, "EndPlace": motion.place, "Drip_ms": self.ms(motion.drip),
            "Clock_ms": self.clock, "CycleNo": self.cycle,
            "WaitsFor": waits["WaitsFor"], "Waits": waits["WaitsFor"] > 0 and begun,
            "LoadsInLine": track.inside, "Drift": track.drift_since is not None,
            "LostTime_ms": track.lost, "RunOutDone": not track.admit and not track.inside,
            "TableFault": 0, "ListDone": self.over, "ListMissed": self.missed,
        }  # fmt: skip
        return self.shown
