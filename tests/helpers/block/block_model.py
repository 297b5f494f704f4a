"""What the function block should do, in Python: written from its rules, not from its text.

Times are points on one clock that never stands; loads are objects, known by the step and the
cycle that lift them; cycles are counted without an end. The block has ages, a cycle clock that
is put back, and cycles counted round. Called with the same inputs, both must give the same
outputs in every call.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from hoistopt.exports import SequencerStep
from tests.helpers.block.block_preset import Presetting
from tests.helpers.block.block_state import LIST, LONGEST, Key, Load


@dataclass
class Model(Presetting):
    """One line in the hands of the rules."""

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
        self.missed, self.lifted = 0, {}
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
            if step.rest and self.now - self.lifted.get(step.place, -LONGEST) < self.ms(step.rest):
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
        back = min(late, reserve[1] if what == "end" else reserve[1] // 2)
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
        self.lifted[step.pick] = self.now
        self.should_end = self.origin + self.ms(step.start + step.move)
        self.shown |= {"StepNo": step.step, "PickStation": step.pick, "PlaceStation": step.place,
                       "Drip_ms": self.ms(step.drip)}  # fmt: skip
        self._advance()
