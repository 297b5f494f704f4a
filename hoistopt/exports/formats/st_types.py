"""How structured text is written, its sizes and identifiers; the same for PLCopen XML."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from ...base.errors import InputError
from ..block import LONGEST_MS, Sizes, Variable, variables
from ..checksum import check_sum
from ..members import head_values
from ..names import checked_identifier, identifier, unique
from ..table import SequencerStep, SequencerTable

Tags = Literal["names", "numbers"]
Values = Literal["initial", "routine"]
MOST_STEPS = 900
MOST_SLOTS = 30
BLOCK = "Hoist"

_TAG_WAY_OUT = "Shorten the name, or name stations by number (--tags numbers)."
_BLOCK_WAY_OUT = "Give a shorter one."


@dataclass(frozen=True)
class SequencerStyle:
    """How structured text and PLCopen XML are written; the other formats have no choice.

    Attributes
    ----------
    block : str
        Identifier that begins the names of the block and its types.
    tags : str
        Constants of the stations by ``"names"`` or by ``"numbers"``.
    values : str
        The table's numbers as an ``"initial"`` value, or assigned in a ``"routine"`` for
        controllers that know no structured initial values.
    room : int or None
        Most steps of a table that the block is to take later without a change; by default
        those of this table in whole scores, at least 40.
    created : datetime or None
        Time of creation that PLCopen XML states; by default now.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> table = hoistopt.sequencer_table(problem, result.schedule)
    >>> style = hoistopt.SequencerStyle(values="routine", block="Line1")
    >>> hoistopt.write_sequencer(problem, table, "steps.st", style)
    """

    block: str = BLOCK
    tags: Tags = "names"
    values: Values = "initial"
    room: int | None = None
    created: datetime | None = None


class Dialect:
    """How this table is written: sizes, identifiers, where its numbers stand.

    Parameters
    ----------
    table : SequencerTable
    block : str
        Identifier that begins the names of the block and its types; two lines on one
        controller need one each.
    tags : str
        ``"names"``: constants for stations are named after them; ``"numbers"``: by number.
    values : str
        ``"initial"``: the table's numbers are the initial value of a constant;
        ``"routine"``: they are assigned one by one, for controllers that know no
        structured initial values.
    room : int, optional
        Most steps that a table may have which the block is to take later without a change;
        by default the steps of this one, in whole scores and at least 40.

    Raises
    ------
    InputError
        When an identifier is none or too long, or a number too large for the target.
    """

    def __init__(
        self,
        table: SequencerTable,
        block: str = BLOCK,
        tags: Tags = "names",
        values: Values = "initial",
        room: int | None = None,
    ) -> None:
        checked_style(tags, values, room)
        self.table = table
        self.values = values
        self.base = base_of(block)
        self.tags = tags_of(table.stations, tags)
        self.sizes = _sizes(table, room)
        self.head = {**head_values(table), "CheckSum": check_sum(table)}

    def variables(self) -> list[Variable]:
        """The variables of the sequencer's block."""
        return variables(self.sizes, self.name("Table"))

    def name(self, part: str) -> str:
        """An identifier that begins with the block's."""
        return f"{self.base}_{part}"


def checked_style(tags: str, values: str = "initial", room: int | None = None) -> None:
    """Refuse a choice of how to write that is not known.

    Raises
    ------
    InputError
    """
    for key, value, known in (
        ("tags", tags, ("names", "numbers")),
        ("values", values, ("initial", "routine")),
    ):
        if value not in known:
            raise InputError(f"one of {', '.join(known)}", field=key, value=value)
    if room is not None and not 1 <= room <= MOST_STEPS:
        raise InputError(f"from 1 to {MOST_STEPS} steps", field="room", value=room)


def base_of(block: str) -> str:
    """The identifier that begins all names of a program, if it is one."""
    if not re.fullmatch(r"[A-Za-z](_?[A-Za-z0-9])*", block):
        raise InputError(
            "an identifier: a letter, then letters, digits and single underscores",
            field="block",
            value=block,
            way_out=f'Write for example "{identifier(block).lstrip("0123456789_") or BLOCK}".',
        )
    checked_identifier(f"{block}_Sequencer", "block", _BLOCK_WAY_OUT)
    return block


def tags_of(stations: Sequence[tuple[int, str]], tags: str) -> dict[int, str]:
    """An identifier for each station, by number.

    They begin with "At_", so that none is a word of the language or of a controller.
    """
    wanted = [
        f"At_{(identifier(name) if tags == 'names' else '') or number}" for number, name in stations
    ]
    found = unique(wanted)
    for tag, (_, name) in zip(found, stations, strict=True):
        checked_identifier(tag, f'station "{name}"', _TAG_WAY_OUT)
    return {number: tag for (number, _), tag in zip(stations, found, strict=True)}


def _sizes(table: SequencerTable, room: int | None) -> Sizes:
    count, slots = len(table.rows), table.slots - 1
    if count > MOST_STEPS:
        raise InputError(f"at most {MOST_STEPS} steps for this target", value=f"{count} steps")
    if room is not None and room < count:
        raise InputError(f"at least the {count} steps of this table", field="room", value=room)
    if slots > MOST_SLOTS:
        raise InputError(
            f"dwells of at most {MOST_SLOTS} cycle times for this target", value=f"{slots} cycles"
        )
    longest = max(table.joins + table.cycle * table.slots, *(_longest(step) for step in table.rows))
    if longest * table.unit.milliseconds > LONGEST_MS:
        raise InputError(
            f"times of at most {LONGEST_MS} ms, which fit the target's 32 bits",
            field="longest time in the table",
            value=f"{longest} {table.unit.label}",
        )
    numbers = [number for number, _ in table.stations]
    return Sizes(
        steps=room or max(40, -(-count // 20) * 20),
        slots=max(3, slots),
        stations=(min(numbers), max(numbers)),
    )


def _longest(step: SequencerStep) -> int:
    return max(
        step.start,
        step.latest,
        step.alarm or 0,
        step.clock_limit,
        step.lasting_limit or 0,
        step.least,
        step.most or 0,
        step.drip,
        step.move,
        step.busy,
        step.approach,
    )
