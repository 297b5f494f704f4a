"""Lines of which a margin is asked: slack and float of the line, and of single stages."""

from __future__ import annotations

from decimal import Decimal
from random import Random
from typing import Any

from hoistopt import InputError
from hoistopt.problem import Problem

from .lines import SmallLine


def asked(line: SmallLine, seed: int) -> SmallLine | None:
    """The line with a margin that every window has room for; None where nothing came of it.

    Parameters
    ----------
    line : SmallLine
        Any line with a tick of its own.
    seed : int
    """
    rng = Random(f"asked {seed}")
    data = line.problem.to_data()
    assert line.problem.tick is not None

    def some(most: int) -> Decimal:
        time = rng.randint(0, most) * line.problem.tick
        return time + (Decimal("0.04") if rng.random() < 0.1 else 0)

    data["margin"] = {"slack": some(6), "float": some(rng.choice((0, 3, 3, 8)))}
    before = data["margin"]["float"]
    for made in data["recipe"]:
        before = data["margin"]["float"]
        for stage in made["stage"]:
            own: dict[str, Any] = dict(data["margin"])
            if rng.random() < 0.3:
                own = {"slack": some(9), "float": some(4)}
            if stage.get("max") is not None:
                width = Decimal(stage["max"]) - Decimal(stage["min"])
                if before > width:
                    return None
                own = {key: min(value, width - before) for key, value in own.items()}
            if own != data["margin"]:
                stage["margin"] = own
            before = own["float"]
    try:
        problem = Problem.from_data(data)
    except InputError:
        return None
    return SmallLine(problem, line.degree) if problem.asks_margin else None


def without_margin(problem: Problem) -> Problem:
    """The same line with nothing asked."""
    data = problem.to_data()
    data.pop("margin", None)
    for made in data["recipe"]:
        for stage in made["stage"]:
            stage.pop("margin", None)
    return Problem.from_data(data)
