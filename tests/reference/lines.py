"""Random small lines, one family a feature: ``FAMILIES[name](seed)``."""

from __future__ import annotations

from collections.abc import Callable
from random import Random
from typing import NamedTuple

from hoistopt.problem import Problem

from . import draw


class SmallLine(NamedTuple):
    """A problem and the degree to solve it at."""

    problem: Problem
    degree: int


def plain(seed: int) -> SmallLine:
    """One recipe through one to three tanks, one load or two a cycle."""
    rng = Random(f"plain {seed}")
    count, degree = rng.choice(
        ((1, 1), (1, 2), (1, 3), (2, 1), (2, 2), (2, 3), (3, 1), (3, 2), (4, 1), (5, 1), (6, 1))
    )
    style, longest = rng.choice((None, *draw.WINDOWS)), rng.choice((15, 40, 80))
    stages = [{"station": t["name"], **draw.window(rng, style, longest)} for t in draw.tanks(count)]
    if rng.random() < 0.2:
        rng.shuffle(stages)
    data = draw.line(draw.ends(rng), draw.tanks(count), recipe=[{"name": "R", "stage": stages}])
    return SmallLine(Problem.from_data(draw.times(rng, data)), degree)


FAMILIES: dict[str, Callable[[int], SmallLine]] = {"plain": plain}
