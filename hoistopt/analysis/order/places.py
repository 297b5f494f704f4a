"""Which carrier is where in a given order: places that would have to hold too many."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ...base.text import listed
from ...problem import Problem
from ...schedule import Step
from .reading import Reading


def place_faults(problem: Problem, steps: Sequence[Step]) -> list[str]:
    """Stations that must hold more carriers than they can, whatever the times.

    Going round and round the steps, every station has to lift as many carriers as are
    set down there, and never holds more than its capacity.

    Returns
    -------
    list of str
        A sentence for each station at fault.
    """
    by_hoist = problem.carriers.return_ == "hoist"
    found: list[str] = []
    for station in problem.stations:
        stands = station.kind not in ("load", "unload") or by_hoist
        if station.capacity == "unlimited" or not stands:
            continue
        events = [
            (number, change)
            for number, step in enumerate(steps)
            for name, change in ((step.source, -1), (step.target, 1))
            if name == station.name
        ]
        found += _too_many(station.name, station.capacity, events)
    return found


def _too_many(name: str, capacity: int, events: list[tuple[int, int]]) -> Iterator[str]:
    """Where the count of a station swings by more than it holds."""
    held, lowest, since = 0, 0, 0
    # Twice round, so that a swing across the restart of the cycle is seen as well.
    for place, (number, change) in enumerate(events * 2):
        held += change
        if held <= lowest:
            lowest, since = held, place + 1
        if held - lowest <= capacity:
            continue
        down = [other + 1 for other, way in (events * 2)[since : place + 1] if way > 0]
        if capacity == 1:
            yield (
                f"Step {number + 1} sets a carrier down in {name}, where the one that step "
                f"{down[-2]} set down still stands."
            )
        else:
            yield (
                f"Step {number + 1} sets a carrier down in {name}, whose {capacity} places are "
                f"still taken by carriers that were set down there before."
            )
        return


def lifted_elsewhere(reading: Reading) -> list[str]:
    """Carriers lifted in another place than they were set down in.

    For orders in which every move is one step.
    """
    found = []
    for stay in reading.instance.stays:
        comes, leaves = reading.options[stay.arrival][0], reading.options[stay.departure][0]
        down, up = reading.steps[comes].target, reading.steps[leaves].source
        if down != up:
            found.append(
                f"Step {comes + 1} sets a carrier down in {down}, but step {leaves + 1} lifts it "
                f"in {up}."
            )
    return found


def mixed_up(reading: Reading) -> list[str]:
    """Carriers lifted under which another stands.

    For orders in which every move is one step, in places for one carrier.
    """
    found = []
    step_of = [options[0] for options in reading.options]
    steps, count = reading.steps, len(reading.steps)
    for stay in reading.instance.stays:
        comes, leaves = step_of[stay.arrival], step_of[stay.departure]
        name = steps[comes].target
        for other in reading.instance.stays:
            lifts = step_of[other.departure]
            between = 0 < (lifts - comes) % count < (leaves - comes) % count
            if other.index != stay.index and steps[lifts].source == name and between:
                found.append(
                    f"Step {lifts + 1} lifts a carrier at {name}, but the one there, set down by "
                    f"step {comes + 1}, has to go on to {steps[leaves].target}."
                )
    return found


def entering_fault(reading: Reading) -> list[str]:
    """Loads that enter in another order than the line's, where the table tells recipes."""
    instance = reading.instance
    if not instance.order_given:
        return []
    by_step: dict[int, set[str]] = {}
    for first in instance.first_moves:
        for step in reading.options[first]:
            by_step.setdefault(step, set()).add(instance.recipes[instance.moves[first].job])
    if any(len(recipes) > 1 for recipes in by_step.values()):
        return []
    seen = [next(iter(by_step[step])) for step in sorted(by_step)]
    asked = list(instance.recipes)
    if any(seen == asked[turn:] + asked[:turn] for turn in range(len(asked))):
        return []
    return [f"Loads enter in the order {listed(seen)}, but the line asks for {listed(asked)}."]
