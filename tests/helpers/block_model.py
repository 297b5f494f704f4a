"""What the function block should do, in Python: written from its rules, not from its text.

Times are points on one clock that never stands; loads are objects, known by the step and the
cycle that lift them; cycles are counted without an end. The block has ages, a cycle clock that
is put back, and cycles counted round. Called with the same inputs, both must give the same
outputs in every call.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from hoistopt.exports import SequencerStep, SequencerTable

LONGEST = 400_000_000
Key = tuple[int, int]
"""Cycle and index of the step that lifts a load; the list run once counts as cycle -1."""
LIST = -1


@dataclass
class Load:
    """A carrier in the line; `since` is None while it hangs at the hoist."""

    since: int | None


@dataclass
class Model:
    """One line in the hands of the rules."""

    table: SequencerTable
    now: int = 0
    origin: int = 0  # when the cycle of the next step begins, as things stand
    cycle: int = 0
    missed: int = 0
    at: int = 0  # index of the next step
    committed: bool = False
    loads: dict[Key, Load] = field(default_factory=dict)
    extra: int = 0  # carriers in the line that no step lifts any more
    moving: tuple[int, int, Key | None] | None = None  # step, since when, what it sets down
    should_end: int = 0  # when that step should have set down its carrier
    ended: Any = None
    done_before: bool = False
    removed_before: bool = False
    missing: bool = False
    late_before: dict[tuple[str, int], tuple[int, int]] = field(default_factory=dict)
    drift_since: int | None = None
    lost: int = 0
    preset: list[tuple[int, int, int, int]] | None = None
    asked_at: int = 0
    calls_left: int = 0
    fault: tuple[int, int] = (0, 0)
    begun: bool = False
    shown: dict[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.per = self.table.unit.milliseconds
        self.steps = self.table.rows
        self.once = len(self.table.once)
        self.period = self.table.cycle * self.per
        self.stations = [number for number, _ in self.table.stations]

    def ms(self, units: int | None) -> int:
        assert units is not None
        return units * self.per

    def _begins(self, cycle: int) -> int:
        """When a cycle begins, from the beginning of the list."""
        return 0 if cycle == LIST else self.ms(self.table.joins) + cycle * self.period

    @property
    def clock(self) -> int:
        return self.now - self.origin

    def age(self, load: Load) -> int:
        return 0 if load.since is None else min(self.now - load.since, LONGEST)

    @property
    def in_line(self) -> int:
        return len(self.loads) + self.extra

    @property
    def empty(self) -> bool:
        return not self.in_line and self.moving is None

    # -- one call -------------------------------------------------------------------------

    def call(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """The outputs, by the block's names."""
        self.given = given
        passed = max(0, min(given["Elapsed_ms"], LONGEST))
        self.now += passed
        if given["Reset"] or not self.begun:
            return self._afresh()
        if self.fault[0]:
            self.shown |= {"StartMove": False, "GoToPick": False}
            return self.shown
        if self.preset is not None:
            return self._preset()
        stops = given["HoldClock"] or (self.empty and not self.committed)
        if stops:
            self.origin += passed
            self.should_end += passed
        if self.clock > LONGEST:
            self.origin = self.now - LONGEST
        done = self._set_down()
        if self.empty and given["AdmitLoads"] and not self.committed:
            self._first_load()
        due = self._next_step(done)
        reserve = self._look_ahead(done)
        self._start(due, done, reserve)
        return self.shown

    def _afresh(self) -> dict[str, Any]:
        given = self.given
        self.loads, self.moving, self.extra, self.late_before = {}, None, 0, {}
        self.origin, self.cycle, self.at = self.now, LIST if self.once else 0, 0
        self.missed = 0
        self.committed, self.missing, self.drift_since, self.lost = False, False, None, 0
        self.done_before, self.removed_before = given["MoveDone"], given["CarrierRemoved"]
        self.fault, self.preset = (0, 0), None
        no = dict.fromkeys(self.stations, 0)
        kept = ("StepNo", "PickStation", "PlaceStation", "Drip_ms", "NextStep", "NextPick")
        old = {name: self.shown.get(name, 0) for name in kept}
        flags = ("StartMove", "GoToPick", "Late", "Drift", "Alarm", "Overstay", "CarrierMissing",
                 "PlaceBlocked", "RunOutDone", "PresetOk", "InList")  # fmt: skip
        zeros = ("Clock_ms", "CycleNo", "LoadsInLine", "LostTime_ms", "AlarmStep", "AlarmStation",
                 "TableFault", "PresetFault", "PresetEntry", "ListMissed")  # fmt: skip
        self.shown = {
            **old, **dict.fromkeys(flags, False), **dict.fromkeys(zeros, 0),
            "DwellAt_ms": no, "AlarmStepAt": no, "OverstayAt": dict.fromkeys(self.stations, False),
        }  # fmt: skip
        self.begun = True
        if given["Preset"]:
            self._ask(given)
        return self.shown

    # -- loads that stand in the line at the beginning -------------------------------------

    def _ask(self, given: Mapping[str, Any]) -> None:
        count = given["PresetLoads"]
        self.asked_at, self.calls_left = self.now, len(self.steps) + 1
        if not 1 <= count <= 40:
            return self._wrong(1, 0)
        self.preset = [
            tuple(given[f"Preset{name}"][n] for name in ("Station", "Recipe", "Stage", "Age_ms"))
            for n in range(1, count + 1)
        ]  # fmt: skip
        low, high = min(self.stations), max(self.stations)
        for entry, (station, _, _, age) in enumerate(self.preset, start=1):
            if not low <= station <= high:
                return self._wrong(2, entry)
            if not 0 <= age <= LONGEST:
                return self._wrong(4, entry)
            if not given["CarrierAt"][station]:
                return self._wrong(5, entry)
        tanks = {s.pick for s in self.steps if s.fed_by} - {
            s.pick for s in self.steps if not s.fed_by
        }
        listed = {station for station, *_ in self.preset}
        if any(given["CarrierAt"][tank] for tank in tanks - listed):
            return self._wrong(6, 0)
        self.shown["PresetEntry"] = 0
        return None

    def _wrong(self, fault: int, entry: int) -> None:
        self.fault = (fault, entry)
        self.shown |= {"PresetFault": fault, "PresetEntry": entry}

    def _preset_of_list(self) -> dict[str, Any]:
        """The list begins with the loads it lifts first, when none is lifted too soon."""
        assert self.preset is not None
        free = sorted(enumerate(self.preset), key=lambda one: (-one[1][3], one[0]))
        delay = 0
        for row, step in enumerate(self.steps[: self.once]):
            if step.fed_by != step.step:
                continue
            kind = (step.pick, step.recipe, step.stage)
            found = next((one for one in free if one[1][:3] == kind), None)
            if found is not None:
                free.remove(found)
                age = found[1][3]
                self.loads[LIST, row] = Load(self.asked_at - age)
                delay = max(delay, self.ms(step.least - step.start) - age)
        if free:
            self._wrong(3, min(entry for entry, _ in free) + 1)
            return self.shown
        self.origin = self.asked_at + delay
        self.preset = None
        self.shown |= {"PresetOk": True, "LoadsInLine": self.in_line, "Clock_ms": self.clock}
        return self.shown

    def _preset(self) -> dict[str, Any]:
        self.calls_left -= 1
        if self.calls_left > 1 and not self.once:
            return self.shown
        assert self.preset is not None
        if self.once:
            return self._preset_of_list()
        tries = [self._places(n) for n in range(len(self.steps))]
        possible = [n for n, found in enumerate(tries) if isinstance(found, dict)]
        if self.calls_left == 1:
            if not possible:
                failed = [found for found in tries if isinstance(found, tuple)]
                self._wrong(*max(failed, key=lambda found: found[1]))
            return self.shown
        best = min(possible, key=lambda n: self._harm(n, tries[n]))
        _, delay = self._harm(best, tries[best])
        places = tries[best]
        assert isinstance(places, dict)
        self.at, self.cycle = best, 0
        step = self.steps[best]
        self.origin = self.now - self.ms(step.start) + self.ms(step.approach)
        self.origin += max(0, delay - (self.now - self.asked_at))
        self.loads = {
            key: Load(self.asked_at - self.preset[n][3]) for key, n in places.items()
        }  # fmt: skip
        self.preset = None
        self.shown |= {"PresetOk": True, "LoadsInLine": self.in_line, "Clock_ms": self.clock}
        return self.shown

    def _places(self, first: int) -> dict[Key, int] | tuple[int, int]:
        """Which load is lifted when, if step `first` is the next one; or what is wrong."""
        assert self.preset is not None
        taken: dict[Key, int] = {}
        wrong: tuple[int, int] | None = None
        for number, (station, recipe, stage, age) in enumerate(self.preset):
            kind = (station, recipe, stage)
            rows = [
                n for n, s in enumerate(self.steps)
                if s.fed_by is not None and (s.pick, s.recipe, s.stage) == kind
            ]  # fmt: skip
            options = []
            for row in rows:
                step = self.steps[row]
                assert step.fed_by is not None
                for cycle in range(step.boundaries + 1):
                    set_down = (cycle - step.boundaries, step.fed_by - 1) < (0, first)
                    if set_down and (cycle, row) >= (0, first) and (cycle, row) not in taken:
                        options.append((*self._misfit(first, cycle, row, age), row, cycle))
            if options:
                _, _, row, cycle = min(options)
                taken[cycle, row] = number
            elif wrong is None:
                wrong = (3 if rows else 2, number + 1)
        return self._oldest_first(first, taken) if wrong is None else wrong

    def _oldest_first(self, first: int, taken: dict[Key, int]) -> dict[Key, int]:
        """The same places, the older load lifted sooner of two of a kind."""
        preset = self.preset
        assert preset is not None
        found: dict[Key, int] = {}
        for kind in {preset[n][:3] for n in taken.values()}:
            keys = [key for key, n in taken.items() if preset[n][:3] == kind]
            keys.sort(key=lambda key: self._misfit(first, key[0], key[1], 0)[1])
            loads = sorted((taken[key] for key in keys), key=lambda n: (-preset[n][3], n))
            found |= dict(zip(keys, loads, strict=True))
        return found

    def _misfit(self, first: int, cycle: int, row: int, age: int) -> tuple[int, int]:
        """By how much the dwell misses its window, and the time until it is lifted."""
        step, start = self.steps[row], self.steps[first]
        wait = cycle * self.period + self.ms(step.start - start.start + start.approach)
        most = age + wait if step.most is None else self.ms(step.most)
        return max(0, self.ms(step.least) - age - wait, age + wait - most), wait

    def _harm(self, first: int, places: Any) -> tuple[int, int]:
        """By how much loads exceed their maxima if none is lifted before its minimum, and how
        much later the cycle begins so that none is."""
        assert self.preset is not None
        lifted = []
        for (cycle, row), n in places.items():
            _, wait = self._misfit(first, cycle, row, 0)
            lifted.append((self.steps[row], wait + self.preset[n][3]))
        delay = max(0, *(self.ms(step.least) - dwell for step, dwell in lifted))
        over = (dwell + delay - self.ms(s.most) for s, dwell in lifted if s.most is not None)
        return sum(max(0, ms) for ms in over), delay

    # -- the order of the steps --------------------------------------------------------------

    def _set_down(self) -> bool:
        """The hoist reports the carrier down."""
        done = self.moving is not None and self.given["MoveDone"] and not self.done_before
        self.done_before = self.given["MoveDone"]
        if done:
            assert self.moving is not None
            number, _, key = self.moving
            step = self.steps[number]
            self.ended = (step, self.now - self.should_end)
            if key is None:
                self.extra -= 1
            else:
                self.loads[key].since = self.now
            self.moving = None
        return done

    def _at_pick(self, step: SequencerStep) -> bool:
        return self.given["HoistIdle"] and self.given["HoistAt"] == step.pick

    def _ready_load(self, step: SequencerStep) -> bool:
        return (
            step.fed_by is None
            and self.given["AdmitLoads"]
            and self.given["LoadReleasedAt"][step.pick] == step.recipe
        )

    def _first_load(self) -> None:
        count = len(self.steps)
        cycle = self.cycle
        for row in (*range(self.at, count), *range(self.once, self.at)):
            step = self.steps[row]
            if row == self.once and (row != self.at or cycle == LIST):
                cycle += 1
            if self._ready_load(step):
                self.at, self.cycle, self.committed = row, cycle, True
                travel = 0 if self._at_pick(step) else self.ms(step.approach)
                self.origin = self.now - self.ms(step.start) + travel
                return
            if cycle == LIST and step.fed_by is None:
                return

    def _advance(self) -> None:
        self.at += 1
        self.committed = False
        if self.at == len(self.steps):
            self.at = self.once
        if self.at == self.once:
            self.origin += self._begins(self.cycle + 1) - self._begins(self.cycle)
            self.cycle += 1

    def _next_step(self, done: bool) -> bool:
        """Leave out what has no carrier; whether the step that remains has one."""
        busy = self.moving is not None or done
        for _ in self.steps:
            step, key = self.steps[self.at], (self.cycle, self.at)
            if step.fed_by is None:
                self.missing = False
                travel = 0 if busy or self._at_pick(step) else self.ms(step.approach)
                until = step.clock_limit if self.cycle == LIST else step.latest
                in_time = self.clock + travel <= self.ms(until)
                self.committed = self._ready_load(step) and (self.committed or in_time)
                late = step.alarm is not None and self.clock > self.ms(step.alarm)
                if late and not self.empty:
                    self.committed = False
                due = self.committed
                wait = self.empty or (in_time and self.given["AdmitLoads"])
            else:
                if self.missing and self.given["CarrierRemoved"] and not self.removed_before:
                    self.loads.pop(key, None)
                    self.missing = False
                due, wait = key in self.loads, False
            ahead = self.clock < 0 and self.at == len(self.steps) - 1
            if due or wait or ahead:
                break
            self.missing = False
            self.missed += self.cycle == LIST and step.fed_by is None
            self._advance()
        else:
            # Every step was left out once: the first of them is looked at in the next call.
            pass
        self.removed_before = self.given["CarrierRemoved"]
        return due

    # -- what is to come ---------------------------------------------------------------------

    def _look_ahead(self, done: bool) -> tuple[int, int]:
        """Alarms; by how much the clock could be put back without harm."""
        alarms: dict[int, int] = dict.fromkeys(self.stations, 0)
        dwells: dict[int, int] = dict.fromkeys(self.stations, 0)
        over: dict[int, bool] = dict.fromkeys(self.stations, False)
        reserve, spare, first = LONGEST, LONGEST, (0, 0)
        free = self.now
        if self.moving is not None:
            number, since, _ = self.moving
            free = max(free, since + self.ms(self.steps[number].busy))
        for key in sorted(self.loads):
            load, (cycle, row) = self.loads[key], key
            step = self.steps[row]
            planned = self.origin + self._begins(cycle) - self._begins(self.cycle)
            planned += self.ms(step.start)
            lift = max(planned, free)
            if load.since is not None:
                if step.wait_source_dwell:
                    lift = max(lift, load.since + self.ms(step.least))
                dwells[step.pick] = max(dwells[step.pick], self.age(load))
                if step.most is not None:
                    room = self.ms(step.most) - self.age(load)
                    over[step.pick] |= room < 0
                    if done or key != (self.cycle, self.at):
                        before = len(self.steps) if row == self.once else row
                        late = self._usual("start", row + 1)
                        later = max(late, self._usual("end", before))
                        reserve = min(reserve, room - (planned + late - self.now))
                        spare = min(spare, room - (planned + later - self.now))
                    if lift - self.now > room:
                        alarms[step.pick] = alarms[step.pick] or row + 1
                        first = first if first[0] else (row + 1, step.pick)
            free = lift + self.ms(step.busy)
        self.shown |= {
            "AlarmStepAt": alarms, "DwellAt_ms": dwells, "OverstayAt": over,
            "Alarm": first[0] > 0, "AlarmStep": first[0], "AlarmStation": first[1],
            "Overstay": any(over.values()),
        }  # fmt: skip
        return max(0, reserve), max(0, spare)

    def _start(self, due: bool, done: bool, reserve: tuple[int, int]) -> None:
        step, given, key = self.steps[self.at], self.given, (self.cycle, self.at)
        if self.drift_since is not None and self.now - self.drift_since > self.period:
            self.drift_since = None
        lateness = self.clock - self.ms(step.start)
        ready, self.missing, blocked, late = False, False, False, False
        if due and lateness >= 0:
            still = self.moving is None
            ready = given["Enable"] and still and not done and self._at_pick(step)
            ready = ready and given["CarrierAt"][step.pick]
            if step.wait_target_empty and not given["PlaceFreeAt"][step.place]:
                ready, blocked = False, still
            if step.fed_by is not None:
                if step.wait_source_dwell and self.age(self.loads[key]) < self.ms(step.least):
                    ready = False
                self.missing = still and not given["CarrierAt"][step.pick]
            late = not ready and self.clock > self.ms(step.latest)
        self.shown |= {"NextStep": self.at + 1, "NextPick": step.pick, "Late": late,
                       "CarrierMissing": self.missing, "PlaceBlocked": blocked}  # fmt: skip
        nothing_left = self.empty
        if done:
            ended, lateness_then = self.ended
            self._put_back(ended, lateness_then, reserve, "end")
        if ready:
            self._put_back(step, lateness, reserve, "start")
            self._lift(step, key)
        self.shown |= {
            "Drift": self.drift_since is not None,
            "LostTime_ms": self.lost,
            "Clock_ms": self.clock,
            "CycleNo": max(0, self.cycle),
            "InList": self.cycle == LIST,
            "ListMissed": self.missed,
            "LoadsInLine": self.in_line,
            "StartMove": given["Enable"] and self.moving is not None,
            "RunOutDone": not given["AdmitLoads"] and nothing_left and not ready,
        }
        wanted = due and not ready and self.moving is None
        there = self._at_pick(step)
        self.shown["GoToPick"] = given["Enable"] and wanted and not there

    def _usual(self, what: str, step: int) -> int:
        """How late a start or end was in each of the two cycles before."""
        return min(self.late_before.get((what, step), (0, 0)))

    def _put_back(
        self, step: SequencerStep, late: int, reserve: tuple[int, int], what: str
    ) -> None:
        before = self._usual(what, step.step)
        self.late_before[what, step.step] = self.late_before.get((what, step.step), (0, 0))[1], late
        if late <= self.ms(step.clock_limit - step.start):
            return
        back = min(late, reserve[1] // 2)
        if step.lasting_limit is not None:
            beyond = late - self.ms(step.lasting_limit - step.start)
            back = max(back, beyond if late > before else min(beyond, reserve[0]))
        if back:
            self.origin += back
            self.drift_since = self.now
            self.lost = self.lost + back if self.lost < LONGEST else self.lost

    def _lift(self, step: SequencerStep, key: Key) -> None:
        if step.fed_by is not None:
            del self.loads[key]
        down: Key | None = None
        if step.feeds is None:
            self.extra += 1
        else:
            row = step.feeds - 1
            down = (self.cycle + self.steps[row].boundaries, row)
            if self.cycle == LIST:
                down = (LIST if row < self.once else step.lifted_in, row)
            self.loads[down] = Load(None)
        self.moving = (self.at, self.now, down)
        self.should_end = self.origin + self.ms(step.start + step.move)
        self.shown |= {"StepNo": step.step, "PickStation": step.pick, "PlaceStation": step.place,
                       "Drip_ms": self.ms(step.drip)}  # fmt: skip
        self._advance()
