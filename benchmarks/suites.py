"""The suites by name: which cases, by which methods, for how long."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import product
from operator import itemgetter

from .lines.cases import Case, published
from .lines.families import WIDTHS
from .runner import Job

FAMILIES = tuple(WIDTHS)
BOTH = ("hoistopt", "direct")
ALL = (*BOTH, "big-m")


@dataclass(frozen=True)
class Batch:
    """Cases that are run alike; `aim` names what they are to show, if anything.

    With `searches` hoistopt runs so often with another seed of its search each time, and every
    other method once. `against` is the longer limit, in seconds, of runs of the same cases and
    methods that these are held against; they belong to another batch.
    """

    cases: tuple[Case, ...]
    methods: tuple[str, ...]
    time_limit: float
    repeats: int = 1
    aim: str = ""
    searches: int = 0
    against: float | None = None

    def runs(self, method: str) -> int:
        """How often a method runs on each case."""
        if not self.searches:
            return self.repeats
        return self.searches if method == "hoistopt" else 1

    def jobs(self, workers: int) -> Iterator[Job]:
        """Case by case, so that runs to be compared lie close in time.

        With several searches every case has its first before one has its second: stopped
        early, a suite of hours has something of every line.
        """
        rounds = range(max(self.repeats, self.searches))
        each = list(product(self.cases, rounds))
        if self.searches:
            each.sort(key=itemgetter(1))
        for case, repeat in each:
            for method in self.methods:
                if repeat < self.runs(method):
                    seed = repeat if self.searches else 0
                    yield Job(case, method, repeat, workers, self.time_limit, seed)


def lines(
    families: Iterable[str] = FAMILIES,
    tanks: Iterable[int] = (20,),
    seeds: Iterable[int] = (0,),
    degrees: Iterable[int] = (1,),
    shuffled: Iterable[bool] = (False,),
    recipes: Iterable[int] = (1,),
) -> tuple[Case, ...]:
    """Every combination."""
    every = product(families, tanks, shuffled, recipes, degrees, seeds)
    return tuple(
        Case(family, size, seed, degree, mixed, kinds)
        for family, size, mixed, kinds, degree, seed in every
    )


def smoke() -> list[Batch]:
    """Two small lines, to see whether the bench itself works."""
    return [Batch(lines(("narrow", "loose"), (4,)), BOTH, 5)]


def quick() -> list[Batch]:
    """A taste of everything, in a few minutes at most."""
    cases = (
        *lines(tanks=(10,)),
        *lines(("narrow", "loose"), (10,), (1,), shuffled=(True,)),
        *lines(("narrow", "loose"), (6,), degrees=(2,)),
        *lines(("narrow", "loose"), (5,), recipes=(2,)),
        published(1),
    )
    return [
        Batch(cases, ALL, 5),
        Batch(lines(("narrow",), (20, 40)), BOTH, 5),
        Batch((published(1), *lines(("narrow",), (20,))), ("command",), 5),
    ]


def published_lines() -> list[Batch]:
    """The published line at degrees 1 to 4."""
    return [
        Batch(tuple(published(degree) for degree in (1, 2, 3)), ALL, 300),
        Batch((published(4),), ALL, 900),
    ]


def narrow() -> list[Batch]:
    """Tight windows at every size, each three times, as they take next to no time."""
    flow = lines(("narrow",), (10, 20, 30, 40, 60), range(5), shuffled=(False, True))
    return [
        Batch(flow, BOTH, 60, repeats=3),
        Batch(lines(("narrow",), (10, 20), range(5)), ("big-m",), 60),
        Batch(lines(("narrow",), (10, 15), range(3), (2, 3)), BOTH, 60, repeats=3),
    ]


def targets() -> list[Batch]:
    """What hoistopt is to reach; `benchmarks.tables.targets` says whether it did."""
    ten = range(10)
    both = (False, True)
    return [
        Batch(lines(("loose", "very-loose"), (20,), ten), BOTH, 60, aim="proof-20"),
        Batch(lines(("loose",), (40,), ten), BOTH, 60, aim="gap-40"),
        Batch(
            lines(tanks=(60,), seeds=ten, shuffled=both),
            ("hoistopt",),
            10,
            aim="schedule-60",
        ),
        Batch(tuple(published(k) for k in (2, 3, 4)), BOTH, 900, repeats=3, aim="published"),
        Batch(
            lines(("narrow",), (10, 20, 40, 60), ten, shuffled=both),
            BOTH,
            60,
            repeats=3,
            aim="narrow",
        ),
        Batch(
            lines(tanks=(10, 20, 30), seeds=ten, shuffled=both),
            ("hoistopt",),
            1,
            aim="first-schedule",
        ),
        Batch((published(1), *lines(tanks=(20,))), ("command",), 60),
    ]


def full() -> list[Batch]:
    """Every family, size, layout, degree and mix; takes a night."""
    both = (False, True)
    return [
        Batch(lines(tanks=(10, 20), seeds=range(3), shuffled=both), ALL, 60),
        Batch(lines(tanks=(30, 40, 60), seeds=range(3), shuffled=both), BOTH, 60),
        Batch(lines(tanks=(10,), seeds=range(3), degrees=(2, 3, 4, 5)), BOTH, 60),
        Batch(lines(tanks=(20,), seeds=range(3), degrees=(2, 3)), BOTH, 60),
        Batch(lines(tanks=(10, 20), seeds=range(3), recipes=(2, 3)), BOTH, 60),
        *published_lines(),
    ]


TUNING, REPORTED = range(2), range(10, 12)
"""Seeds of the lines that the search was tuned on, and of those that are reported."""

GROUPS = (2, 3, 4, 6, 8)
"""Tanks of the groups, each run at a degree of as many."""


def real(seeds: Iterable[int] = REPORTED) -> list[Batch]:
    """Lines as people have them, with a real hoist's times, against stock CP-SAT."""
    seeds = tuple(seeds)
    groups = _real("zinc", [(tanks, tanks) for tanks in GROUPS], seeds)
    merged = _real("zinc-merged", [(tanks, 1) for tanks in GROUPS], seeds)
    less = _real("zinc-less", [(tanks, tanks - 1) for tanks in GROUPS], seeds)
    cases = (
        *groups,
        *_real("two-groups", [(4, 4)], seeds),
        *_real("real-mix", [(15, 1), (20, 1), (25, 1)], seeds),
        *_real("group-mix", [(2, 1), (4, 1), (6, 1)], seeds),
        *_real("own-tank", [(4, 1)], seeds),
        *_real("again", [(12, 2), (18, 2)], seeds),
        *_real("real-flow", [(20, 1), (20, 2), (20, 3), (30, 1), (30, 2), (40, 1)], seeds),
        *_real("roomy-dryer", [(4, 4)], seeds),
        *_real("few-carriers", [(4, 4)], seeds),
        *_real("hoist-return", [(3, 3)], seeds),
        *_real("paced", [(4, 4)], seeds),
    )
    return [
        Batch(cases, ("hoistopt", "stock"), 60, aim="stock", searches=3),
        Batch((*groups, *merged), ("hoistopt",), 10, aim="groups"),
        Batch((*groups, *less), ("hoistopt",), 10, aim="less"),
        Batch(cases, ("hoistopt",), 5, aim="soon", searches=3, against=60),
    ]


def _real(family: str, sizes: Iterable[tuple[int, int]], seeds: Iterable[int]) -> tuple[Case, ...]:
    return tuple(Case(family, size, seed, degree) for size, degree in sizes for seed in seeds)


def real_tuning() -> list[Batch]:
    """The same with other seeds, to tune on."""
    return real(TUNING)


SUITES: dict[str, Callable[[], list[Batch]]] = {
    "smoke": smoke,
    "quick": quick,
    "published": published_lines,
    "targets": targets,
    "narrow": narrow,
    "full": full,
    "real": real,
    "real-tuning": real_tuning,
}


def suite(
    name: str, time_limit: float | None = None, methods: tuple[str, ...] | None = None
) -> list[Batch]:
    """A suite, with another limit or fewer methods where they are given."""
    batches = SUITES[name]()
    if time_limit is not None:
        batches = [replace(batch, time_limit=time_limit) for batch in batches]
    if methods is not None:
        kept = [
            replace(batch, methods=tuple(m for m in batch.methods if m in methods))
            for batch in batches
        ]
        batches = [batch for batch in kept if batch.methods]
    return batches
