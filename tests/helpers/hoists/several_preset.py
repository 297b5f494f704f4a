"""How blocks of several hoists begin with loads in the line: what should come of it, and doing so.

What each hoist has made is found as a set: all that is planned before the step that comes next,
less what waits for something outside the set, over and over. The blocks go there motion by
motion.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from hoistopt.exports.several import HoistMotion, SeveralTable
from tests.helpers.block.st_machine import Machine
from tests.helpers.hoists.several_model import TrackModel

Loads = Sequence[tuple[int, int]]
"""Of every load that stands: the step that lifts it, and for how long it has stood, in ms."""


@dataclass(frozen=True)
class Due:
    """A load that can stand: who lifts it in which of its cycles, and who set it down."""

    motion: HoistMotion
    hoist: int
    cycle: int

    @property
    def key(self) -> tuple[int, int]:
        assert self.motion.fed_by is not None
        return self.motion.fed_by, self.cycle - self.motion.boundaries


class Place:
    """Where in the cycle a line with a table stands if a step comes next.

    Attributes
    ----------
    made : dict
        By hoist: motions made since the beginning of its cycle 0; may be below 0.
    since : int
        When the step is planned, in ms.
    """

    def __init__(self, table: SeveralTable, step: int, made: dict[int, int] | None = None) -> None:
        self.table, self.per = table, table.unit.milliseconds
        self.motions = {hoist.number: hoist.motions for hoist in table.hoists}
        self.hoist_of = {m.step: h.number for h in table.hoists for m in h.motions if m.step}
        self.since = table.steps[step - 1].planned * self.per
        self.made = dict(made or {h: self._planned_before(h) for h in self.motions})
        while any(self._leaves_out(h) for h in self.motions):
            pass

    def time(self, hoist: int, number: int) -> int:
        """When a motion is planned, in ms."""
        turn, place = divmod(number, len(self.motions[hoist]))
        return (self.motions[hoist][place].planned + turn * self.table.cycle) * self.per

    def _planned_before(self, hoist: int) -> int:
        first = -20 * len(self.motions[hoist])
        return next(n for n in range(first, -first) if self.time(hoist, n) >= self.since)

    def _leaves_out(self, hoist: int) -> bool:
        """Take out of what a hoist has made what waits for something that is not made."""
        count = len(self.motions[hoist])
        for number in range(self.made[hoist] - count, self.made[hoist]):
            for one in self.motions[hoist][number % count].releases:
                others = len(self.motions[one.hoist])
                if (number // count - one.cycles) * others + one.motion > self.made[one.hoist]:
                    self.made[hoist] = number
                    return True
        return False

    def next_cycle(self, motion: HoistMotion, hoist: int) -> int:
        """In which cycle of its hoist a motion comes next."""
        return -((motion.motion - 1 - self.made[hoist]) // len(self.motions[hoist]))

    def due(self) -> Iterator[Due]:
        """What can stand, of each step in the order in which it is lifted."""
        for hoist, motions in self.motions.items():
            for motion in motions:
                if motion.fed_by is None:
                    continue
                feeder = self.table.steps[motion.fed_by - 1]
                after = self.next_cycle(feeder, self.hoist_of[feeder.step]) + motion.boundaries
                for cycle in range(self.next_cycle(motion, hoist), after):
                    yield Due(motion, hoist, cycle)

    def lifted(self, due: Due) -> int:
        """When it is planned to be lifted."""
        return (due.motion.planned + due.cycle * self.table.cycle) * self.per

    def stood(self, due: Due) -> int:
        """For how long it has stood by plan when the clock begins.

        Below 0 if a hoist is then on its way with it: what is on its way counts as over.
        """
        feeder, cycle = self.table.steps[due.key[0] - 1], due.key[1]
        down = feeder.planned + feeder.lasts + cycle * self.table.cycle
        return self.begins(()) - down * self.per

    def chosen(self, loads: Loads) -> list[tuple[Due, int]]:
        """Which of them each load is: of one step the oldest first."""
        found, dues = [], list(self.due())
        for step in sorted({step for step, _ in loads}):
            can = [due for due in dues if due.motion.step == step]
            ages = sorted((age for name, age in loads if name == step), reverse=True)
            assert len(ages) <= len(can)
            for left, age in zip(range(len(ages) - 1, -1, -1), ages, strict=True):
                least = can[0].motion.least * self.per
                while len(can) > left + 1 and age + self.lifted(can[0]) - self.since < least:
                    del can[0]
                found.append((can.pop(0), age))
        return found

    def begins(self, chosen: Sequence[tuple[Due, int]]) -> int:
        """The clock when the line begins: none late, and none lifted too soon."""
        first = min(self.time(h, number) for h, number in self.made.items())
        soon = [self.lifted(d) + age - d.motion.least * self.per for d, age in chosen]
        return min([first, *soon])


def begin(
    model: TrackModel, step: int, loads: Loads, waited: int, made: dict[int, int] | None = None
) -> None:
    """Have the model of the blocks begin there, a time after the blocks were told."""
    place = Place(model.table, step, made)
    chosen = place.chosen(loads)
    model.begun = True
    model.left, model.arrived = dict(place.made), dict(place.made)
    model.left_at = dict.fromkeys(place.made, model.now)
    model.holds, model.can_stand = {}, dict.fromkeys(place.made, 400_000_000)
    model.loads = {due.key: model.now - age - waited for due, age in chosen}
    model.inside, model.lost, model.drift_since, model.put_back = len(loads), 0, None, 0
    model.counted = place.begins([(due, age + waited) for due, age in chosen])
    for hoist in model.hoists:
        hoist.begins_at(place.made[hoist.number])


def begin_list(model: TrackModel, loads: Loads) -> None:
    """Have the model begin a list that is run once, with loads that stand."""
    hoists, per = model.table.hoists, model.per
    numbers = [hoist.number for hoist in hoists]
    model.begun = True
    model.left, model.arrived = dict.fromkeys(numbers, 0), dict.fromkeys(numbers, 0)
    model.left_at = dict.fromkeys(numbers, model.now)
    model.holds, model.can_stand = {}, dict.fromkeys(numbers, 400_000_000)
    model.loads = {(step, -1): model.now - age for step, age in loads}
    model.inside = len(loads)
    lifted = {motion.step: motion for motion in model.table.once}
    soon = [(lifted[step].planned - lifted[step].least) * per + age for step, age in loads]
    model.counted = min([*(hoist.once[0].planned * per for hoist in hoists), *soon])


def told(
    table: SeveralTable,
    blocks: dict[int, Machine],
    line: dict[str, Any],
    given: dict[int, dict[str, Any]],
    step: int,
    loads: Loads,
    waits: int = 0,
    over: dict[str, Any] | None = None,
    made: dict[int, int] | None = None,
) -> int:
    """Tell the blocks and call them until they have begun, or say what is wrong; the time it took.

    Parameters
    ----------
    given : dict
        By hoist: inputs, and its table and the line.
    waits : int
        For how long the hoists are brought to where they go on, in ms.
    over : dict, optional
        Inputs that are told instead of what is right; of arrays the elements that are.
    made : dict, optional
        What each hoist has made since the beginning of its cycle 0, where that is told as well.
    """
    ages = dict(enumerate((age for _, age in loads), start=1))
    steps = dict(enumerate((name for name, _ in loads), start=1))
    passed = 0
    counts = {hoist.number: len(hoist.motions) for hoist in table.hoists}
    for scan in range(400):
        elapsed = waits if line["Phase"] == 6 and line["Agreed"] < len(blocks) else 0
        passed, waits = passed + elapsed, waits - elapsed
        there = waits == 0 and line["Phase"] == 6
        for number, block in blocks.items():
            at = block.values["StartPlace"] if there else -1
            preset: dict[str, Any] = {
                "NextStep": step, "PresetLoads": len(loads),
                "PresetStep": steps, "PresetAge_ms": ages,
            }  # fmt: skip
            if made is not None:
                preset["CyclesAhead"], place = divmod(made[number], counts[number])
                preset["NextMotion"] = place + 1
            for name, value in (over or {}).items():
                known = preset.get(name)
                preset[name] = {**known, **value} if isinstance(value, dict) else value
            block.call(
                **given[number], **preset, Reset=not scan, Preset=True, Elapsed_ms=elapsed,
                HoistIdle=True, HoistAt=at, MoveDone=False, CarrierRemoved=False,
                Enable=True, HoldClock=False, AdmitLoads=True,
            )  # fmt: skip
            assert not any(block.values[name] for name in ("StartMove", "GoTo", "MayTravel"))
        if all(block.values["PresetFault"] for block in blocks.values()) or line["Phase"] == 7:
            return passed
    raise AssertionError("the blocks never begin")
