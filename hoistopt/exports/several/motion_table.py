"""What the sequencer tables of several hoists hold: motions of hoists and release signals."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from ...schedule import LineState
from ..units import TimeUnit

Stage = Literal["lift", "leave", "pass"]


@dataclass(frozen=True)
class Release:
    """A release signal: what another hoist must have done before a motion goes on.

    Attributes
    ----------
    before : str
        ``lift``: before the motion starts at all; ``leave``: before a loaded move, whose load
        has been lifted, begins to travel; ``pass``: before it passes the place `stop`.
    hoist, motion : int
        The other hoist, by number from 1, and its motion.
    cycles : int
        How many cycles before that of the motion which waits; of a motion of a list 0. Where the
        first cycles after a list have none so long before, the list ends in motions of the
        cycle: it is as many motions before, in the list.
    left : int or None
        None: it must have arrived. Else it must have left so many units ago; it need not have
        arrived.
    stop : int or None
        Number of the place up to which the hoist may go until then.
    """

    before: Stage
    hoist: int
    motion: int
    cycles: int
    left: int | None = None
    stop: int | None = None


@dataclass(frozen=True)
class HoistMotion:
    """A motion of a hoist, times in whole units of the table, places by number.

    Attributes
    ----------
    motion : int
        Number, from 1, in the order in which the hoist makes them; those of a list run once come
        first.
    step : int
        Number of the step that it carries out, those of a list first; 0: an empty travel.
    start, place : int
        Numbers of the places it leads from and to; of a step those where the load is lifted and
        set down.
    recipe, load, stage, fed_by, boundaries, feeds
        Of a step, as in :class:`~hoistopt.exports.SequencerStep`; `fed_by` and `feeds` may be
        steps of another hoist. 0 or None of an empty travel.
    wait_source_dwell, wait_target_empty : bool
        As there.
    planned, leaves : int
        When it starts and when it begins to travel, from the start of the hoist's first cycle,
        or of the list.
    latest, alarm, clock_limit, lasting_limit
        Starts as of :class:`~hoistopt.exports.SequencerStep`, counted like `planned`.
    least, most, drip : int, int or None, int
        As there.
    lasts : int
        From the start until all of it is over. Rounded up.
    busy : int
        Least time from the start until the hoist can start with any other motion.
    releases : tuple of Release
        What it waits for.
    lifted_in : int
        As there: of a list, in which cycle, of the hoist that does so, a step of the cycle lifts
        what this one sets down.
    """

    motion: int
    step: int
    start: int
    place: int
    recipe: int
    load: int
    stage: int
    fed_by: int | None
    boundaries: int
    feeds: int | None
    wait_source_dwell: bool
    wait_target_empty: bool
    planned: int
    leaves: int
    latest: int
    alarm: int | None
    clock_limit: int
    lasting_limit: int | None
    least: int
    most: int | None
    drip: int
    lasts: int
    busy: int
    releases: tuple[Release, ...] = ()
    lifted_in: int = 0


@dataclass(frozen=True)
class HoistTable:
    """The motions of one hoist; `number` from 1 in track order.

    `once` are those of a list that is run once, before the `motions` of the cycle.
    """

    number: int
    name: str
    motions: tuple[HoistMotion, ...]
    once: tuple[HoistMotion, ...] = ()

    @property
    def rows(self) -> tuple[HoistMotion, ...]:
        """All motions by number: the list, then the cycle."""
        return self.once + self.motions


@dataclass(frozen=True)
class SeveralTable:
    """The tables of all hoists that make any motion, and what their numbers mean.

    Attributes
    ----------
    line : str
    unit : TimeUnit
        Of every time.
    cycle : int
        Cycle time; 0 where no cycle follows a list.
    hoists : tuple of HoistTable
        In track order.
    idle : tuple of str
        Names of hoists that make no motion and stand beyond the others, at an end of the track.
    stations : tuple of (int, str)
        Number and name of every station, in order of number.
    waiting : tuple of (int, Fraction)
        Number and position of every other place to which a hoist travels or where it may stop.
    recipes : tuple of str
        Names of the recipes, numbered from 1.
    note : str
        As in :class:`~hoistopt.exports.SequencerTable`; not compared.
    length_unit : str
        Unit of the positions; not compared.
    joins : int
        Where a cycle follows a list: when it begins, from the beginning of the list.
    state : LineState or None
        What stands in the line when the list begins; not compared.
    lost : tuple of int
        Loads of the state that are given up; not compared.
    time_unit : str
        Unit of the times of the state; not compared.
    """

    line: str
    unit: TimeUnit
    cycle: int
    hoists: tuple[HoistTable, ...]
    idle: tuple[str, ...]
    stations: tuple[tuple[int, str], ...]
    waiting: tuple[tuple[int, Fraction], ...]
    recipes: tuple[str, ...]
    note: str = field(default="", compare=False)
    length_unit: str = field(default="", compare=False)
    joins: int = 0
    state: LineState | None = field(default=None, compare=False)
    lost: tuple[int, ...] = field(default=(), compare=False)
    time_unit: str = field(default="", compare=False)

    @property
    def slots(self) -> int:
        """Cycles a controller has to remember: the most boundaries, and the running one."""
        return max((m.boundaries for hoist in self.hoists for m in hoist.rows), default=0) + 1

    @property
    def steps(self) -> list[HoistMotion]:
        """The motions that carry out steps of the cycle, by number of the step."""
        return _by_step(hoist.motions for hoist in self.hoists)

    @property
    def once(self) -> list[HoistMotion]:
        """The motions that carry out steps of a list run once, by number of the step."""
        return _by_step(hoist.once for hoist in self.hoists)

    def following(self) -> list[tuple[HoistTable, HoistMotion, Release]]:
        """The motions that follow another hoist without waiting until it has arrived."""
        return [
            (hoist, motion, release)
            for hoist in self.hoists
            for motion in hoist.rows
            for release in motion.releases
            if release.left is not None
        ]


def cycles_through(steps: Iterable[HoistMotion]) -> int:
    """The most cycles that a load passes on its way through the steps of a cycle."""
    rows, most = {motion.step: motion for motion in steps}, 0
    for row in rows.values():
        passed = 0
        for _ in rows:  # a load makes no step twice
            if row.feeds is None:
                break
            row = rows[row.feeds]
            passed += row.boundaries
        most = max(most, passed)
    return most


def shown_cycles(
    joins: int, every: int, listed: int, planned: Iterable[int], through: int
) -> tuple[int, int]:
    """From when to when whole cycles are shown, after a list.

    Of several hoists one may be in its cycle while another is in its list yet.

    Parameters
    ----------
    joins, every : int
        When the cycle begins, and its time.
    listed : int
        When the last move of the list starts.
    planned : iterable of int
        Starts of the moves of the cycle after it begins, each in the first cycle of its hoist.
    through : int
        Cycles that a load passes at the most.
    """
    begun = max(start // every for start in planned)
    begun = max(begun, (listed - joins) // every + 1)
    return joins + begun * every, joins + (begun + through + 2) * every


def _by_step(lists: Iterable[Sequence[HoistMotion]]) -> list[HoistMotion]:
    made = [motion for motions in lists for motion in motions if motion.step]
    return sorted(made, key=lambda motion: motion.step)
