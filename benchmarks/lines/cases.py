"""One instance of the bench: a line and the degree it is solved at."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from pathlib import Path

from hoistopt.problem import Problem, load_problem

from .families import random_line, random_mix
from .real import KINDS, real_line

PROBLEMS = Path(__file__).parents[2] / "problems"
PUBLISHED = {"phillips-unger-1976": "phillips_unger_1976.toml"}
"""Published lines; where their figures come from stands in the files."""


@dataclass(frozen=True)
class Case:
    """A line of a family (or a published one) at one degree.

    `recipes` above 1 stands for a mix; `family` "published" for a line of
    :data:`PUBLISHED`, whose name is then `line`; one of :data:`~.real.KINDS` for a line with
    a real hoist's times, where `tanks` is its size.
    """

    family: str
    tanks: int
    seed: int = 0
    degree: int = 1
    shuffled: bool = False
    recipes: int = 1
    line: str = ""

    @property
    def layout(self) -> str:
        """Whether the tanks stand in the order in which loads pass them."""
        return "given" if self.line else "shuffled" if self.shuffled else "flow"

    @property
    def group(self) -> str:
        """What it shares with its like that differ in the seed only."""
        if self.line:
            return f"{self.line} k{self.degree}"
        mix = f"mix{self.recipes}-" if self.recipes > 1 else ""
        return f"{mix}{self.family}-{self.tanks}-{self.layout}-k{self.degree}"

    @property
    def name(self) -> str:
        """A name of its own."""
        return self.group.replace(" ", "-") + ("" if self.line else f"-s{self.seed}")

    def problem(self) -> Problem:
        """The line."""
        if self.line:
            return load_problem(PROBLEMS / PUBLISHED[self.line])
        if self.family in KINDS:
            return real_line(self.family, self.tanks, self.seed)
        if self.recipes > 1:
            return random_mix(
                self.family, self.tanks, self.recipes, self.seed, shuffled=self.shuffled
            )
        return random_line(self.family, self.tanks, self.seed, shuffled=self.shuffled)


def published(degree: int, line: str = "phillips-unger-1976") -> Case:
    """A published line at a degree."""
    return Case("published", 12, degree=degree, line=line)


@cache
def fingerprint(case: Case) -> str:
    """Short digest of all that a line says, to tell when a generator has changed."""
    return sha256(case.problem().model_dump_json(by_alias=True).encode()).hexdigest()[:10]
