"""Which load of the cycle is which: cycles have no beginning, so they are turned to fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..figures import StepRow
from .side import Side
from .stages import Stages

Key = tuple[str, str, int, int]
"""Recipe, side the stage is known on ("both", "before" or "after"), stage, load."""


@dataclass(frozen=True)
class Turned:
    """The moves of one cycle from one entering load on.

    Attributes
    ----------
    rows : tuple of StepRow
        In order, the entering move first.
    keys : tuple of Key
        Of each: what it is, in terms both sides share.
    starts : tuple of Decimal
        Of each, from the start of the first.
    loads : dict
        New number of each load, by the number the schedule gives it.
    """

    rows: tuple[StepRow, ...]
    keys: tuple[Key, ...]
    starts: tuple[Decimal, ...]
    loads: dict[int, int]


def turned(before: Side, after: Side, stages: Stages) -> tuple[Turned, Turned]:
    """Both cycles, the second begun at the load that makes most moves keep their order.

    Of several such loads, the one with which most moves keep tanks and times.
    """
    first = _begun_at(before, stages, _entering(before)[0], after=False)
    choices = [_begun_at(after, stages, row, after=True) for row in _entering(after)]
    return first, max(choices, key=lambda choice: _likeness(first, choice))


def _likeness(one: Turned, other: Turned) -> tuple[int, int, int]:
    """How many moves keep their order, their tanks, their starts."""
    there = dict(zip(other.keys, zip(other.rows, other.starts, strict=True), strict=True))
    common = [
        (row, start, *there[key])
        for key, row, start in zip(one.keys, one.rows, one.starts, strict=True)
        if key in there
    ]
    tanks = sum((a.source, a.target) == (b.source, b.target) for a, _, b, _ in common)
    starts = sum(start == later for _, start, _, later in common)
    return len(in_order(one.keys, other.keys)), tanks, starts


def in_order(before: Sequence[Key], after: Sequence[Key]) -> set[Key]:
    """A largest set of moves that come in the same order on both sides.

    Each move occurs once a side, so this is a longest rising subsequence.
    """
    rank = {key: number for number, key in enumerate(after)}
    common = [key for key in before if key in rank]
    best: list[int] = []  # length of the longest that ends with each
    for number, key in enumerate(common):
        earlier = (best[n] for n in range(number) if rank[common[n]] < rank[key])
        best.append(1 + max(earlier, default=0))
    kept: set[Key] = set()
    wanted, limit = max(best, default=0), len(after)
    for number in range(len(common) - 1, -1, -1):
        if best[number] == wanted and rank[common[number]] < limit:
            kept.add(common[number])
            wanted, limit = wanted - 1, rank[common[number]]
    return kept


def _entering(side: Side) -> list[int]:
    return [n for n, row in enumerate(side.report.steps) if row.stage == 0]


def _begun_at(side: Side, stages: Stages, first: int, *, after: bool) -> Turned:
    steps, cycle = side.report.steps, side.report.cycle_time
    rows = [*steps[first:], *steps[:first]]
    entering = [row.load for row in rows if row.stage == 0]
    loads = {load: number for number, load in enumerate(entering, start=1)}
    begin = rows[0].start
    return Turned(
        rows=tuple(rows),
        keys=tuple(_key(row, stages, loads, after=after) for row in rows),
        starts=tuple(
            row.start - begin if row.start >= begin else row.start - begin + cycle for row in rows
        ),
        loads=loads,
    )


def _key(row: StepRow, stages: Stages, loads: dict[int, int], *, after: bool) -> Key:
    return (*stages.shared(row.recipe, row.stage, after=after), loads[row.load])
