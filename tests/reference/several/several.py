"""Two hoists by brute force: every choice of hoists, tanks and dwells, positions tick by tick.

For small lines in whole numbers: top speed 1 at once, whole positions, whole times. Whether
the hoists can get where a choice wants them is found by following all pairs of positions they
may have, from tick to tick round the cycle. That whole positions are enough: the ways that
keep their distance with least movement to the right have whole positions at whole times.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product
from random import Random

import numpy as np

from hoistopt import Hoist, Margin, Motion, Problem, Recipe, Stage, Station, Step, Times, Track


@dataclass(frozen=True)
class TwoHoists:
    """A line of one recipe; positions of all stations, load and unload at the ends.

    A stage is (tanks, min, max). `given` is the hoist that brings loads to each stage, by its
    number, or None for either; empty where none is given.
    """

    lift: int
    lower: int
    clearance: int
    beyond: tuple[int, int]
    positions: dict[str, int]
    stages: tuple[tuple[tuple[str, ...], int, int], ...]
    given: tuple[int | None, ...] = ()
    rests: tuple[tuple[str, int], ...] = ()
    """How long tanks stay empty after a load, by name."""
    measured: tuple[tuple[str, str, int], ...] = ()
    """Whole times of loaded moves from a table: from, to, from the lift until set down."""
    slack: int = 0
    late: int = 0
    """What is asked of every dwell below its maximum, and by how much every start may be late."""

    def takes(self, here: int, there: int) -> int | None:
        """The whole time of a loaded move between two positions, where a table has it."""
        at = self.positions
        return next((t for a, b, t in self.measured if (at[a], at[b]) == (here, there)), None)

    @property
    def brings(self) -> list[str | None]:
        """The name of the hoist that is given for each stage."""
        given = self.given or (None,) * len(self.stages)
        return [None if number is None else "AB"[number] for number in given]

    def problem(self) -> Problem:
        """The line as a problem."""
        first, last = min(self.positions.values()), max(self.positions.values())
        kinds = {"In": "load", "Out": "unload"}
        travel = Motion(1)
        return Problem(
            "Two hoists, invented",
            stations=[
                Station(
                    name,
                    kind=kinds.get(name, "tank"),
                    position=at,  # type: ignore[arg-type]
                    capacity="unlimited" if name in kinds else 1,
                    min_rest=dict(self.rests).get(name, 0),
                )
                for name, at in self.positions.items()
            ],
            hoist=[
                Hoist(name=name, lift=self.lift, lower=self.lower, loaded=travel, empty=travel)
                for name in "AB"
            ],
            track=Track(self.clearance, from_=first - self.beyond[0], to=last + self.beyond[1]),
            recipes=[
                Recipe(
                    "Parts",
                    [
                        Stage(list(tanks), min=low, max=high, hoist=by)
                        for (tanks, low, high), by in zip(self.stages, self.brings, strict=True)
                    ],
                )
            ],
            tick=1,
            times=Times(loaded={(a, b): time for a, b, time in self.measured}),
            margin=Margin(slack=self.slack, float=self.late) if self.late or self.slack else None,
        )


def draw_margin(seed: int) -> TwoHoists:
    """A line that asks for slack or float, with windows that hold it."""
    rng = Random(f"margin {seed}")
    line = draw_resting(seed) if rng.random() < 0.3 else draw(seed)
    slack, late = rng.choice(((0, 1), (0, 2), (1, 0), (2, 1), (1, 2)))
    room = max(slack, late) + late
    stages = tuple(
        (tanks, low, max(high, low + room) + rng.randint(0, 2)) for tanks, low, high in line.stages
    )
    return replace(line, slack=slack, late=late, stages=stages)


def draw_measured(seed: int) -> TwoHoists:
    """The same line, with a table that has the times of some loaded moves."""
    rng, line = Random(f"measured {seed}"), draw(seed)
    stops = [("In",), *(tanks for tanks, _, _ in line.stages), ("Out",)]
    found: dict[tuple[str, str], int] = {}
    for sources, targets in pairwise(stops):
        for here, there in product(sources, targets):
            way = abs(line.positions[there] - line.positions[here])
            if here != there and rng.random() < 0.6:
                found[here, there] = way + rng.randint(1, 8)
    return replace(line, measured=tuple((*pair, time) for pair, time in found.items()))


def draw_given(seed: int) -> TwoHoists:
    """The same line, with the hoist of some moves given."""
    rng, line = Random(f"given {seed}"), draw(seed)
    return replace(line, given=tuple(rng.choice((None, 0, 1)) for _ in line.stages))


def draw_resting(seed: int) -> TwoHoists:
    """The same line, with tanks that rest."""
    rng, line = Random(f"resting {seed}"), draw(seed)
    tanks = [name for name in line.positions if name.startswith("T")]
    chosen = rng.sample(tanks, rng.randint(1, len(tanks)))
    return replace(line, rests=tuple((name, rng.randint(4, 30)) for name in chosen))


def draw(seed: int) -> TwoHoists:
    """A small line, never a real one."""
    rng = Random(f"two hoists {seed}")
    count = rng.choice((2, 2, 3))
    positions, at = {"In": 0}, 0
    for number in range(count):
        at += rng.choice((1, 1, 2))
        positions[f"T{number + 1}"] = at
    positions["Out"] = at + rng.choice((1, 2))
    tanks = [name for name in positions if name.startswith("T")]
    order = tanks[:]
    if rng.random() < 0.4:
        rng.shuffle(order)
    if rng.random() < 0.25:
        order.append(order[0])
    stages = []
    for name in order[:3]:
        low = rng.randint(0, 7)
        named = (name,)
        if rng.random() < 0.2:
            named = tuple(dict.fromkeys((name, rng.choice(tanks))))
        stages.append((named, low, low + rng.randint(0, 3)))
    return TwoHoists(
        lift=rng.randint(1, 3),
        lower=rng.randint(1, 3),
        clearance=rng.choice((1, 1, 2)),
        beyond=(rng.choice((0, 1, 2)), rng.choice((0, 1, 2))),
        positions=positions,
        stages=tuple(stages),
    )


def least_cycle(line: TwoHoists, highest: int) -> int | None:
    """The least cycle time up to one, by trying all; None where there is none."""
    return next((cycle for cycle in range(1, highest + 1) if _possible(line, cycle)), None)


@dataclass(frozen=True)
class _Made:
    """A move: when it starts, from where to where, by which hoist."""

    start: int
    here: int
    there: int
    hoist: int

    def ends(self, line: TwoHoists) -> int:
        takes = line.takes(self.here, self.there)
        if takes is not None:
            return self.start + takes
        return self.start + line.lift + abs(self.there - self.here) + line.lower

    def at(self, line: TwoHoists, time: int) -> int:
        """Its position so long after its start.

        Of a move of which a table has the time the one nearest to the other hoist that it may
        have: it goes one way, at top speed at the most.
        """
        takes = line.takes(self.here, self.there)
        if takes is not None:
            way = abs(self.there - self.here)
            sign = 1 if self.there > self.here else -1
            soon = self.here + sign * min(time, way)
            late = self.here + sign * max(0, time - (takes - way))
            return max(soon, late) if self.hoist == 0 else min(soon, late)
        travelled = min(max(0, time - line.lift), abs(self.there - self.here))
        return self.here + (travelled if self.there > self.here else -travelled)


def least_cycle_in_order(
    line: TwoHoists, order: Sequence[int], by: Sequence[int | None], highest: int
) -> int | None:
    """The same with the moves, by the stages they leave, in the order given from 0 on.

    `by` is the hoist of each, in that order, or None for either.
    """

    def kept(cycle: int, moves: list[_Made]) -> bool:
        starts = [moves[stage].start % cycle for stage in order]
        made = all(
            hoist in (None, moves[stage].hoist) for stage, hoist in zip(order, by, strict=True)
        )
        return made and all(one <= other for one, other in pairwise(starts))

    return next((c for c in range(1, highest + 1) if _possible(line, c, kept)), None)


def _possible(
    line: TwoHoists, cycle: int, kept: Callable[[int, list[_Made]], bool] | None = None
) -> bool:
    return any(
        (kept is None or kept(cycle, moves))
        and _hoists_can(line, cycle, moves)
        and _may_be_late(line, cycle, moves)
        for first in (0, 1)
        for moves in _choices(line, cycle, [], "In", 0, first, [])
    )


def best_of(line: TwoHoists, longest: int, value: Callable[[int, list[_Made]], int]) -> int | None:
    """The least value of anything that can be run in at most so long a cycle; None: nothing can.

    Parameters
    ----------
    value : callable
        Of a cycle time and the moves of a load, by stage, from its entering at 0 on.
    """
    best: int | None = None
    for cycle in range(1, longest + 1):
        for first in (0, 1):
            for moves in _choices(line, cycle, [], "In", 0, first, []):
                found = value(cycle, moves)
                if (best is None or found < best) and _hoists_can(line, cycle, moves):
                    best = found
    return best


def most_in_process(line: TwoHoists, cycle: int, moves: list[_Made]) -> int:
    """Loads between lifted at the load station and set down at the unload station, at most."""
    return -(-moves[-1].ends(line) // cycle)


def off_nominal(line: TwoHoists, nominal: Sequence[int], _: int, moves: list[_Made]) -> int:
    """By how much dwells miss what is aimed at, in all."""
    dwells = (after.start - move.ends(line) for move, after in pairwise(moves))
    return sum(abs(dwell - aim) for dwell, aim in zip(dwells, nominal, strict=True))


def _may_be_late(line: TwoHoists, cycle: int, moves: list[_Made]) -> bool:
    """Whether the hoists can make all moves whichever of them are late by their float.

    Two cycles: in the first some moves are late, in the second none is.
    """
    if not line.late:
        return True
    on_time = [replace(move, start=move.start + cycle) for move in moves]
    lates = [replace(move, start=move.start + line.late) for move in moves]
    return all(
        _hoists_can(line, 2 * cycle, [*late, *on_time])
        for late in product(*zip(moves, lates, strict=True))
    )


def _choices(
    line: TwoHoists,
    cycle: int,
    made: list[_Made],
    where: str,
    start: int,
    hoist: int,
    stays: list[tuple[str, int, int]],
) -> Iterator[list[_Made]]:
    """All ways on for the load that is lifted at a station, at a time, by a hoist."""
    stage = len(made)
    targets = ("Out",) if stage == len(line.stages) else line.stages[stage][0]
    if line.given and stage < len(line.given) and line.given[stage] not in (None, hoist):
        return
    for target in targets:
        if target == where:
            continue
        move = _Made(start, line.positions[where], line.positions[target], hoist)
        if move.ends(line) - start > cycle or not _alone(line, cycle, [*made, move]):
            continue
        if stage == len(line.stages):
            yield [*made, move]
            continue
        _, low, high = line.stages[stage]
        # Set down late and lifted on time, and the other way round.
        for dwell in range(low + line.late, high - max(line.slack, line.late) + 1):
            stay = (target, move.ends(line), move.ends(line) + dwell)
            if not _apart(line, cycle, [*stays, stay]):
                continue
            for after in (0, 1):
                yield from _choices(
                    line, cycle, [*made, move], target, stay[2], after, [*stays, stay]
                )


def _alone(line: TwoHoists, cycle: int, made: list[_Made]) -> bool:
    """Whether the last move begins when its hoist makes no other, round the cycle."""
    last = made[-1]
    for other in made[:-1]:
        if other.hoist == last.hoist:
            since = (last.start - other.start) % cycle
            if since < other.ends(line) - other.start:
                return False
            if (other.start - last.start) % cycle < last.ends(line) - last.start:
                return False
    return True


def _apart(line: TwoHoists, cycle: int, stays: list[tuple[str, int, int]]) -> bool:
    """Whether the last stay has its tank to itself, its rest included, round the cycle.

    Set down where another load is only just lifted there would be two in the tank.
    """
    tank, since, until = stays[-1]
    empty = max(1, dict(line.rests).get(tank, 0)) + line.late
    if until - since + empty > cycle:
        return False
    for other, begins, ends in stays[:-1]:
        if other == tank:
            if (since - begins) % cycle < ends - begins + empty:
                return False
            if (begins - since) % cycle < until - since + empty:
                return False
    return True


def hoists_can(line: TwoHoists, cycle: int, steps: Iterable[Step]) -> bool:
    """Whether both hoists can make the moves of a schedule, in any order of giving way."""
    return _hoists_can(
        line,
        cycle,
        [
            _Made(
                step.start,
                line.positions[step.source],
                line.positions[step.target],
                "AB".index(step.hoist or ""),
            )
            for step in steps
        ],
    )


def _hoists_can(line: TwoHoists, cycle: int, moves: list[_Made]) -> bool:
    """Whether both hoists can be where they are wanted, and far enough apart, in every tick."""
    first = min(line.positions.values()) - line.beyond[0]
    last = max(line.positions.values()) + line.beyond[1]
    places = last - first + 1
    wanted: list[list[int | None]] = [[None] * cycle, [None] * cycle]
    for move in moves:
        for time in range(move.ends(line) - move.start + 1):
            tick, at = (move.start + time) % cycle, move.at(line, time) - first
            if wanted[move.hoist][tick] not in (None, at):
                return False
            wanted[move.hoist][tick] = at
    grid = np.arange(places)
    clear = grid[None, :] - grid[:, None] >= line.clearance
    allowed = []
    for tick in range(cycle):
        mask = clear.copy()
        for axis, at in enumerate((wanted[0][tick], wanted[1][tick])):
            if at is not None:
                only = grid == at
                mask &= only[:, None] if axis == 0 else only[None, :]
        if not mask.any():
            return False
        allowed.append(mask)
    begins = np.argwhere(allowed[0])
    reached = np.zeros((len(begins), places, places), bool)
    reached[np.arange(len(begins)), begins[:, 0], begins[:, 1]] = True
    for tick in range(1, cycle + 1):
        reached = _one_on(reached) & allowed[tick % cycle]
        if not reached.any():
            return False
    return bool(reached[np.arange(len(begins)), begins[:, 0], begins[:, 1]].any())


def _one_on(reached: np.ndarray) -> np.ndarray:
    """Where both hoists may be a tick later: each at most one position on."""
    wide = reached.copy()
    wide[:, 1:] |= reached[:, :-1]
    wide[:, :-1] |= reached[:, 1:]
    both = wide.copy()
    both[:, :, 1:] |= wide[:, :, :-1]
    both[:, :, :-1] |= wide[:, :, 1:]
    return both
