"""Stopwatch lists of an invented hoist whose true figures are known."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass

from hoistopt import Problem
from hoistopt.plant.fit.figures import Figure
from hoistopt.plant.fit.physics import Physics
from hoistopt.plant.readings import Timed

HEADER = "from,to,loaded,time,lift,travel,lower"


@dataclass
class Stopwatch:
    """Somebody who times an invented hoist.

    Attributes
    ----------
    problem : Problem
        The line.
    true : dict
        Figures of the hoist that differ from the file's.
    noise : float
        Standard deviation of a reading.
    step : float
        To what times are read.
    wrong : float
        Share of readings that are far off.
    """

    problem: Problem
    true: Mapping[Figure, float | None]
    noise: float = 0.4
    step: float = 0.1
    wrong: float = 0.02
    seed: int = 0

    def __post_init__(self) -> None:
        self._draw = random.Random(self.seed)
        self._names = [station.name for station in self.problem.stations]

    def takes(self, what: str, source: str | None, target: str | None) -> float:
        """The true time."""
        physics = Physics(self.problem, [Timed(what, source, target)])  # type: ignore[arg-type]
        return float(physics.times({**physics.figures, **self.true})[0])

    def read(self, what: str, source: str | None, target: str | None) -> str:
        """One reading."""
        time = self.takes(what, source, target) + self._draw.gauss(0, self.noise)
        if self._draw.random() < self.wrong:
            time += self._draw.choice((7, 12, 25))
        return f"{max(round(time / self.step), 0) * self.step:.4g}"

    def rows(self, count: int, *, parts: bool) -> list[str]:
        """Rows of as many loaded moves, whole or in parts, and as many empty travels."""
        found = [HEADER]
        for _ in range(count):
            source, target = self._draw.sample(self._names, 2)
            if parts:
                ends = self.read("lift", source, None), self.read("lower", None, target)
                travel = self.read("travel", source, target)
                found.append(f"{source},{target},yes,,{ends[0]},{travel},{ends[1]}")
            else:
                found.append(f"{source},{target},yes,{self.read('move', source, target)},,,")
            source, target = self._draw.sample(self._names, 2)
            found.append(f"{source},{target},no,{self.read('empty', source, target)},,,")
        return found
