"""Whether the release signals that tables of several hoists state keep the hoists apart.

Which motions have to be in which order is worked out from the replay, as for an export. Each such
pair must be kept in order by the signals that the tables state, straight or over others. This
says nothing of how late a hoist is, so neither may the signals rely on times.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from ...base.errors import InputError
from ...checker import Replay
from ..several.motion_table import HoistMotion, HoistTable, Release, SeveralTable
from ..several.motions import Motion, motions_of
from ..several.ordered import Ordered, in_order_of

Which = tuple[int, int]
"""Place of a hoist in track order and number of a motion, from 0, on from cycle to cycle."""


def check_releases(table: SeveralTable, seen: Replay) -> None:
    """Check that no two hoists come too close, whatever is late.

    Parameters
    ----------
    table : SeveralTable
        A cycle in which each motion begins where the one before it leads.
    seen : Replay
        Of the schedule that the tables state; clean.

    Raises
    ------
    InputError
        When the signals leave two motions in whichever order they come.
    """
    made = _as_numbered(table, seen)
    _in_time(table, seen)
    stated = _Stated(table, seen)
    missing = [pair for pair in in_order_of(seen.plan, made) if not stated.keep(pair)]
    if not missing:
        return
    (hoist, number), (other, then) = missing[0].first, missing[0].second
    names = [each.name for each in seen.problem.hoists]
    more = f" (the first of {len(missing)})" if len(missing) > 1 else ""
    cycles = f", {_cycles(missing[0].cycles)}" if missing[0].cycles else ""
    rows = sum(len(motion.releases) for each in table.hoists for motion in each.motions)
    raise InputError(
        f"release signals that let it go on only once motion {number + 1} of {names[hoist]}"
        f"{cycles} has arrived, or has left for long enough{more}: without them each hoist goes by "
        "the clock alone, and when one is late they can come too close",
        field=f"release, motion {then + 1} of hoist {names[other]}",
        value=f"{rows} in the whole table" if rows else "none in the whole table",
        way_out="Take the table as `hoistopt sequencer` wrote it.",
    )


def _cycles(number: int) -> str:
    if not number:
        return "in the same cycle"
    count = "one cycle" if abs(number) == 1 else f"{abs(number)} cycles"
    return f"{count} {'before' if number > 0 else 'later'}"


def _as_numbered(table: SeveralTable, seen: Replay) -> list[list[Motion]]:
    """The motions that the checker saw, in the order and the cycle of the rows of the tables."""
    cycle, tick = seen.plan.table.cycle, seen.plan.table.clock.ticks(1)
    rows: Mapping[str, HoistTable] = {hoist.name: hoist for hoist in table.hoists}
    found = []
    for motions, hoist in zip(motions_of(seen), seen.problem.hoists, strict=True):
        told = rows[hoist.name or ""].motions if (hoist.name or "") in rows else ()
        at = {(motion.since % cycle, motion.step is None): motion for motion in motions}
        made = []
        for row in told:
            planned = row.planned * tick
            motion = at.get((planned % cycle, not row.step))
            if motion is None or len(told) != len(motions):
                raise InputError(
                    f"the {len(motions)} motions that the hoist makes on this line",
                    field=f"hoist {hoist.name}, motion {row.motion}",
                    value=f"one of {len(told)} that the table states",
                )
            made.append(motion.moved(planned - motion.since))
        if any(one.leaves >= two.leaves for one, two in pairwise(made)):
            raise InputError("motions in order of time", field=f"hoist {hoist.name}, planned_start")
        found.append(made)
    return found


def _in_time(table: SeveralTable, seen: Replay) -> None:
    """Check that no signal is waited for beyond the planned time, which could go on for ever.

    A unit more or less is what times in whole units may differ by.
    """
    rows = {hoist.number: hoist.motions for hoist in table.hoists}
    names = {hoist.number: hoist.name for hoist in table.hoists}
    for hoist in table.hoists:
        for motion in hoist.motions:
            for one in motion.releases:
                other = rows[one.hoist][one.motion - 1]
                left = other.leaves if one.left is None else other.leaves + one.left
                before = motion.planned + motion.lasts if one.stop else motion.leaves
                if left - one.cycles * table.cycle > before + 1:
                    raise InputError(
                        "a motion of another hoist that has left by then as planned; this one "
                        f"leaves {left - one.cycles * table.cycle - before} {table.unit.label} "
                        "later, so the hoists would wait for one another",
                        field=f"hoist {hoist.name}, release of motion {motion.motion}",
                        value=f"{names[one.hoist]}, motion {one.motion}, {_cycles(one.cycles)}",
                    )


class _Stated:
    """What the signals of the tables say is over before a motion leaves, and before it arrives.

    Worked out from what comes straight before, over and over until nothing is added.
    """

    def __init__(self, table: SeveralTable, seen: Replay) -> None:
        self._tick = seen.plan.table.clock.ticks(1)
        self._at = {n: _position(seen, name) for n, name in table.stations} | dict(table.waiting)
        place = {hoist.name or "": index for index, hoist in enumerate(seen.problem.hoists)}
        self._index = {hoist.number: place[hoist.name] for hoist in table.hoists}
        self._rows: list[Sequence[HoistMotion]] = [()] * len(place)
        for hoist in table.hoists:
            self._rows[place[hoist.name]] = hoist.motions
        self._counts = [len(rows) for rows in self._rows]
        all_motions = [(h, n) for h, count in enumerate(self._counts) for n in range(count)]
        self._leaving: dict[Which, dict[int, int]] = {motion: {} for motion in all_motions}
        self._arriving: dict[Which, dict[int, int]] = {motion: {} for motion in all_motions}
        changed = True
        while changed:
            changed = sum(map(self._more, all_motions)) > 0

    def keep(self, pair: Ordered) -> bool:
        """Whether the first of a pair is out of the way by the time the second comes near."""
        hoist, number = pair.first
        number -= pair.cycles * self._counts[hoist]
        if self._leaving[pair.second].get(hoist, number - 1) >= number:
            return True
        row = self._rows[pair.second[0]][pair.second[1]]
        here, side = self._at[row.start], 1 if self._at[row.place] > self._at[row.start] else -1
        for (other, later), one in self._waits(pair.second):
            stop = None if one.stop is None else self._at[one.stop]
            if other != hoist or later < number:
                continue
            # A later motion of that hoist has left, or is waited for, no farther on.
            farthest = here if pair.choices.stop is None else pair.choices.stop
            near = stop is None or (farthest - stop) * side >= 0
            if near and (one.left is None or later > number):
                return True
            if one.left is not None and later == number and self._follows(pair, stop, one.left):
                return True
        return False

    def _follows(self, pair: Ordered, stop: Fraction | None, left: int) -> bool:
        return any(
            choice.left is not None
            and choice.stop == stop
            and (left + 1) * self._tick > choice.left
            for choice in pair.choices
        )

    def _waits(self, motion: Which) -> Iterator[tuple[Which, Release]]:
        for one in self._rows[motion[0]][motion[1]].releases:
            hoist = self._index[one.hoist]
            yield (hoist, one.motion - 1 - one.cycles * self._counts[hoist]), one

    def _more(self, motion: Which) -> bool:
        """Take over what comes straight before a motion; whether that says more than was known."""
        hoist, number = motion
        before = hoist, number - 1
        leaving, arriving = [self._over(before)], [self._leaving[motion]]
        for other, one in self._waits(motion):
            over = self._over(other)
            if one.left is not None:
                over = self._of(self._leaving, other) | {other[0]: other[1] - 1}
            (arriving if one.stop is not None else leaving).append(over)
        return _add(self._leaving[motion], leaving) | _add(self._arriving[motion], arriving)

    def _over(self, motion: Which) -> dict[int, int]:
        """What has arrived once a motion has, itself included."""
        return self._of(self._arriving, motion) | {motion[0]: motion[1]}

    def _of(self, known: Mapping[Which, dict[int, int]], motion: Which) -> dict[int, int]:
        turns, number = divmod(motion[1], self._counts[motion[0]])
        return {
            hoist: last + turns * self._counts[hoist]
            for hoist, last in known[motion[0], number].items()
        }


def _add(known: dict[int, int], more: Sequence[Mapping[int, int]]) -> bool:
    changed = False
    for each in more:
        for hoist, last in each.items():
            if last > known.get(hoist, last - 1):
                known[hoist], changed = last, True
    return changed


def _position(seen: Replay, name: str) -> Fraction:
    return Fraction(seen.problem.station_by_name[name].position or 0)
