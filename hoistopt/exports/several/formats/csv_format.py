"""The tables of several hoists as CSV: places and recipes, then a table a hoist."""

from __future__ import annotations

from collections.abc import Iterator

from ....base.cells import guarded, note_lines
from ....base.numbers.decimals import told
from ...formats.csv_format import row_text
from ..members import check_sum
from ..motion_table import HoistMotion, HoistTable, SeveralTable
from .words import (
    ATTRIBUTES,
    OF_STEPS,
    RELEASE_FIELDS,
    TIMES,
    begins,
    cautions_of,
    fields_of,
    rules_of,
)


def several_csv(table: SeveralTable) -> str:
    """The file: lines that begin with ``#``, then cells; an empty one means none.

    No name begins a formula, whatever separates the cells.
    """
    notes = [f"CAUTION. {text}" for text in cautions_of(table)]
    if table.note:
        notes.append(f"NOTE. {table.note}")
    notes += [
        f"Times are whole numbers of {table.unit.label}.",
        *rules_of(table).values(),
        *begins(table),
    ]
    lines = [
        row_text(["line", guarded(table.line)]),
        row_text([f"cycle_time [{table.unit.label}]", table.cycle if table.steps else None]),
        *_of_the_list(table),
        row_text(["hoists_that_make_no_motion", *map(guarded, table.idle)]),
        "",
        row_text(["place [number]", "name", f"position [{table.length_unit}]"]),
        *(row_text([number, guarded(name), None]) for number, name in table.stations),
        *(row_text([number, None, told(at)]) for number, at in table.waiting),
        "",
        row_text(["recipe [number]", "name"]),
        *(row_text([number, guarded(name)]) for number, name in enumerate(table.recipes, start=1)),
    ]
    for hoist in table.hoists:
        lines += _of_hoist(table, hoist)
    return note_lines(notes) + "\n".join(lines) + "\n"


def _of_the_list(table: SeveralTable) -> Iterator[str]:
    """When the cycle begins after a list."""
    if table.once:
        begins_at = table.joins if table.steps else None
        yield row_text([f"cycle_begins [{table.unit.label}]", begins_at])


def _of_hoist(table: SeveralTable, hoist: HoistTable) -> Iterator[str]:
    label = table.unit.label
    yield ""
    yield row_text(["hoist [number]", hoist.number, guarded(hoist.name)])
    if table.once:
        yield row_text(["list_motions [number]", len(hoist.once)])
    yield row_text(["check_sum [number]", check_sum(table, hoist)])
    fields = fields_of(table)
    yield row_text([f"{name} [{label}]" if name in TIMES else name for name in fields])
    for motion in hoist.rows:
        yield row_text([_value(motion, name) for name in fields])
    if any(motion.releases for motion in hoist.rows):
        yield ""
        names = [f"{n} [{label}]" if n == "left_for" else n for n in RELEASE_FIELDS]
        yield row_text(["release", *names])
        for motion in hoist.rows:
            for one in motion.releases:
                cells = [one.before, one.hoist, one.motion, one.cycles, one.left, one.stop]
                yield row_text(["release", motion.motion, *cells])


def _value(motion: HoistMotion, name: str) -> object:
    if name in OF_STEPS and not motion.step:
        return None
    return getattr(motion, ATTRIBUTES.get(name, name))
