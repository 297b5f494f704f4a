"""A line for the function block to run: one hoist, stations, carriers, an operator.

It knows the exact move and travel times and nothing of the schedule. Time is in ms; it
goes from event to event, so that the block is called whenever something happens.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy, deepcopy
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Any

from hoistopt.exports import SequencerStep, SequencerTable
from hoistopt.problem import Problem
from tests.helpers.block.block_model import Model
from tests.helpers.block.plant_facts import facts_of
from tests.helpers.block.st_machine import Machine

LONGEST_SCAN = 1000
OUTPUTS = (
    "StartMove", "StepNo", "PickStation", "PlaceStation", "Drip_ms", "GoToPick", "NextStep",
    "NextPick", "Clock_ms", "CycleNo", "LoadsInLine", "Late", "Drift", "LostTime_ms", "Alarm",
    "AlarmStep", "AlarmStation", "Overstay", "CarrierMissing", "PlaceBlocked", "RunOutDone",
    "TableFault", "PresetOk", "PresetFault", "PresetEntry", "InList", "ListMissed",
)  # fmt: skip
BY_STATION = ("AlarmStepAt", "OverstayAt", "DwellAt_ms")
shown_by = itemgetter(*OUTPUTS, *BY_STATION)


@dataclass
class Carrier:
    """What stands in a station: since when, and what it is, as the operator sees it."""

    since: int
    set_by: int | None
    recipe: int
    stage: int


@dataclass
class Stay:
    """A dwell as it was; `least` and `most` are the recipe's, to the ms."""

    step: int
    station: int
    since: int
    until: int
    least: int
    most: int | None

    @property
    def dwell(self) -> int:
        return self.until - self.since

    @property
    def too_long(self) -> bool:
        return self.most is not None and self.dwell > self.most


@dataclass
class Plant:
    """The line and its operator.

    What the operator does is told by functions of time; `events` are the times at which
    one of them changes.

    Attributes
    ----------
    standing : dict
        By station: the carriers there.
    started : list of (int, int)
        Step and time of every lift.
    stays : list of Stay
        Dwell before the lift, by the step that lifted.
    rested : list of (int, int, int)
        At places that rest: station, time it was empty, and the least it should be.
    alarms : list of (int, int, int)
        When an alarm came up, at which station, and the step it names.
    model : Model, optional
        What the block's outputs must be in every call.
    """

    machine: Machine
    problem: Problem
    table: SequencerTable
    admit: Callable[[int], bool] = lambda now: True
    enable: Callable[[int], bool] = lambda now: True
    hold: Callable[[int], bool] = lambda now: False
    hoist_ready: Callable[[int], bool] = lambda now: True
    release: Callable[[int], bool] = lambda now: True
    confirm: Callable[[int], bool] = lambda now: False
    blocked: Callable[[int, int], bool] = lambda now, station: False
    slower: Callable[[int, int], int] = lambda now, step: 0
    slower_empty: Callable[[int], int] = lambda now: 0
    events: tuple[int, ...] = ()
    model: Model | None = None
    scan: int = LONGEST_SCAN
    now: int = 0
    called: int = 0
    started: list[tuple[int, int]] = field(default_factory=list)
    stays: list[Stay] = field(default_factory=list)
    seen: list[tuple[int, dict[str, Any]]] = field(default_factory=list)
    rested: list[tuple[int, int, int]] = field(default_factory=list)
    alarms: list[tuple[int, int, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        facts = facts_of(self.problem, self.table)
        self.names, self.stations, self.windows = facts.names, facts.stations, facts.windows
        self.moving_time, self.empty = list(facts.moving_time), facts.empty
        self.end_stay, self.rest, self.places = facts.end_stay, facts.rest, facts.places
        self.loading, self.taken_away = facts.loading, facts.taken_away
        self.left_at: dict[int, int] = {}
        self.standing: dict[int, list[Carrier]] = {number: [] for number in self.names}
        self.listed = [step.recipe for step in self.table.once if step.fed_by is None]
        self.loads = [step.recipe for step in self.table.steps if step.fed_by is None]
        self.loaded = 0
        self.at = self.rows[0].pick
        self.idle_from = 0
        self.left: int | None = None  # what is left of a motion while it stands still
        self.to: int | None = None
        self.moving: int | None = None
        self.alarmed: dict[int, int] = {}
        self.raised: dict[tuple[int, int], int] = {}
        self.until: dict[int, int] = {}  # when an alarm of the list was last up
        self.preset: dict[str, Any] | None = None
        self.reset = False

    @property
    def rows(self) -> tuple[SequencerStep, ...]:
        """The steps of the list, then those of the cycle."""
        return self.table.rows

    @property
    def clock(self) -> int:
        return self.machine["Clock_ms"]

    # -- time ---------------------------------------------------------------------

    def run(self, until: int) -> None:
        """Call the block up to a time."""
        self.now = min(self.now, until)
        while True:
            self._call(self.now - self.called)
            self.called = self.now
            if self.now == until:
                return
            self.now = min(self._next(), until)

    def _next(self) -> int:
        """When something will next happen that the block may wait for."""
        under_way = self.moving is not None or self.to is not None
        values = self.machine.values
        presetting = values["Presetting"] and not values["PresetFault"]
        if values["JustDone"] or values["Fresh"] or presetting:
            return self.now  # the next call follows at once
        standing_still = self.left is not None
        if under_way and not standing_still and self.idle_from <= self.now:
            return self.now  # a way of no length
        now = self.now
        found = self.scan
        if under_way and not standing_still:
            found = min(found, self.idle_from - now)
        elif not self.hold(self.now) and not (values["LineEmpty"] and not values["Committed"]):
            step, per = self.rows[values["Current"] - 1], self.table.unit.milliseconds
            clock = values["Clock_ms"]
            latest = step.clock_limit if values["Current"] <= len(self.table.once) else step.latest
            moments = [step.start * per, (latest - step.approach) * per]
            moments += [step.latest * per + 1, latest * per + 1]
            if step.alarm is not None:
                moments.append(step.alarm * per + 1)
            if step.fed_by and values["Due"]:
                age = values["Age"][values["Feeder"], values["FedSlot"]]
                moments.append(clock + step.least * per - age)
            if step.rest:
                moments.append(clock + step.rest * per - values["SinceLift"][step.place])
            found = min([found, *(m - clock for m in moments if m > clock)])
        for event in self.events:
            if now < event < now + found:
                found = event - now
        for number, carriers in self.standing.items():
            stay = self.end_stay[number]
            if stay:
                for carrier in carriers:
                    if now < carrier.since + stay < now + found:
                        found = carrier.since + stay - now
        return now + found

    def fork(self) -> Plant:
        """The same line at the same moment, to go on by itself."""
        other = copy(self)
        other.machine = self.machine.fresh()
        fixed = (self.table, self.table.steps, *self.table.steps)
        other.model = deepcopy(self.model, {id(part): part for part in fixed})
        for name in ("standing", "alarmed", "raised", "until", "preset", "left_at"):
            setattr(other, name, deepcopy(getattr(self, name)))
        for name in ("started", "stays", "seen", "alarms", "moving_time", "loads", "rested"):
            setattr(other, name, list(getattr(self, name)))
        return other

    def restart(self) -> None:
        """Switch the block off and on: it forgets all but what the operator tells it.

        What the hoist carries has been set down; where it was going without a load it goes
        by hand.
        """
        assert self.moving is None
        if self.to is not None:
            self.at, self.to, self.idle_from, self.left = self.to, None, self.now, None
        per_stage = [
            (number, carrier)
            for number, carriers in self.standing.items()
            for carrier in sorted(carriers, key=lambda c: c.since)
            if self._counts(number)
        ]
        self.reset, self.alarmed = True, {}
        if per_stage:
            self.preset = {
                "Preset": True,
                "PresetLoads": len(per_stage),
                "PresetStation": {n: s for n, (s, _) in enumerate(per_stage, start=1)},
                "PresetRecipe": {n: c.recipe for n, (_, c) in enumerate(per_stage, start=1)},
                "PresetStage": {n: c.stage for n, (_, c) in enumerate(per_stage, start=1)},
                "PresetAge_ms": {
                    n: self.now - c.since for n, (_, c) in enumerate(per_stage, start=1)
                },
            }
        for carriers in self.standing.values():
            for carrier in carriers:
                carrier.set_by = None

    def _counts(self, number: int) -> bool:
        """Whether what stands there is lifted again by a step of the table."""
        return any(s.pick == number and s.fed_by is not None for s in self.rows)

    # -- one call -----------------------------------------------------------------

    def _call(self, elapsed: int) -> None:
        done = False
        if self.left is None and self.now >= self.idle_from:
            if self.moving is not None:
                self._set_down(self.moving)
                done, self.moving = True, None
            elif self.to is not None:
                self.at, self.to = self.to, None
        idle = self.moving is None and self.to is None and self.hoist_ready(self.now)
        now = self.now
        inputs: dict[str, Any] = {
            "Reset": self.reset,
            "Preset": False,
            "Enable": self.enable(now),
            "HoldClock": self.hold(now),
            "AdmitLoads": self.admit(now),
            "Elapsed_ms": elapsed,
            "HoistIdle": idle,
            "HoistAt": self.at,
            "MoveDone": done,
            "CarrierRemoved": self.confirm(now),
            "PlaceFreeAt": {n: self._free(n) and not self.blocked(now, n) for n in self.names},
            "CarrierAt": {number: self._carrier(number) for number in self.names},
            "LoadReleasedAt": {number: self._released(number) for number in self.names},
        }
        if self.reset:
            inputs |= self.preset or {}
        self.reset, self.preset = False, None
        self.machine.call(**inputs)
        self._compare_with(inputs)
        values = self.machine.values
        if not inputs["Enable"]:
            assert not values["StartMove"] and not values["GoToPick"]
        self._act(idle, done)
        self._watch()

    def _act(self, idle: bool, done: bool) -> None:
        values = self.machine.values
        if self.moving is None and self.to is None:
            if values["StartMove"]:
                assert not done, "StartMove has not fallen"
                self._lift(values["StepNo"] - 1)
            elif values["GoToPick"] and idle:
                self.to = values["NextPick"]
                self.idle_from = self.now + self.empty[self.at, self.to]
                self.idle_from += self.slower_empty(self.now)
            return
        if not values["Enable"] and self.left is None:
            self.left = max(0, self.idle_from - self.now)
        elif values["Enable"] and self.left is not None:
            self.idle_from, self.left = self.now + self.left, None

    def _compare_with(self, inputs: dict[str, Any]) -> None:
        """The model, called with the same inputs, has the same outputs."""
        if self.model is None:
            return
        values, right = self.machine.values, self.model.call(inputs)
        if shown_by(values) == shown_by(right):
            return
        for name in OUTPUTS:
            assert values[name] == right[name], (self.now, name, values[name], right[name])
        for name in BY_STATION:
            for number, wanted in right[name].items():
                found = values[name][number]
                assert found == wanted, (self.now, name, number, found, wanted)

    def _watch(self) -> None:
        values = self.machine.values
        now_alarmed = {n: s for n in self.names if (s := values["AlarmStepAt"][n])}
        for number, step in now_alarmed.items():
            if self.alarmed.get(number) != step:
                self.alarms.append((self.now, number, step))
                self.raised[number, step] = len(self.alarms) - 1
            self.until[self.raised[number, step]] = self.now
        self.alarmed = now_alarmed
        shown = ("Late", "Alarm", "Overstay", "CarrierMissing", "RunOutDone", "LoadsInLine",
                 "Drift", "PlaceBlocked")  # fmt: skip
        self.seen.append((self.now, {name: values[name] for name in shown}))

    # -- the hoist ----------------------------------------------------------------

    def _lift(self, number: int) -> None:
        step = self.rows[number]
        assert self.at == step.pick == self.machine["PickStation"]
        assert self.machine["PlaceStation"] == step.place
        self.started.append((step.step, self.now))
        self.moving = number
        self.idle_from = self.now + self.moving_time[number] + self.slower(self.now, number)
        if step.fed_by is None:
            self.loaded += 1
            self.standing[step.pick] = self.standing[step.pick][1:]
            return
        # In a bath where order does not matter, the one of this kind that came first.
        here = self.standing[step.pick]
        kind = [c for c in here if (c.recipe, c.stage) == (step.recipe, step.stage)]
        assert kind, f"step {step.step} lifts what is not there"
        known = [c for c in kind if c.set_by == step.fed_by]
        unknown = [c for c in kind if c.set_by is None]
        lifted = (unknown or known or kind)[0]
        here.remove(lifted)
        self.left_at[step.pick] = self.now
        window = self.windows[number]
        self.stays.append(Stay(step.step, step.pick, lifted.since, self.now, *window))

    def _set_down(self, number: int) -> None:
        step = self.rows[number]
        self.at = step.place
        self._free(step.place)
        if self.rest[step.place] and (left := self.left_at.get(step.place)) is not None:
            self.rested.append((step.place, self.now - left, self.rest[step.place]))
        by: int | None = step.step
        if step.step <= len(self.table.once) and step.feeds is not None:
            # Of the list, for the cycle: as if the step of the cycle had done it.
            lifted_by = self.rows[step.feeds - 1]
            by = lifted_by.fed_by if lifted_by.fed_by != lifted_by.step else by
        self.standing[step.place].append(Carrier(self.now, by, step.recipe, step.stage + 1))
        station = self.stations[step.place]
        assert station.capacity == "unlimited" or (
            len(self.standing[step.place]) <= station.capacity
        ), f"too many carriers in {station.name}"

    # -- sensors ------------------------------------------------------------------

    def _carrier(self, number: int) -> bool:
        return bool(self.standing[number]) or self.loading[number]

    def _free(self, number: int) -> bool:
        if self.taken_away[number] or (
            self.loading[number] and not (self.admit(self.now) and self.release(self.now))
        ):
            # The carrier is taken away when its time is up.
            least, here = self.end_stay[number], self.standing[number]
            self.standing[number] = [c for c in here if c.since + least > self.now]
        places = self.places[number]
        return places is None or len(self.standing[number]) < places

    def _released(self, number: int) -> int:
        if not self.loading[number] or not self.release(self.now):
            return 0
        if self.loaded < len(self.listed):
            return self.listed[self.loaded]
        return self.loads[(self.loaded - len(self.listed)) % len(self.loads)]
