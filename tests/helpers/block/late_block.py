"""What the tests of the function block share: plants, and what to ask of them."""

from __future__ import annotations

from functools import cache

from tests.helpers.block.plant import LONGEST_SCAN, Plant
from tests.helpers.block.sequenced import planned, plant

STEPS_OF_DRYER = range(1, 6)
SELDOM = 20_000
"""Longest time between two calls, in ms, where only what happens at events is asked: the plant
calls at every event by itself. Tests of what is shown meanwhile call every second."""


def cycle_of(line: Plant) -> int:
    return line.table.cycle * line.table.unit.milliseconds


def steady(line: Plant, name: str) -> int:
    """The start of a cycle in which the line is full."""
    return planned(name).steady_from * cycle_of(line)


def filled_line(name: str, scan: int = LONGEST_SCAN) -> Plant:
    """A line just before the first cycle in which it is full; run once for all who ask."""
    running = _filled(name).fork()
    running.scan = scan
    return running


@cache
def _filled(name: str) -> Plant:
    running = plant(name)
    running.run(steady(running, name) - 1)
    return running


def overstays(line: Plant) -> list[int]:
    """Steps that lifted a carrier after its recipe's maximum, by the plant's own clock."""
    return [stay.step for stay in line.stays if stay.too_long]


def too_short(line: Plant) -> list[int]:
    unit = line.table.unit.milliseconds
    least = {step.step: step.least for step in line.table.steps}
    return [stay.step for stay in line.stays if stay.dwell < least[stay.step] * unit]


def shown(line: Plant, name: str) -> list[int]:
    """Times at which an output was TRUE."""
    return [now for now, outputs in line.seen if outputs[name]]


def whole_run(name: str, until: int) -> list[tuple[int, int]]:
    """Step and time of every lift of an undisturbed line."""
    running = _undisturbed(name)
    if running.now < until:
        running.run(until)
    return [(step, now) for step, now in running.started if now <= until]


@cache
def _undisturbed(name: str) -> Plant:
    """One line for all who ask, run on as far as any of them needs."""
    return plant(name)
