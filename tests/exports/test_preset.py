"""The function block switched on with loads in the tanks, and what it refuses to believe."""

from __future__ import annotations

from typing import Any

import pytest

from tests.helpers.block.late_block import cycle_of, overstays, steady, too_short
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import plant
from tests.helpers.usual import each

ALL_LINES = pytest.mark.parametrize("line", ["dryer", "crowded", "returning"])


def restarted(line: str, share: float, off: int = 0) -> Plant:
    """A full line switched off for a while when the hoist next carries nothing, and on again."""
    running = plant(line)
    running.run(steady(running, line) + int(share * cycle_of(running)))
    while running.moving is not None:
        running.run(running.now + 100)
    running.now += off
    running.called = running.now
    running.restart()
    return running


@ALL_LINES
@pytest.mark.parametrize("share", each(3, [0.0, 0.43, 0.77, 0.21, 0.6, 0.95]))
def test_goes_on_from_what_stands_in_the_tanks(line: str, share: float) -> None:
    running = restarted(line, share)
    standing = sum(len(running.standing[n]) for n in running.names if running._counts(n))
    since = running.now
    running.run(since + 200)
    machine = running.machine
    assert machine["PresetOk"]
    assert (machine["PresetFault"], machine["TableFault"]) == (0, 0)
    running.run(since + 6 * cycle_of(running))
    lifted = [stay for stay in running.stays if stay.since <= since < stay.until]
    assert len(lifted) == standing > 0
    assert not too_short(running)
    for stay in running.stays:
        if stay.too_long:
            # It stood there when power came back, and was named before it passed its maximum.
            assert stay.since <= since
            assert (stay.station, stay.step) in {(n, s) for t, n, s in running.alarms if t >= since}
    assert len(running.started) > 3 * len(running.table.steps)


def test_a_long_time_without_power_is_told_by_the_alarms() -> None:
    running = restarted("dryer", 0.3, off=3_600_000)
    since = running.now
    running.run(since + 5 * cycle_of(running))
    assert running.machine["PresetOk"]
    assert overstays(running)
    named = {(station, step) for _, station, step in running.alarms}
    assert {(s.station, s.step) for s in running.stays if s.too_long} <= named
    assert not [s for s in running.stays if s.too_long and s.since > since]


FAULTS: dict[str, tuple[int, int, dict[str, Any]]] = {
    "none listed": (1, 0, {"PresetLoads": 0}),
    "too many": (1, 0, {"PresetLoads": 41}),
    "no such station": (2, 1, {"PresetStation": {1: 9}}),
    "no such stage there": (2, 2, {"PresetStage": {2: 7}}),
    "no such recipe": (2, 1, {"PresetRecipe": {1: 2}}),
    "one too many": (3, 4, {"PresetLoads": 4, "PresetStation": {4: 1}, "PresetStage": {4: 1},
                            "PresetRecipe": {4: 1}, "PresetAge_ms": {4: 0}}),
    "age below 0": (4, 3, {"PresetAge_ms": {3: -1}}),
    "age beyond all times": (4, 1, {"PresetAge_ms": {1: 400_000_001}}),
    "not there": (5, 2, {"CarrierAt": {2: False}}),
    "not listed": (6, 0, {"PresetLoads": 2}),
}  # fmt: skip


@pytest.mark.parametrize("case", FAULTS)
def test_a_preset_that_makes_no_sense_starts_nothing(case: str) -> None:
    fault, entry, changes = FAULTS[case]
    running = plant("dryer")
    machine, model = running.machine, running.model
    assert model is not None
    tanks = {1: 1, 2: 3, 3: 4}  # station and stage: wash, rinse, dryer
    given: dict[str, Any] = {
        "Reset": True, "Preset": True, "Enable": True, "AdmitLoads": True, "HoldClock": False,
        "Elapsed_ms": 100, "HoistIdle": True, "HoistAt": 0, "MoveDone": False,
        "CarrierRemoved": False, "PresetLoads": 3,
        "CarrierAt": {n: n in (0, 1, 2, 4) for n in running.names},
        "PlaceFreeAt": {n: n == 3 for n in running.names},
        "LoadReleasedAt": {n: int(n == 0) for n in running.names},
        "PresetStation": {1: 1, 2: 2, 3: 4}, "PresetRecipe": {1: 1, 2: 1, 3: 1},
        "PresetStage": dict(enumerate(tanks.values(), start=1)),
        "PresetAge_ms": {1: 20_000, 2: 10_000, 3: 30_000},
    }  # fmt: skip
    right = {name: dict(v) if isinstance(v, dict) else v for name, v in given.items()}
    for name, value in changes.items():
        given[name] = given[name] | value if isinstance(value, dict) else value
    for inputs, expected in ((right, (0, 0)), (given, (fault, entry))):
        calls = [inputs, *[inputs | {"Reset": False}] * 10]
        for call in calls:
            machine.call(Table=machine["Table"], **call)
            running._compare_with(call)
        assert (machine["PresetFault"], machine["PresetEntry"]) == expected
        assert machine["PresetOk"] == (expected == (0, 0))
    assert not machine["StartMove"]
    assert not machine["GoToPick"]
