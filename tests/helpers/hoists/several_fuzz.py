"""Blocks of several hoists, and their model, with inputs drawn at random.

The hoists do as they are told, but take as long as they like; carriers vanish and are taken out
by hand, loads come late, motions are disabled, clocks held, and power is off: then all begins
afresh. Nothing keeps tanks from being overfull, so more can happen here than on any line.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any

from hoistopt.exports.several import SeveralTable
from tests.helpers.hoists.several_blocks import machines, tables
from tests.helpers.hoists.several_model import TrackModel

ELAPSED = (0, 1, 40, 300, 1000, 1000, 2000, 5000)


@dataclass
class Arm:
    """Where a hoist is, as it tells its block."""

    at: int
    moving: bool = False
    carries: bool = False
    done: bool = False


def compared(table: SeveralTable, seed: int, scans: int) -> int:
    """Call blocks and model beside each other; the number of calls in which they agreed."""
    rng = Random(f"fuzz {seed}")
    blocks, line = machines(table)
    variables, model = tables(table), TrackModel(table)
    arms = {hoist.number: Arm(hoist.motions[0].start) for hoist in table.hoists}
    stations = [number for number, _ in table.stations]
    often = rng.choice((0.0, 0.01, 0.1))
    """How likely each disturbance is in a scan."""
    count = 0
    for scan in range(scans):
        odd = {name: rng.random() < often for name in ("hold", "closed", "none", "reset")}
        odd["reset"] &= rng.random() < 0.1
        shared = {
            "Elapsed_ms": rng.choice(ELAPSED), "Reset": odd["reset"], "HoldClock": odd["hold"],
            "AdmitLoads": not odd["closed"],
        }  # fmt: skip
        if odd["reset"]:
            arms = {hoist.number: Arm(hoist.motions[0].start) for hoist in table.hoists}
        for hoist, twin in zip(table.hoists, model.hoists, strict=True):
            arm, block = arms[hoist.number], blocks[hoist.number]
            _moves(arm, block.values, rng)
            given = {
                **shared,
                "Enable": rng.random() >= often,
                "HoistIdle": not arm.moving,
                "HoistAt": arm.at,
                "MoveDone": arm.done,
                "CarrierRemoved": rng.random() < often,
                "CarrierAt": {n: rng.random() >= often for n in stations},
                "PlaceFreeAt": {n: rng.random() >= often for n in stations},
                "LoadReleasedAt": dict.fromkeys(stations, 0 if odd["none"] else 1),
            }
            block.call(Table=variables[hoist.number], Line=line, **given)
            where = f"seed {seed}, scan {scan}, hoist {hoist.number}"
            _agree(block.values, line, twin.call(given), model, where)
            count += 1
    return count


def _moves(arm: Arm, told: dict[str, Any], rng: Random) -> None:
    """What the hoist has done since the last scan."""
    arm.done = False
    if not arm.moving and (told["StartMove"] or told["GoTo"]) and told["State"]:
        arm.moving, arm.carries = True, told["StartMove"]
    elif arm.moving and rng.random() < 0.5:
        if arm.at == told["StartPlace"] and told["MayTravel"] and not told["Gone"]:
            arm.at = -1
        elif arm.at == -1 and not told["MustStop"]:
            arm.at = told["EndPlace"]
        elif arm.at == told["EndPlace"] and told["Come"]:
            arm.moving, arm.done = False, arm.carries


def _agree(
    values: dict[str, Any],
    line: dict[str, Any],
    wanted: dict[str, Any],
    model: TrackModel,
    where: str,
) -> None:
    for name, value in wanted.items():
        assert values[name] == value, f"{where}: {name} {values[name]}, not {value}"
    for number in model.arrived:
        signals = line["Arrived"][number], line["Left"][number]
        assert signals == (model.arrived[number], model.left[number]), where
