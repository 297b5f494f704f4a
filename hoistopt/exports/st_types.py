"""Times, fields and names as the structured text has them; all of IEC 61131-3 itself."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from ..base.errors import InputError
from .names import checked_identifier, identifier, unique
from .table import SequencerStep, SequencerTable

TimeType = Literal["dint", "time"]
LONGEST_MS = 1_000_000_000
"""Longest time, in ms: the sum of two still fits 32 bits with their sign."""
MOST_STEPS = 9_999
BLOCK = "Hoist"

_TAG_WAY_OUT = "Shorten the name, or name stations by number (--tags numbers)."
_BLOCK_WAY_OUT = "Give a shorter one."


@dataclass(frozen=True)
class Field:
    """A member of the structure of one step."""

    name: str
    type: str
    values: tuple[str, ...]
    comment: str


class Dialect:
    """How this table is written: types, literals, identifiers.

    Parameters
    ----------
    table : SequencerTable
    times : str
        ``"dint"``: whole numbers of the table's unit, which ends each name.
        ``"time"``: TIME literals in ms.
    block : str
        Identifier that begins the names of the block and its types; two lines on one
        controller need one each.
    tags : str
        ``"names"``: constants for stations are named after them; ``"numbers"``: by number.

    Raises
    ------
    InputError
        When an identifier is none or too long, or a number too large for the target.
    """

    def __init__(
        self,
        table: SequencerTable,
        times: TimeType = "dint",
        block: str = BLOCK,
        tags: Literal["names", "numbers"] = "names",
    ) -> None:
        checked_style(times, tags)
        self.table = table
        self.literal = times == "time"
        self.suffix = "" if self.literal else f"_{table.unit.key}"
        self.time_type = "TIME" if self.literal else "DINT"
        self.zero = "T#0ms" if self.literal else "0"
        self.base = _base(block)
        self.tags = _tags(table, tags)
        _check_sizes(table)

    def name(self, part: str) -> str:
        """An identifier that begins with the block's."""
        return f"{self.base}_{part}"

    def time(self, units: int) -> str:
        """A time of the table."""
        return f"T#{units * self.table.unit.milliseconds}ms" if self.literal else str(units)

    def milliseconds(self, time: int) -> str:
        """A constant in ms."""
        return f"T#{time}ms" if self.literal else str(time)

    def fields(self) -> list[Field]:
        """The members of a step, with the value of each in each step."""
        return [
            self._number("PickStation", "pick", "number of the station to lift from"),
            self._number("PlaceStation", "place", "number of the station to lower into"),
            self._number("Recipe", "recipe", "number of the recipe"),
            self._number("Load", "load", "which load of the cycle"),
            self._number("Stage", "stage", "stage the load leaves; 0: load station"),
            self._number("FedByStep", "fed_by", "step that brought the carrier; 0: new load"),
            self._number("Boundaries", "boundaries", "cycles since that step"),
            self._number("FeedsStep", "feeds", "step that lifts it next; 0: it leaves the line"),
            self._flag("WaitSourceDwell", "wait_source_dwell", "wait for the least dwell"),
            self._flag(
                "WaitTargetEmpty",
                "wait_target_empty",
                "wait for a free place; else check before lowering",
            ),
            self._time("PlannedStart", "start", "start of lifting, in the cycle"),
            self._time("LatestStart", "latest", "up to then no other step is late"),
            self._given("AlarmLimited", "alarm", "whether there is an alarm limit"),
            self._time("AlarmLimit", "alarm", "then stop the clock and wait"),
            self._time("LeastDwell", "least", "at the pick station"),
            self._given("DwellLimited", "most", "whether there is a greatest dwell"),
            self._time("GreatestDwell", "most", "at the pick station"),
            self._time("Drip", "drip", "pause above the pick station after lifting"),
        ]

    def _values(self, attribute: str) -> list[int | None]:
        return [getattr(step, attribute) for step in self.table.steps]

    def _number(self, name: str, attribute: str, comment: str) -> Field:
        values = tuple(str(value or 0) for value in self._values(attribute))
        return Field(name, "INT", values, comment)

    def _flag(self, name: str, attribute: str, comment: str) -> Field:
        values = tuple("TRUE" if value else "FALSE" for value in self._values(attribute))
        return Field(name, "BOOL", values, comment)

    def _given(self, name: str, attribute: str, comment: str) -> Field:
        values = ("FALSE" if value is None else "TRUE" for value in self._values(attribute))
        return Field(name, "BOOL", tuple(values), comment)

    def _time(self, name: str, attribute: str, comment: str) -> Field:
        values = tuple(self.time(value or 0) for value in self._values(attribute))
        return Field(name + self.suffix, self.time_type, values, comment)


def checked_style(times: str, tags: str) -> None:
    """Refuse a type of times or a choice of tags that is not known.

    Raises
    ------
    InputError
    """
    for key, value, known in (("times", times, ("dint", "time")), ("tags", tags, _TAGS)):
        if value not in known:
            raise InputError(f"one of {', '.join(known)}", field=key, value=value)


_TAGS = ("names", "numbers")


def _base(block: str) -> str:
    if not re.fullmatch(r"[A-Za-z](_?[A-Za-z0-9])*", block):
        raise InputError(
            "an identifier: a letter, then letters, digits and single underscores",
            field="block",
            value=block,
            way_out=f'Write for example "{identifier(block).lstrip("0123456789_") or BLOCK}".',
        )
    checked_identifier(f"{block}_Sequencer", "block", _BLOCK_WAY_OUT)
    return block


def _tags(table: SequencerTable, tags: str) -> dict[int, str]:
    """An identifier for each station, by number.

    They begin with "At_", so that none is a word of the language or of a controller.
    """
    wanted = [
        f"At_{(identifier(name) if tags == 'names' else '') or number}"
        for number, name in table.stations
    ]
    found = unique(wanted)
    for tag, (_, name) in zip(found, table.stations, strict=True):
        checked_identifier(tag, f'station "{name}"', _TAG_WAY_OUT)
    return {number: tag for (number, _), tag in zip(table.stations, found, strict=True)}


def _check_sizes(table: SequencerTable) -> None:
    if len(table.steps) > MOST_STEPS:
        raise InputError(
            f"at most {MOST_STEPS} steps for this target", value=f"{len(table.steps)} steps"
        )
    longest = max(table.cycle, *(_longest(step) for step in table.steps))
    if longest * table.unit.milliseconds > LONGEST_MS:
        raise InputError(
            f"times of at most {LONGEST_MS} ms, which fit the target's 32 bits",
            field="longest time in the table",
            value=f"{longest} {table.unit.label}",
        )


def _longest(step: SequencerStep) -> int:
    return max(step.start, step.latest, step.alarm or 0, step.least, step.most or 0, step.drip)
