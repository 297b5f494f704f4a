"""What stands on the sheet, before it is laid out on paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from ...base.numbers.decimals import aligned
from ...base.text import counted, listed, plural
from .words import Alarm

SHOWN_DIGITS = 16
MOST_NAMED = 4


@dataclass(frozen=True)
class CheckSum:
    """What identifies an input: its name and the SHA-256 of its bytes, in hexadecimal."""

    name: str
    sha256: str

    @property
    def shown(self) -> str:
        """The first 16 digits in groups of four, short enough to compare by eye."""
        head = self.sha256[:SHOWN_DIGITS]
        return " ".join(head[at : at + 4] for at in range(0, len(head), 4))


@dataclass(frozen=True)
class SheetStep:
    """One step; times in the unit of the sheet, stations by number and name.

    Attributes
    ----------
    step : int or None
        Number, from 1; None of an empty travel of one of several hoists.
    pick, place : str
        Number and name of the stations the carrier is lifted from and lowered into.
    recipe, load : int
        Recipe by number from 1; load of the cycle from 1.
    start, latest : Decimal
        Planned and latest start, from the start of the step's cycle.
    alarm : Decimal or None
        Alarm limit, counted the same way; None where no lateness harms a load.
    least, most : Decimal, Decimal or None
        Dwell at the pick station: at least, and at most where there is a maximum.
    motion : int
        Of one of several hoists: number of the motion, from 1.
    after : str
        Of one of several hoists: what other hoists must have done before.
    """

    step: int | None
    pick: str
    place: str
    recipe: int
    load: int
    start: Decimal
    latest: Decimal
    alarm: Decimal | None
    least: Decimal
    most: Decimal | None
    motion: int = 0
    after: str = ""

    @property
    def room(self) -> Decimal | None:
        """How late the step may start once; None: however late it is, no load overstays."""
        return None if self.alarm is None else self.alarm - self.start


@dataclass(frozen=True)
class Sheet:
    """All that is printed.

    Attributes
    ----------
    line, note : str
        Name of the line, and what its problem file notes of it.
    unit, counted : str
        Unit of the times printed, and the one that the sequencer counts in.
    cycle : Decimal
        Cycle time.
    loads : int
        Loads a cycle.
    steps : tuple of SheetStep
    stations, recipes : tuple of (int, str)
        Number and name.
    alarms : tuple of Alarm
        What the sequencer can raise, and what to do then.
    cautions : tuple of str
    sums : tuple of CheckSum
        Of the files the sheet was made from.
    table_sum : int
        Check sum of the step table as the controller has it.
    revision : str
        As the user names it; empty: left open, to be filled in by hand.
    written : date or None
        The day to print.
    made_by : str
        Program and version.
    hoist : str
        Of several hoists: number and name of the one whose motions these are; else empty.
    """

    line: str
    note: str
    unit: str
    counted: str
    cycle: Decimal
    loads: int
    steps: tuple[SheetStep, ...]
    stations: tuple[tuple[int, str], ...]
    recipes: tuple[tuple[int, str], ...]
    alarms: tuple[Alarm, ...]
    cautions: tuple[str, ...]
    sums: tuple[CheckSum, ...]
    table_sum: int
    revision: str
    written: date | None
    made_by: str
    sources: tuple[str, ...] = ()
    hoist: str = ""

    @property
    def tightest(self) -> list[SheetStep]:
        """The steps that may be the least late; none where no step has an alarm limit."""
        least = min((step.room for step in self.steps if step.room is not None), default=None)
        return [step for step in self.steps if step.room is not None and step.room == least]

    def facts(self) -> list[str]:
        """What is true of the whole table, a sentence each."""
        loads = f"{counted(self.loads, 'load')} a cycle"
        count = f"{len(self.steps)} {'motions' if self.hoist else 'steps'}"
        found = [f"Cycle time {self.cycle:f} {self.unit}, {loads}, {count}."]
        tight = self.tightest
        if tight:
            numbers = listed([str(step.motion or step.step) for step in tight[:MOST_NAMED]])
            more = " and others" * (len(tight) > MOST_NAMED)
            found.append(
                f"Tightest: {plural(len(tight), 'motion' if self.hoist else 'step')} "
                f"{numbers}{more}, {tight[0].room:f} "
                f"{self.unit} from planned start to alarm limit."
            )
        found.append(f"Times in {self.unit}.")
        if self.counted != self.unit:
            found.append(f"The sequencer counts in whole {self.counted}.")
        if self.sources:
            found.append(f"Dwells come from: {'; '.join(self.sources)}.")
        return found

    def columns(self) -> list[tuple[str, list[str]]]:
        """Title and cells of every column of figures and names, in order."""
        rows = self.steps
        several_loads = len({row.load for row in rows if row.step is not None}) > 1
        found = [
            *([("Motion", [str(row.motion) for row in rows])] if self.hoist else []),
            ("Step", ["-" if row.step is None else str(row.step) for row in rows]),
            ("From", [row.pick for row in rows]),
            ("To", [row.place for row in rows]),
        ]
        if len(self.recipes) > 1:
            found.append(("Rec.", [str(row.recipe or "-") for row in rows]))
        if several_loads:
            found.append(("Load", [str(row.load or "-") for row in rows]))
        return [
            *found,
            ("Start", aligned([row.start for row in rows])),
            ("Latest", aligned([row.latest for row in rows])),
            ("Alarm", aligned([row.alarm for row in rows])),
            ("Dwell", _windows(rows)),
            *([("After", [row.after for row in rows])] if self.hoist else []),
        ]


def _windows(rows: Sequence[SheetStep]) -> list[str]:
    """Least and greatest dwell; "-" where the carrier needs to stand no time at all."""
    return [
        "-"
        if row.most is None and not row.least
        else f"{row.least:f}+"
        if row.most is None
        else f"{row.least:f}\N{EN DASH}{row.most:f}"
        for row in rows
    ]
