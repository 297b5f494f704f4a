"""The figures of the hoist that a problem file states, and what they are today."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Literal, NamedTuple

from ...problem import Hoist, Problem

Name = Literal[
    "lift",
    "lower",
    "settling",
    "loaded speed",
    "loaded acceleration",
    "loaded settling",
    "empty speed",
    "empty acceleration",
    "empty settling",
]


class Figure(NamedTuple):
    """A figure of the hoist, or one that a station has in place of the hoist's.

    Attributes
    ----------
    name : str
        ``settling`` only of a station, where it replaces both of the hoist's.
    station : str or None
    """

    name: Name
    station: str | None = None

    def __str__(self) -> str:
        return self.name if self.station is None else f"{self.name} at {self.station}"

    @property
    def is_time(self) -> bool:
        """Whether it is a time; else the hoist is slower where it is less."""
        return not self.name.endswith(("speed", "acceleration"))

    def unit(self, problem: Problem) -> str:
        """The unit of the figure."""
        time, length = problem.unit, problem.length_unit
        if self.name.endswith("speed"):
            return f"{length}/{time}"
        return f"{length}/{time}\N{SUPERSCRIPT TWO}" if "acceleration" in self.name else time


def stated(problem: Problem, hoist: int = 0) -> dict[Figure, Decimal | None]:
    """Every figure that the physics of a hoist goes by, as the file has it.

    Those of a motion are there only where the file states its speed; an acceleration that is
    left out is None.

    Parameters
    ----------
    problem : Problem
    hoist : int
        Which of its hoists, from 0.
    """
    return dict(_stated(problem, problem.hoists[hoist]))


def _stated(problem: Problem, hoist: Hoist) -> Iterator[tuple[Figure, Decimal | None]]:
    if hoist.lift is not None:
        yield Figure("lift"), hoist.lift
    if hoist.lower is not None:
        yield Figure("lower"), hoist.lower
    if hoist.loaded is not None:
        yield Figure("loaded speed"), hoist.loaded.speed
        yield Figure("loaded acceleration"), hoist.loaded.acceleration
        yield Figure("loaded settling"), Decimal(hoist.loaded.settling)
    if hoist.empty is not None:
        yield Figure("empty speed"), hoist.empty.speed
        yield Figure("empty acceleration"), hoist.empty.acceleration
        yield Figure("empty settling"), Decimal(hoist.empty.settling)
    for station in problem.stations:
        if station.lift is not None:
            yield Figure("lift", station.name), station.lift
        if station.lower is not None:
            yield Figure("lower", station.name), station.lower
        if station.settling is not None:
            yield Figure("settling", station.name), station.settling
