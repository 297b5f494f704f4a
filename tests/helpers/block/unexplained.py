"""What must not follow from a story, whatever has happened: loads out of window and alarms."""

from __future__ import annotations

from collections.abc import Iterator

from tests.helpers.block.plant import Plant, Stay
from tests.helpers.block.stories import Story


def unexplained(found: Story) -> Iterator[str]:
    """Whatever the story does not explain."""
    plant, table = found.plant, found.line.table
    for stay in plant.stays:
        least = table.steps[stay.step - 1].least
        if stay.dwell < least:
            yield f"{stay}: shorter than {least}"
        if stay.too_long and not _alarmed(plant, stay):
            yield f"{stay}: no alarm"
        if found.single and stay.too_long and not _of_the_delay(found, stay):
            yield f"{stay}: set down after the delay and yet too long"
    for time, station, step in plant.alarms:
        if not _justified(found, time, station, step):
            yield f"alarm at {time} of station {station}, step {step}: no load too long"


def _of_the_delay(found: Story, stay: Stay) -> bool:
    """Whether a single delay explains a load out of window.

    It stood in a tank then. Where the line was not full, the steps left out make loads late
    less than the limits count on: one more may be too long, within the two cycles after.
    """
    if found.delayed_from is None or found.delayed_to is None:
        return False
    resumed = _resumed(found, found.delayed_to)
    if stay.since <= resumed:
        return True
    before = found.delayed_from - found.cycle
    served = sum(before <= now < found.delayed_from for _, now in found.plant.started)
    full = served >= len(found.line.table.steps)
    return not full and stay.until <= resumed + 2 * found.cycle


def _resumed(found: Story, late: int) -> int:
    """The first start after the delay."""
    return next((now for _, now in found.plant.started if now >= late), late)


def _alarmed(plant: Plant, stay: Stay) -> bool:
    return any(
        time <= stay.until
        and stay.since <= plant.until[number]
        and (station, step) == (stay.station, stay.step)
        for number, (time, station, step) in enumerate(plant.alarms)
    )


def _justified(found: Story, time: int, station: int, step: int) -> bool:
    """Whether a load that stood there was lifted too late, or never by the block.

    While the block waits for a carrier that is gone, all loads after it wait with it, until
    somebody confirms that it is.
    """
    plant = found.plant
    lifts = [s for s in plant.stays if (s.station, s.step) == (station, step) and s.until >= time]
    if any(stay.too_long for stay in lifts if stay in lifts[:1] or stay.since <= time):
        return True
    until = lifts[0].until if lifts else plant.now
    gone = any(at <= until for at, number in found.removed if number == station)
    forgot = any(time <= at <= until for at in found.restarted)
    awaited = any(wait and wait[0] <= time <= wait[-1] for wait in found.missed)
    return gone or forgot or awaited or not lifts
