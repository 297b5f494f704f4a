"""Random stories of several hoists: what is late, and what must not follow from it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from random import Random

from hoistopt.exports.several import SeveralTable
from hoistopt.problem import Problem
from tests.helpers.hoists.several_model import TrackModel
from tests.helpers.hoists.several_plant import SeveralPlant
from tests.helpers.hoists.several_preset import Place

CYCLES = 7
PHASES = ("rest", "lift", "way", "lower")


def story(
    problem: Problem, table: SeveralTable, seed: int, presets: bool = False
) -> tuple[SeveralPlant, list[str]]:
    """A plant after a story drawn from a seed, and what it was; `presets`: loads stand first."""
    rng = Random(f"several {seed}")
    cycle = table.cycle * table.unit.milliseconds
    counts = {hoist.number: len(hoist.motions) for hoist in table.hoists}
    delays: dict[tuple[int, int, str], int] = {}
    for _ in range(rng.choice((1, 1, 2, 4, 8))):
        hoist = rng.choice(list(counts))
        number = rng.randrange(CYCLES * counts[hoist] * 2 // 3)
        length = int(cycle * 2 * rng.random() ** 3) + rng.randrange(3000)
        delays[hoist, number, rng.choice(PHASES)] = length
    told = [f"hoist {h}, motion {n} from the start, {p}: {ms} ms more"
            for (h, n, p), ms in sorted(delays.items())]  # fmt: skip
    spans: list[tuple[int, int]] = []
    if rng.random() < 0.3:
        since = rng.randrange(CYCLES * cycle // 2)
        spans.append((since, since + int(2 * cycle * rng.random())))
        told.append(f"no load from {spans[0][0]} to {spans[0][1]}")
    start = _loads_at_first(table, rng) if presets else None
    if start is not None:
        told.append(f"step {start[0]} is next, by step and ms there stand {start[1]}")
    plant = SeveralPlant(
        problem,
        table,
        longer=lambda hoist, number, phase: delays.get((hoist, number, phase), 0),
        release=lambda now: not any(a <= now < b for a, b in spans),
        events=tuple(time for span in spans for time in span),
        twin=TrackModel(table),
        start=start,
    )
    plant.run(CYCLES * cycle + sum(delays.values()) + sum(b - a for a, b in spans))
    return plant, told


def _loads_at_first(
    table: SeveralTable, rng: Random
) -> tuple[int, list[tuple[int, int]], dict[int, int] | None]:
    """A step that comes next, and some of the loads that can stand, about as old as planned."""
    step = rng.randint(1, len(table.steps))
    place, cycle = Place(table, step), table.cycle * table.unit.milliseconds
    made = None
    if rng.random() < 0.5:
        # Some hoists are behind the plan, and others wait for them.
        behind = {hoist: number - rng.randrange(6) for hoist, number in place.made.items()}
        place = Place(table, step, behind)
        made = place.made
    wrong = rng.choice((0.0, 0.02, 0.2))
    found = [
        (due.motion.step, max(0, place.stood(due) + int(cycle * wrong * rng.uniform(-1, 1))))
        for due in place.due()
        if rng.random() < 0.8
    ]
    return step, rng.sample(found, len(found)), made


def unexplained(plant: SeveralPlant) -> Iterator[str]:
    """What no story explains."""
    yield from unexplained_at_all(plant)
    cycle = plant.table.cycle * plant.table.unit.milliseconds
    late = plant.now - 2 * cycle
    for hoist in plant.hoists:
        if not any(number == hoist.number and now > late for now, number, _ in plant.starts):
            yield f"hoist {hoist.number} has not moved for two cycles"


def unexplained_at_all(plant: SeveralPlant) -> Iterator[str]:
    """The same but for hoists that stand still, as they do after a list."""
    if plant.closest < -1e-6:
        yield f"too close by {-plant.closest:.4f}: {plant.where}"
    yield from _stays(plant)


def _stays(plant: SeveralPlant) -> Iterator[str]:
    for step, station, dwell, now, too_long in plant.stays:
        since = now - dwell
        raised = _between(plant.alarms, station, step, since, now)
        if too_long and not raised:
            yield f"step {step} lifts after {dwell} ms at station {station}, without an alarm"
        if raised and not too_long:
            yield f"alarm of station {station}, step {step}, but the load did not stand too long"


def _between(
    alarms: Sequence[tuple[int, int, int]], station: int, step: int, since: int, until: int
) -> bool:
    return any(
        (place, named) == (station, step) and since < now <= until for now, place, named in alarms
    )
