"""The program of several hoists as data: types and blocks that text and XML both write."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ....base.errors import InputError
from ...block import LONGEST_MS, Array, Variable
from ...formats.st_types import (
    MOST_SLOTS,
    MOST_STEPS,
    SequencerStyle,
    base_of,
    checked_style,
    tags_of,
)
from ...formats.table_data import Data, Row, assignments
from ...formats.words import noted_line
from ...members import Member
from ...names import for_comment
from ..block import Kind, Sizes, body, shared, variables
from ..members import HEAD, MOTION, RELEASE, check_sum, head_values, motion_values, releases_of
from ..motion_table import HoistTable, SeveralTable
from .once_words import LIST_PRESET
from .words import PRESET, begins, cautions_of, place_names, rules_of


@dataclass(frozen=True)
class DataType:
    """A structure; members are (name, type, comment, initial value or None)."""

    name: str
    comment: str
    members: tuple[tuple[str, Kind, str, str | None], ...]


@dataclass(frozen=True)
class Block:
    """A function block; `data` is the constant that a block which fills a table assigns."""

    name: str
    comment: str
    variables: tuple[Variable, ...]
    text: str
    data: Data | None = None


class Program:
    """What is written of the tables.

    Parameters
    ----------
    table : SeveralTable
    style : SequencerStyle

    Raises
    ------
    InputError
        When an identifier is none or too long, or a number too large for the target.
    """

    def __init__(self, table: SeveralTable, style: SequencerStyle) -> None:
        checked_style(style.tags, style.values, style.room)
        self.table, self.style = table, style
        self.base = base_of(style.block)
        self.sizes = _sizes(table, style.room)
        self.tags = tags_of(table.stations, style.tags)

    def name(self, part: str) -> str:
        """An identifier that begins with the block's."""
        return f"{self.base}_{part}"

    def paragraphs(self) -> list[str]:
        """Cautions, rules and how to call the blocks, in ASCII."""
        table = self.table
        first = table.hoists[0]
        return [
            f"Sequencers of the hoists of the line: {for_comment(table.line)}",
            *(f"CAUTION. {for_comment(text)}" for text in cautions_of(table)),
            *(for_comment(text) for text in noted_line(table.note)),
            "All times are whole ms, in DINT.",
            *rules_of(table).values(),
            *map(for_comment, begins(table)),
            f"Keep a variable of type {self.name('Table')} and an instance of "
            f"{self.name('Sequencer')} for each hoist, and one variable of type "
            f"{self.name('Line')} for all of them: the release signals stand in it, Arrived and "
            "Left. Fill the tables while Reset is TRUE. In every scan call all instances once, in "
            f"one task, that of hoist {first.number} first and the others in the order of their "
            "numbers; Reset, Elapsed_ms, HoldClock and AdmitLoads count at the first one only.",
            LIST_PRESET if table.once else PRESET,
            "StartMove asks for one whole move: lift, drip, travel, lower; answer with MoveDone. "
            "The hoist may leave its start place once MayTravel is TRUE. GoTo asks for travel "
            "without a load, to EndPlace. While MustStop is TRUE, the hoist must come to rest at "
            "StopAt if it gets there, and go on from there when MustStop falls or StopAt "
            "changes. HoistAt tells the others that the hoist has left, and arrived: it "
            "must be below 0 from the moment the hoist travels, and name a place only while the "
            "hoist stands still over it. While Enable is FALSE a motion that has begun is to "
            "stand still. The blocks hold no interlock and no watchdog.",
        ]

    def legend(self) -> list[str]:
        """What is read back: names by number, positions, unit."""
        table = self.table
        return [
            f"line = {for_comment(table.line)}",
            f"unit = {table.unit.key}",
            *(f"station {number} = {for_comment(name)}" for number, name in table.stations),
            *(f"place {number} = {name}" for number, name in place_names(table).items()),
            *(f"recipe {n} = {for_comment(name)}" for n, name in enumerate(table.recipes, 1)),
            *(f"hoist {hoist.number} = {for_comment(hoist.name)}" for hoist in table.hoists),
            *(f"idle {n} = {for_comment(name)}" for n, name in enumerate(table.idle, 1)),
        ]

    def types(self) -> Iterator[DataType]:
        """The structures, each before those that hold it."""
        names = dict(self.table.stations)
        numbers = self.tags.items()
        yield DataType(
            self.name("Stations"),
            "Numbers of the stations. Declare a constant of this type to use them by name.",
            tuple((tag, "INT", for_comment(names[n]), str(n)) for n, tag in numbers),
        )
        yield _structure(self.name("Motion"), "One motion of a hoist.", MOTION)
        yield _structure(self.name("Release"), "A release signal that a motion waits for.", RELEASE)
        sizes = self.sizes
        head = [
            (name, "DINT" if name.endswith("_ms") else "INT", comment, None)
            for name, comment in zip(HEAD, _HEAD_COMMENTS, strict=True)
        ]
        yield DataType(
            self.name("Table"),
            "The table of one hoist.",
            (
                *head,
                ("CheckSum", "DINT", "of all numbers", None),
                ("Motions", Array(((1, sizes.motions),), self.name("Motion")), "in order", None),
                ("Releases", Array(((1, sizes.releases),), self.name("Release")), "", None),
            ),
        )
        yield DataType(
            self.name("Line"),
            "What the blocks of all hoists share.",
            tuple((name, kind, comment, None) for name, kind, comment in shared(sizes)),
        )

    def blocks(self) -> Iterator[Block]:
        """A block that fills the table of each hoist, and the one they all run."""
        table_type = self.name("Table")
        for hoist in self.table.hoists:
            data = self._data(hoist)
            initial = self.style.values == "initial"
            yield Block(
                self.name(f"Fill{hoist.number}"),
                f"Fills the table of hoist {hoist.number} ({for_comment(hoist.name)}).",
                (Variable("table", "Table", table_type, "to be filled"),),
                "Table := Data;\n" if initial else assignments(data),
                data if initial else None,
            )
        declared = variables(self.sizes, table_type, self.name("Line"))
        yield Block(self.name("Sequencer"), "Runs one hoist.", tuple(declared), body())

    def _data(self, hoist: HoistTable) -> Data:
        table, per = self.table, self.table.unit.milliseconds
        head = {**head_values(table, hoist), "CheckSum": check_sum(table, hoist)}
        names = {n: for_comment(name) for n, name in table.stations} | place_names(table)
        motions = []
        for motion in hoist.rows:
            what = "empty travel"
            if motion.step:
                recipe = for_comment(table.recipes[motion.recipe - 1])
                what = f"step {motion.step}, load {motion.load} of {recipe}"
            comment = (
                f"motion {motion.motion}: {names[motion.start]} to {names[motion.place]}, {what}"
            )
            motions.append((comment, _literals(MOTION, motion_values(motion, per))))
        waits = [
            (
                f"motion {motion.motion} after hoist {release.hoist}, motion {release.motion}",
                _literals(RELEASE, values),
            )
            for motion, release, values in releases_of(table, hoist)
        ]
        return Data(
            [(name, str(value)) for name, value in head.items()],
            [("Motions", motions), *([("Releases", waits)] if waits else [])],
        )


_HEAD_COMMENTS = (
    "number of the hoist",
    "motions of a cycle",
    "release signals",
    "steps of all hoists",
    "most cycle boundaries a carrier stands through",
    "cycle time",
)


def _structure(name: str, comment: str, members: Sequence[Member]) -> DataType:
    return DataType(name, comment, tuple((m.name, m.type, m.comment, None) for m in members))


def _literals(members: Sequence[Member], values: dict[str, int]) -> Row:
    return [
        (m.name, ("TRUE" if values[m.name] else "FALSE") if m.type == "BOOL" else
         str(values[m.name]))
        for m in members
    ]  # fmt: skip


def _sizes(table: SeveralTable, room: int | None) -> Sizes:
    motions = max(len(hoist.rows) for hoist in table.hoists)
    waits = max(sum(len(m.releases) for m in hoist.rows) for hoist in table.hoists)
    steps, slots = len(table.once) + len(table.steps), table.slots - 1
    for count, what in ((motions, "motions"), (waits, "releases"), (steps, "steps")):
        if count > MOST_STEPS:
            raise InputError(f"at most {MOST_STEPS} {what} for this target", value=count)
    if room is not None and room < max(motions, waits, steps):
        raise InputError(
            f"at least {max(motions, waits, steps)}, the most motions, steps or releases of a "
            "table",
            field="room",
            value=room,
        )
    if slots > MOST_SLOTS:
        raise InputError(
            f"dwells of at most {MOST_SLOTS} cycle times for this target", value=f"{slots} cycles"
        )
    longest = table.cycle * (slots + 3)
    for hoist in table.hoists:
        for m in hoist.rows:
            own = (m.leaves, m.latest, m.alarm, m.clock_limit, m.lasting_limit, m.most, m.least)
            longest = max(longest, *(time or 0 for time in own), m.lasts)
    if longest * table.unit.milliseconds > LONGEST_MS:
        raise InputError(
            f"times of at most {LONGEST_MS} ms, which fit the target's 32 bits",
            field="longest time in the tables",
            value=f"{longest} {table.unit.label}",
        )
    numbers = [number for number, _ in table.stations]
    hoists = [hoist.number for hoist in table.hoists]

    def whole(count: int) -> int:
        return room or max(40, -(-count // 20) * 20)

    return Sizes(
        motions=whole(motions),
        releases=whole(waits),
        steps=whole(steps),
        slots=max(3, slots),
        stations=(min(numbers), max(numbers)),
        hoists=(min(hoists), max(hoists)),
    )
