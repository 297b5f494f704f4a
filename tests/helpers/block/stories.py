"""Random stories on random lines: what goes wrong, when, and what must not follow from it.

A story is drawn from a seed alone: which line, which disturbances, when and for how long. The
block's own text runs the plant, the model of it runs beside it, and the windows of the recipes
are held against what really happened.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from random import Random

import hoistopt
from hoistopt.base.errors import InputError
from hoistopt.exports import SequencerTable, sequencer_table
from hoistopt.problem import Problem
from tests.helpers.block.block_model import Model
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import refitted, returning, solved
from tests.reference.lines import FAMILIES

LINES = 50
CYCLES = 9


@dataclass(frozen=True)
class Line:
    """A random line with a schedule, its table in ms."""

    name: str
    problem: Problem
    table: SequencerTable


@cache
def lines() -> tuple[Line, ...]:
    """Fifty lines: one whose hoist returns the carriers, and the first random lines that have a
    schedule, families in turn."""
    found: list[Line] = []
    seed = 0
    while True:
        for family, draw in FAMILIES.items():
            if family == "resting":  # tests/exports has stories of its own for rests
                continue
            line = draw(seed)
            try:
                result = hoistopt.solve(line.problem, line.degree, workers=1, time_limit=10)
                if result.schedule is not None:
                    table = sequencer_table(line.problem, result.schedule, "ms", "list", 1)
                    found.append(Line(f"{family} {seed}", line.problem, table))
            except InputError:  # a window narrower than a tick
                continue
            if len(found) == LINES - 1:
                problem, schedule = solved(returning)
                table = sequencer_table(problem, schedule, "ms", "list", 1)
                return (*found, Line("returned by hoist", problem, table))
        seed += 1


@dataclass
class Story:
    """What happens to a plant, and what has happened to it."""

    line: Line
    rng: Random
    plant: Plant = field(init=False)
    told: list[str] = field(default_factory=list)
    single: bool = False
    restarts: list[int] = field(default_factory=list)
    removals: list[tuple[int, int]] = field(default_factory=list)
    by_hand: list[tuple[int, int]] = field(default_factory=list)
    delayed_from: int | None = None
    delayed_to: int | None = None

    def __post_init__(self) -> None:
        table = self.line.table
        self.cycle = table.cycle
        self.end = CYCLES * self.cycle
        self.plant = Plant(
            refitted(table), self.line.problem, table, model=Model(table),
            scan=max(1000, self.cycle // 8),
        )  # fmt: skip

    def moment(self) -> int:
        return self.rng.randrange(self.end * 3 // 4)

    def length(self, longest: float = 3) -> int:
        """A time up to so many cycles; short ones as often as long ones."""
        return int(self.cycle * longest * self.rng.random() ** 4) + self.rng.randrange(2000)

    def spans(self, count: int, longest: float = 3) -> list[tuple[int, int]]:
        found = []
        for _ in range(count):
            since = self.moment()
            found.append((since, since + self.length(longest)))
        self.plant.events += tuple(time for span in found for time in span)
        return found

    def run(self) -> Plant:
        """To the end, with restarts and removals at their times."""
        plant = self.plant
        acts: list[tuple[int, Callable[[int], None], int]] = [
            *((t, self._restart, 0) for t in self.restarts),
            *((t, self._remove, n) for t, n in self.removals),
            *((t, self._hand, n) for t, n in self.by_hand),
        ]
        for time, act, argument in sorted(acts, key=lambda a: a[0]):
            plant.run(max(plant.now, time))
            act(argument)
        plant.run(max(self.end, plant.now))
        return plant

    def _restart(self, _: int) -> None:
        """Power goes as soon as the hoist carries nothing: at the latest when it sets down."""
        plant = self.plant
        longest = plant.now + 2 * self.end
        while plant.moving is not None:
            assert plant.now < longest, "the hoist never sets down what it carries"
            # It stands still while the block is not enabled.
            plant.run(plant.now + 500 if plant.left is not None else plant.idle_from)
        plant.restart()
        self.restarted.append(plant.now)

    def _remove(self, choice: int) -> None:
        plant = self.plant
        single = [
            number
            for number, carriers in plant.standing.items()
            if len(carriers) == 1 == plant.stations[number].capacity
            and plant.stations[number].kind == "tank"
        ]
        if single:
            number = single[choice % len(single)]
            plant.standing[number].clear()
            self.removed.append((plant.now, number))

    def _hand(self, choice: int) -> None:
        plant = self.plant
        if plant.moving is None and plant.to is None:
            places = sorted({a for a, _ in plant.empty})
            plant.at = places[choice % len(places)]

    restarted: list[int] = field(default_factory=list)
    removed: list[tuple[int, int]] = field(default_factory=list)
    missed: list[list[int]] = field(default_factory=lambda: [[]])
    """Times at which the block waited for a carrier that was gone; a list for each wait."""


# -- what can happen ------------------------------------------------------------------------


def _within(spans: list[tuple[int, int]]) -> Callable[[int], bool]:
    return lambda now: any(a <= now < b for a, b in spans)


def stuck_move(story: Story) -> None:
    """One loaded move takes longer, by anything up to three cycles."""
    number, more = story.rng.randrange(1, 6 * len(story.line.table.steps)), story.length()
    plant = story.plant
    story.told.append(f"start {number} takes {more} ms more")

    def slower(now: int, _: int) -> int:
        if len(plant.started) != number:
            return 0
        story.delayed_from = now
        story.delayed_to = plant.now + plant.moving_time[plant.started[-1][0] - 1] + more
        return more

    plant.slower = slower


def hoist_away(story: Story) -> None:
    """The hoist is not ready for a while."""
    ((since, until),) = story.spans(1)
    story.told.append(f"hoist not ready from {since} to {until}")
    story.plant.hoist_ready = lambda now: not since <= now < until
    story.delayed_from, story.delayed_to = since, until


def pause(story: Story) -> None:
    """Enable falls for a while."""
    ((since, until),) = story.spans(1)
    story.told.append(f"paused from {since} to {until}")
    story.plant.enable = lambda now: not since <= now < until
    story.delayed_from, story.delayed_to = since, until


def pauses(story: Story) -> None:
    spans = story.spans(story.rng.randint(2, 4), 0.5)
    story.told.append(f"paused {spans}")
    story.plant.enable = lambda now: not _within(spans)(now)


def held_clock(story: Story) -> None:
    spans = story.spans(story.rng.randint(1, 2), 0.3)
    story.told.append(f"clock held {spans}")
    story.plant.hold = _within(spans)


def slow_hoist(story: Story) -> None:
    """Every move and every empty travel is slower, by up to three seconds."""
    more = story.rng.choice((20, 100, 300, 1000, 3000))
    empty = story.rng.choice((0, more // 2))
    story.told.append(f"moves {more} ms and travel {empty} ms slower")
    story.plant.slower = lambda now, step: more
    story.plant.slower_empty = lambda now: empty


def uneven_hoist(story: Story) -> None:
    """Every move takes up to some tenths longer than stated, each differently."""
    share, rng = story.rng.choice((0.02, 0.1, 0.3)), story.rng
    story.told.append(f"moves up to {share} longer")
    times = story.plant.moving_time
    story.plant.slower = lambda now, step: int(times[step] * share * rng.random())


def arrivals(story: Story) -> None:
    """Baskets are ready only now and then."""
    spans = story.spans(story.rng.randint(1, 5), 2)
    story.told.append(f"no basket {spans}")
    story.plant.release = lambda now: not _within(spans)(now)


def run_out(story: Story) -> None:
    """The line runs out and is filled again."""
    spans = story.spans(1, 6)
    story.told.append(f"no load admitted {spans}")
    story.plant.admit = lambda now: not _within(spans)(now)


def power(story: Story) -> None:
    story.restarts += sorted(story.moment() for _ in range(story.rng.randint(1, 2)))
    story.told.append(f"power off and on at {story.restarts}")


def missing(story: Story) -> None:
    """A carrier is taken out of a tank; the operator confirms some time after it is missed."""
    story.removals.append((story.moment(), story.rng.randrange(10)))
    story.told.append(f"a carrier is gone at {story.removals[-1][0]}")
    plant, after = story.plant, story.length(0.3)

    def confirm(now: int) -> bool:
        if not plant.machine["CarrierMissing"]:
            story.missed.append([])
            return False
        story.missed[-1].append(now)
        return now - story.missed[-1][0] >= after

    plant.confirm = confirm


def blocked_place(story: Story) -> None:
    ((since, until),) = story.spans(1, 1)
    table = story.line.table
    number = table.steps[story.rng.randrange(len(table.steps))].place
    story.told.append(f"station {number} blocked from {since} to {until}")
    story.plant.blocked = lambda now, station: station == number and since <= now < until


def hoist_by_hand(story: Story) -> None:
    ((since, until),) = story.spans(1, 0.5)
    story.by_hand.append((since + 1, story.rng.randrange(10)))
    story.told.append(f"hoist moved by hand from {since} to {until}")
    story.plant.hoist_ready = lambda now: not since <= now < until


SINGLE = (stuck_move, hoist_away, pause)
OTHER = (
    pauses, held_clock, slow_hoist, uneven_hoist, arrivals, run_out, power, missing,
    blocked_place, hoist_by_hand,
)  # fmt: skip


def story(seed: int) -> Story:
    """A story: a single delay as often as several disturbances at once."""
    rng = Random(f"story {seed}")
    found = Story(lines()[seed % LINES], rng)
    if rng.random() < 0.4:
        found.single = True
        rng.choice(SINGLE)(found)
    else:
        for happening in rng.sample((*OTHER, stuck_move), rng.choice((1, 1, 2, 3))):
            happening(found)
    return found
