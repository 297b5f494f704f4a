"""Moves, dwells and figures side by side."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ..figures import DwellRow, StepRow
from .loads import Key, Turned, in_order
from .side import Side
from .stages import Stages


@dataclass(frozen=True)
class MoveRow:
    """One move of the cycle on both sides; None where it is not made.

    Attributes
    ----------
    recipe : str
    load : int
        Number of the load in the cycle, the same on both sides.
    before, after : StepRow or None
    place_before, place_after : int or None
        Place in the order of the cycle, from 1, the first load's entering being 1.
    start_before, start_after : Decimal or None
        Start, from that entering.
    moved : bool
        Whether it comes elsewhere in the order, seen from the moves that keep theirs.
    """

    recipe: str
    load: int
    before: StepRow | None
    after: StepRow | None
    place_before: int | None
    place_after: int | None
    start_before: Decimal | None
    start_after: Decimal | None
    moved: bool

    @property
    def other_tank(self) -> bool:
        """Whether it is made between other stations."""
        here, there = self.before, self.after
        if here is None or there is None:
            return False
        return (here.source, here.target) != (there.source, there.target)


@dataclass(frozen=True)
class DwellPair:
    """One load's stand in one stage on both sides; None where it is not there."""

    recipe: str
    load: int
    label: str
    before: DwellRow | None
    after: DwellRow | None

    @property
    def longer(self) -> Decimal | None:
        """By how much the dwell has grown."""
        if self.before is None or self.after is None:
            return None
        return self.after.dwell - self.before.dwell

    @property
    def other_window(self) -> bool:
        """Whether it has a window on both sides, and another one after."""
        here, there = self.before, self.after
        if here is None or there is None:
            return False
        return (here.least, here.most) != (there.least, there.most)


@dataclass(frozen=True)
class FigurePair:
    """One figure on both sides; `unit` is empty for a number, ``%`` for a share."""

    name: str
    unit: str
    before: Fraction | None
    after: Fraction | None

    @property
    def difference(self) -> Fraction | None:
        """What has been added."""
        if self.before is None or self.after is None:
            return None
        return self.after - self.before


def move_rows(before: Turned, after: Turned) -> list[MoveRow]:
    """Every move: in the order before, with new ones after what they follow."""
    kept = in_order(before.keys, after.keys)
    here = {key: number for number, key in enumerate(before.keys)}
    there = {key: number for number, key in enumerate(after.keys)}
    found = []
    for key in _merged(before.keys, after.keys):
        i, j = here.get(key), there.get(key)
        found.append(
            MoveRow(
                recipe=key[0],
                load=key[3],
                before=None if i is None else before.rows[i],
                after=None if j is None else after.rows[j],
                place_before=None if i is None else i + 1,
                place_after=None if j is None else j + 1,
                start_before=None if i is None else before.starts[i],
                start_after=None if j is None else after.starts[j],
                moved=i is not None and j is not None and key not in kept,
            )
        )
    return found


def _merged(before: tuple[Key, ...], after: tuple[Key, ...]) -> list[Key]:
    merged = list(before)
    known = set(before)
    place = 0
    for key in after:
        if key in known:
            place = merged.index(key) + 1
        else:
            merged.insert(place, key)
            place += 1
    return merged


def dwell_pairs(
    before: Side, after: Side, turns: tuple[Turned, Turned], stages: Stages
) -> list[DwellPair]:
    """Every stand of every load, by load and stage."""
    sides = []
    for side, turn, later in ((before, turns[0], False), (after, turns[1], True)):
        keyed: dict[Key, DwellRow] = {}
        for row in side.report.dwells:
            shared = stages.shared(row.recipe, row.stage, after=later)
            keyed[(*shared, turn.loads[row.load])] = row
        sides.append(keyed)
    here, there = sides
    order = sorted({**here, **there}, key=lambda key: _by_load(key, here, there))
    return [
        DwellPair(
            key[0], key[3], (here.get(key) or there[key]).label, here.get(key), there.get(key)
        )
        for key in order
    ]


def _by_load(
    key: Key, here: dict[Key, DwellRow], there: dict[Key, DwellRow]
) -> tuple[str, int, int, bool]:
    # A stage that is gone stands before the one that took its number.
    stage = (there.get(key) or here[key]).stage
    return key[0], key[3], stage, key in there


def figure_pairs(before: Side, after: Side) -> list[FigurePair]:
    """What the two schedules achieve."""
    unit = before.problem.unit
    here, there = (list(_figures(side)) for side in (before, after))
    return [
        FigurePair(name, shown.replace("{unit}", unit), old, new)
        for (name, shown, old), (_, _, new) in zip(here, there, strict=True)
    ]


def _figures(side: Side) -> Iterator[tuple[str, str, Fraction | None]]:
    told, found = side.report, side.report.figures
    loads = sum(row.stage == 0 for row in told.steps)
    per_hour = 3600 / (found.time_per_load * Fraction(side.problem.seconds_per_unit))
    margins = [row.tightest for row in told.dwells]
    yield "Cycle time", "{unit}", Fraction(told.cycle_time)
    yield "Loads per cycle", "", Fraction(loads)
    yield "Mean time per load", "{unit}", found.time_per_load
    yield "Loads per hour", "", per_hour
    yield "Loads in process, mean", "", Fraction(str(found.in_process_mean))
    yield "Carriers needed", "", Fraction(found.carriers_needed)
    yield "Hoist carrying", "%", 100 * Fraction(str(found.hoist_loaded))
    yield "Hoist travelling empty", "%", 100 * Fraction(str(found.hoist_empty))
    yield "Hoist waiting", "%", 100 * Fraction(str(found.hoist_waiting))
    yield "Min dwell margin", "{unit}", Fraction(min(margins)) if margins else None
