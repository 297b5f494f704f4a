"""Every schedule of a tiny line, and what each is worth: an independent check on aims."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from random import Random
from typing import Any

from hoistopt.problem import Problem
from tests.reference.exhaustive import Works
from tests.reference.moves import Line, lines


@dataclass(frozen=True)
class Tried:
    """Start ticks of the moves of a line that keep every rule at a cycle time."""

    line: Line
    starts: tuple[int, ...]
    cycle: int
    works: Works

    def dwells(self) -> list[int]:
        """Dwells, by stay; tanks hold one carrier, so all are shorter than the cycle."""
        return [
            (self.starts[s.leave] - self.starts[s.arrive] - self.line.moves[s.arrive].ticks)
            % self.cycle
            for s in self.line.stays
        ]

    def has_slack(self, asked: int, given: int = 0) -> bool:
        """Whether every dwell is that far below its maximum, or all that its window gives.

        What a window gives is its width, less the float given to the move into it.
        """
        floats = self.floats(given)
        return all(
            stay.most is None
            or stay.most - dwell >= min(asked, stay.most - stay.least - floats[stay.arrive])
            for stay, dwell in zip(self.line.stays, self.dwells(), strict=True)
        )

    @cached_property
    def _later(self) -> list[int]:
        """What each move may be late for good, the others as they are, tick by tick."""
        found = []
        for move in range(len(self.starts)):
            late = 0
            while late <= self.cycle and self._may(move, late + 1):
                late += 1
            found.append(late)
        return found

    def _may(self, move: int, late: int) -> bool:
        starts = list(self.starts)
        starts[move] = (starts[move] + late) % self.cycle
        return _free(self.line, starts, self.cycle) and self.works(starts)

    def floats(self, asked: int, given: int = 0) -> list[int]:
        """What each move is asked to have: no more than half of a window beside it.

        Nor, where slack is given already, more than that leaves of the window after it.
        """
        found = [asked] * len(self.starts)
        for stay in self.line.stays:
            if stay.most is not None:
                width = stay.most - stay.least
                left = width - min(given, width)
                found[stay.arrive] = min(found[stay.arrive], width // 2, left)
                found[stay.leave] = min(found[stay.leave], width // 2)
        return found

    def has_float(self, asked: int, given: int = 0) -> bool:
        """Whether every move may be late for good by what it is asked to."""
        wanted = self.floats(asked, given)
        return all(late >= least for late, least in zip(self._later, wanted, strict=True))

    def travel(self) -> int:
        """Empty travel from each move to the one that starts next."""
        order = sorted(range(len(self.starts)), key=lambda move: self.starts[move])
        gap, moves = self.line.gap, self.line.moves
        return sum(
            gap[a][b] - moves[a].ticks for a, b in zip(order, [*order[1:], order[0]], strict=True)
        )

    def off_nominal(self, nominal: Sequence[int | None]) -> int:
        """By how much dwells miss the nominal ones, by stay."""
        return sum(
            abs(dwell - wanted)
            for dwell, wanted in zip(self.dwells(), nominal, strict=True)
            if wanted is not None
        )

    def loads(self) -> int:
        """The most loads between their first lift and the end of their last move."""
        spans = []
        for load in range(len(self.line.recipes)):
            numbers = [n for n, move in enumerate(self.line.moves) if move.load == load]
            stays = [
                (stay, dwell)
                for stay, dwell in zip(self.line.stays, self.dwells(), strict=True)
                if stay.arrive in numbers
            ]
            stages = len(self.line.recipes[load].stages)
            moved = sum(self.line.moves[n].ticks for n in numbers[: stages + 1])
            since = self.starts[numbers[0]]
            spans.append((since, since + moved + sum(dwell for _, dwell in stays)))
        moments = [since for since, _ in spans]
        return max(
            sum(
                since + shift * self.cycle <= moment < until + shift * self.cycle
                for since, until in spans
                for shift in range(-40, 2)
            )
            for moment in moments
        )


def _free(line: Line, starts: Sequence[int], cycle: int) -> bool:
    """Whether the hoist is in one place, for given starts."""
    for a, b in product(range(len(starts)), repeat=2):
        if a != b and (starts[b] - starts[a]) % cycle < line.gap[a][b]:
            return False
    return all(line.gap[a][a] <= cycle for a in range(len(starts)))


def every_schedule(problem: Problem, degree: int, least: int, most: int) -> Iterator[Tried]:
    """All of them with cycle times from `least` to `most` ticks."""
    for line in lines(problem, degree):
        for cycle in range(least, most + 1):
            works = Works(line, cycle)
            for starts in works.schedules():
                yield Tried(line, tuple(starts), cycle, works)


def best(tried: Sequence[Tried], aims: Sequence[str], nominal: Sequence[int | None]) -> list[int]:
    """What each aim comes to, the ones before it at their best."""
    left, found = list(tried), {"slack": 0, "float": 0}
    values = {
        "travel": Tried.travel,
        "loads": Tried.loads,
        "cycle": lambda one: one.cycle,
        "nominal": lambda one: one.off_nominal(nominal),
    }
    for aim in aims:
        if aim in values:
            found[aim] = min(values[aim](one) for one in left)
            left = [one for one in left if values[aim](one) == found[aim]]
        else:
            found[aim], left = _most(left, aim, found["float" if aim == "slack" else "slack"])
    return [found[aim] for aim in aims]


def _most(tried: list[Tried], aim: str, given: int) -> tuple[int, list[Tried]]:
    """The most slack or float any of them has, and those that have it."""
    has = Tried.has_slack if aim == "slack" else Tried.has_float
    most, left = 0, tried
    for asked in range(1, _end(tried[0], aim, given) + 1):
        better = [one for one in left if has(one, asked, given)]
        if not better:
            break
        most, left = asked, better
    return most, left


def _end(one: Tried, aim: str, given: int) -> int:
    """Where asking for more changes nothing."""
    if aim == "float":
        return max(one.floats(10**6, given))
    floats = one.floats(given)
    widths = (s.most - s.least - floats[s.arrive] for s in one.line.stays if s.most is not None)
    return max(widths, default=0)


def tiny_line(seed: int) -> tuple[Problem, int]:
    """Two tanks and one load a cycle, or one tank and two loads; whole ticks."""
    rng = Random(f"tiny {seed}")
    count, degree = rng.choice(((2, 1), (2, 1), (1, 2)))
    ends: list[dict[str, Any]] = [
        {"name": "In", "kind": "load", "min_occupation": rng.choice((0, 3, 6))},
        {"name": "Out", "kind": "unload", "min_occupation": rng.choice((0, 3, 6))},
    ]
    if rng.random() < 0.4:
        ends = [{"name": "Dock", "kind": "load-unload", "min_occupation": rng.choice((0, 2))}]
    tanks = ["A", "B"][:count]
    stations = [ends[0], *({"name": name} for name in tanks), *ends[1:]]
    names = [station["name"] for station in stations]
    pairs = [(a, b) for a in names for b in names if a != b]
    stages = []
    for name in tanks:
        least = rng.randint(0, 5)
        made: dict[str, Any] = {"station": name, "min": least}
        if rng.random() < 0.8:
            made["max"] = least + rng.randint(0, 7)
        if rng.random() < 0.8:
            made["nominal"] = rng.randint(least, made.get("max", least + 6))
        stages.append(made)
    data: dict[str, Any] = {
        "name": "tiny",
        "tick": 1,
        "station": stations,
        "recipe": [{"name": "R", "stage": stages}],
        "times": {
            "loaded": [{"from": a, "to": b, "time": rng.randint(1, 3)} for a, b in pairs],
            "empty": [{"from": a, "to": b, "time": rng.randint(0, 2)} for a, b in pairs],
        },
    }
    if rng.random() < 0.3:
        data["carriers"] = {"count": rng.randint(1, 3)}
    return Problem.from_data(data), degree
