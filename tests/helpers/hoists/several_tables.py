"""Tables of several hoists for the tests of exports."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Literal

import hoistopt
from hoistopt import InputError, Order
from hoistopt.base.effort import Effort
from hoistopt.exports.several import Release, SeveralTable, several_table
from hoistopt.exports.several.once import several_programme_table
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.command import PROBLEMS
from tests.reference.several.several import draw


@cache
def example() -> tuple[Problem, Schedule]:
    """The worked example, and its least cycle."""
    problem = hoistopt.load_problem(PROBLEMS / "several" / "two_hoists.toml")
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    return problem, schedule


@cache
def example_table() -> tuple[Problem, SeveralTable]:
    """The worked example with its tables in ms."""
    problem, schedule = example()
    return problem, several_table(problem, schedule)


def drawn(seeds: range) -> Iterator[tuple[int, Problem, SeveralTable]]:
    """Small random lines with two hoists, those that have tables."""
    for seed in seeds:
        try:
            problem = draw(seed).problem()
            schedule = hoistopt.solve(problem, workers=1).schedule
            if schedule is not None:
                yield seed, problem, several_table(problem, schedule)
        except hoistopt.InputError:  # no hoist makes some move, or no time to wait for another
            continue


def without_one(
    table: SeveralTable, of: Literal["motions", "once"] = "motions"
) -> Iterator[tuple[Release, SeveralTable]]:
    """The same tables with one release of the cycle, or of lists run once, left out; and that."""
    for place, hoist in enumerate(table.hoists):
        rows = hoist.motions if of == "motions" else hoist.once
        for number, motion in enumerate(rows):
            for one in motion.releases:
                kept = tuple(other for other in motion.releases if other is not one)
                motions, hoists = list(rows), list(table.hoists)
                motions[number] = replace(motion, releases=kept)
                changed = tuple(motions)
                hoists[place] = (
                    replace(hoist, motions=changed)
                    if of == "motions"
                    else replace(hoist, once=changed)
                )
                yield one, replace(table, hoists=tuple(hoists))


def drawn_lists(seeds: range) -> Iterator[tuple[int, Problem, SeveralTable]]:
    """Small random lines with two hoists and a programme of some loads, those that have tables."""
    for seed in seeds:
        try:
            problem = draw(seed).problem()
            orders = [Order(recipe.name, 2) for recipe in problem.recipes[:2]]
            made = hoistopt.plan(problem, orders, effort=Effort(3, 1)).programme
            if made is not None:
                yield seed, problem, several_programme_table(problem, made)
        except InputError:  # no hoist makes some move, or no time to wait for another
            continue
