"""What the demands of a conflict come to in the whole line: is leaving out one of them enough?

A minimal set tells only of itself: without one of its members the others can be kept, which says
nothing of all else that is asked of the line. What else stands against the wish is found here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .demands import HOIST, Demand
from .mus import Oracle, UnsatisfiableSubset, minimal_unsatisfiable

Group = tuple[Demand, ...]
"""Demands that are kept or left out together."""


def in_whole_line(oracle: Oracle, subset: UnsatisfiableSubset) -> UnsatisfiableSubset:
    """The same conflict with what is known of the whole line by the end of the oracle's clock.

    Parameters
    ----------
    oracle : Oracle
        Asked of all demands of the line.
    subset : UnsatisfiableSubset
        What it found.
    """
    if subset.status != "conflict" or not subset.demands:
        return subset
    # First, as whatever conflicts besides answers most of what is asked of the single ones.
    besides, minimal, complete = _besides(oracle, subset.demands)
    otherwise = tuple(
        oracle.can_keep([demand for demand in oracle.asked if demand != one])
        for one in subset.demands
    )
    if complete is None and any(
        enough and one.kind != "longest"
        for one, enough in zip(subset.demands, otherwise, strict=True)
    ):
        complete = True  # more was to be left out in that question
    # What can be kept with all else, can be kept with the others of the set alone.
    necessary = tuple(
        enough or known for enough, known in zip(otherwise, subset.necessary, strict=True)
    )
    return replace(
        subset,
        necessary=necessary,
        otherwise=otherwise,
        besides=besides,
        besides_minimal=minimal,
        complete=complete,
        questions=len(oracle.answers),
    )


def _besides(
    oracle: Oracle, found: Group
) -> tuple[tuple[Group, ...], tuple[bool, ...], bool | None]:
    """Further sets that conflict by themselves, each whether minimal, and whether these are all.

    The cycle time wished for stays asked for throughout, as everything is told because of it,
    except where nothing else can be left out. All that is left of the hoist's own times counts as
    one thing: else the hoist would be told of in many sets, a few moves each.
    """
    sets: list[Group] = []
    minimal: list[bool] = []
    left = _without(oracle.asked, found)
    while (possible := oracle.can_keep(left)) is False:
        answers: list[bool | None] = []

        def impossible(kept: Sequence[Group], heard: list[bool | None] = answers) -> bool:
            heard.append(oracle.can_keep([demand for group in kept for demand in group]))
            return heard[-1] is False

        more = minimal_unsatisfiable(_grouped(left), impossible)
        if not more or oracle.clock.over:  # a set cut short by the clock is no help
            return tuple(sets), tuple(minimal), False
        sets.append(tuple(_told(group, oracle.asked) for group in more))
        minimal.append(None not in answers)
        left = _without(left, tuple(demand for group in more for demand in group))
    return tuple(sets), tuple(minimal), possible


def _grouped(demands: Group) -> list[Group]:
    """Each demand alone, but the hoist's own times together, which come last."""
    hoist = tuple(demand for demand in demands if demand.kind in HOIST)
    return [*((one,) for one in demands if one.kind not in HOIST), *([hoist] if hoist else [])]


def _told(group: Group, asked: Group) -> Demand:
    """What to call the demands of a group in one."""
    if len(group) == 1:
        return group[0]
    all_of_it = all(demand in group for demand in asked if demand.kind in HOIST)
    what = "the hoist's own times" if all_of_it else "the rest of the hoist's own times"
    return Demand("hoist", f"{what}, loaded and empty")


def _without(demands: Group, found: Group) -> Group:
    """The demands without those found, but for the wish."""
    dropped = [demand for demand in found if demand.kind != "longest"] or found
    return tuple(demand for demand in demands if demand not in dropped)
