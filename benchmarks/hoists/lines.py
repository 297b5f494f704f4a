"""Seeded lines with several hoists. Invented data: no such lines exist.

The lines are those of :mod:`benchmarks.lines.families`, with narrow windows, and hoists side by
side in place of one: tanks 2 apart, hoists at least 3 apart, a metre of track more at both ends for
each hoist that has to make room. Every second seed has the tanks in shuffled order, so that loads
pass to and fro.
"""

from __future__ import annotations

from dataclasses import dataclass

from hoistopt.problem import Problem

from ..lines.families import random_line

CLEARANCE = 3
FIRST_SEED = 10
SMOKE = "smoke"


@dataclass(frozen=True)
class Case:
    """A line of the suite.

    Attributes
    ----------
    tanks, hoists, seed : int
    limit : float
        Seconds for each method.
    """

    tanks: int
    hoists: int
    seed: int
    limit: float

    @property
    def name(self) -> str:
        """Family and seed."""
        return f"{self.family}-s{self.seed}"

    @property
    def family(self) -> str:
        """Tanks and hoists."""
        return f"{self.tanks}-tanks-{self.hoists}-hoists"

    def problem(self) -> Problem:
        """The line."""
        data = random_line("narrow", self.tanks, self.seed, shuffled=self.seed % 2 == 1).to_data()
        one = data.pop("hoist")
        length = 2 * (self.tanks + 1)
        room = CLEARANCE * (self.hoists - 1)
        data["hoist"] = [{"name": f"Hoist {n}", **one} for n in range(1, self.hoists + 1)]
        data["track"] = {"clearance": CLEARANCE, "from": -room, "to": length + room}
        data["name"] = f"{data['name']}, {self.hoists} hoists"
        return Problem.from_data(data)


def cases(seeds: int = 10, first: int = FIRST_SEED) -> list[Case]:
    """The suite: 12 tanks, 20 with two or three hoists in turn, 30 and 40 with two to four.

    Parameters
    ----------
    seeds : int
        How many of each size; half as many of 30 and of 40 tanks.
    """
    found: list[Case] = []
    for seed in range(first, first + seeds):
        found.append(Case(12, 2, seed, 10))
    for seed in range(first, first + seeds):
        # Two seeds in a row with the same number of hoists: one in flow order, one shuffled.
        found.append(Case(20, 2 + seed // 2 % 2, seed, 60))
    for tanks in (30, 40):
        for seed in range(first, first + (seeds + 1) // 2):
            found.append(Case(tanks, 2 + seed % 3, seed, 30))
    return found
