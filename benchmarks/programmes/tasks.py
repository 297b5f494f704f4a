"""Lines and their orders, seeded. Invented data but for the published line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from random import Random
from typing import Any

from hoistopt import Order, load_problem
from hoistopt.problem import Problem

from ..lines.cases import PROBLEMS, PUBLISHED
from ..lines.real import DrawnLine, real_line

Made = tuple[Problem, list[Order]]


@dataclass(frozen=True)
class Task:
    """A line and its orders.

    Attributes
    ----------
    name : str
    what : str
        In a few words, for the report.
    make : callable
        Gives the line and its orders.
    limit : float
        Seconds for each method.
    target : str
        Which target it shows, if any: "published" or "orders".
    hoists : int
        How many the line has.
    """

    name: str
    what: str
    make: Callable[[], Made]
    limit: float = 20
    target: str = ""
    hoists: int = 1


def published(loads: int = 8) -> Made:
    """The published line; where its figures come from stands in the file."""
    problem = load_problem(PROBLEMS / PUBLISHED["phillips-unger-1976"])
    return problem, [Order(problem.recipes[0].name, loads)]


def mixed(
    seed: int,
    *,
    tanks: int = 18,
    stages: int = 14,
    recipes: int = 3,
    loads: int = 60,
    due: bool = False,
    carriers: int | None = None,
) -> Made:
    """Recipes that skip some of the tanks, in any sequence, with the times of a real hoist."""
    line = DrawnLine(f"orders {tanks} {stages} {recipes} {seed}")
    rng = line.rng
    names = [f"Tank {number + 1}" for number in range(tanks)]
    for name in names:
        line.station(name)
    long = set(rng.sample(names, max(2, tanks // 5)))
    parts: list[dict[str, Any]] = []
    for number in range(recipes):
        passed = sorted(rng.sample(names, stages), key=names.index)
        window = []
        for name in passed:
            least = rng.choice((180, 240, 300) if name in long else (15, 20, 30, 45, 60, 90))
            window.append({"station": name, "min": least, "max": least + rng.choice((30, 60, 120))})
        parts.append({"name": f"Part {number + 1}", "stage": window})
    mix = {part["name"]: 1 for part in parts}
    data = line.data() | {"recipe": parts, "cycle": {"mix": mix}}
    if carriers is not None:
        data["carriers"] = {"count": carriers}
    sequence = [rng.choice(list(mix)) for _ in range(loads)]
    return Problem.from_data(data), [_order(name, due, loads, rng) for name in sequence]


def grouped(seed: int, *, tanks: int, loads: int, kind: str = "zinc") -> Made:
    """One recipe with a group of parallel tanks, and what the kind has besides."""
    problem = real_line(kind, tanks, seed)
    return problem, [Order(problem.recipes[0].name, loads)]


CLEARANCE = 2
"""Metres between hoists, and of track beyond the ends for each that has to make room."""


def several(made: Made, hoists: int = 2) -> Made:
    """The same line and orders with hoists side by side in place of the one."""
    problem, orders = made
    data = problem.to_data()
    one, room = data.pop("hoist"), CLEARANCE * (hoists - 1)
    data["hoist"] = [{"name": f"Hoist {n}", **one} for n in range(1, hoists + 1)]
    last = max(station.position or 0 for station in problem.stations)
    data["track"] = {"clearance": CLEARANCE, "from": -room, "to": last + room}
    return Problem.from_data(data), orders


def _order(recipe: str, due: bool, loads: int, rng: Random) -> Order:
    """A load, due some time in the 600 s a load that such a list may take."""
    if not due:
        return Order(recipe)
    time = Fraction(rng.randint(3_000, 3_000 + 600 * loads))
    return Order(recipe, due=time, weight=Fraction(rng.choice((1, 1, 2))))


SEEDS = (10, 11)
"""Of the lines that are reported; the search was tuned on 0 and 1."""


def tasks() -> list[Task]:
    """What the suite runs, in its order."""
    big = [
        Task(
            f"orders-60-s{seed}",
            "60 loads of three recipes, 18 tanks, 900 moves",
            lambda seed=seed: mixed(seed),  # type: ignore[misc]
            60,
            "orders",
        )
        for seed in SEEDS
    ]
    features = [
        Task(
            "due-20-s10",
            "20 loads with due times and weights, 18 tanks",
            lambda: mixed(10, loads=20, due=True),
        ),
        Task(
            "carriers-20-s10",
            "20 loads, three recipes, 3 carriers",
            lambda: mixed(10, loads=20, carriers=3),
        ),
        Task(
            "parallel-16-s10",
            "16 loads through a group of 4 parallel tanks",
            lambda: grouped(10, tanks=4, loads=16),
        ),
        Task(
            "dryer-16-s10",
            "16 loads, 4 parallel tanks, a dryer of three places",
            lambda: grouped(10, tanks=4, loads=16, kind="roomy-dryer"),
        ),
    ]
    beside = [
        Task(
            f"two-hoists-20-s{seed}",
            "20 loads of three recipes, 18 tanks, two hoists",
            lambda seed=seed: several(mixed(seed, loads=20)),  # type: ignore[misc]
            hoists=2,
        )
        for seed in SEEDS
    ]
    beside += [
        Task(
            "two-hoists-due-12-s10",
            "12 loads with due times and weights, 18 tanks, two hoists",
            lambda: several(mixed(10, loads=12, due=True)),
            hoists=2,
        ),
        Task(
            "two-hoists-parallel-12-s10",
            "12 loads through a group of 4 parallel tanks, two hoists",
            lambda: several(grouped(10, tanks=4, loads=12)),
            hoists=2,
        ),
    ]
    first = Task("published-8", "the published line, eight loads", published, 60, "published")
    return [first, *big, *features, *beside]


SMOKE = Task(
    "smoke",
    "three recipes on 5 tanks, 4 loads",
    lambda: mixed(0, tanks=5, stages=3, loads=4),
    2,
)
"""A tiny one, to see whether the bench itself works; not in the suite."""

SMOKE_TWO = Task(
    "smoke-two",
    "three recipes on 5 tanks, 3 loads, two hoists",
    lambda: several(mixed(0, tanks=5, stages=3, loads=3)),
    2,
    hoists=2,
)
"""The same with two hoists."""
