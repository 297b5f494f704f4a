"""Texts of tables of several hoists with a list run once."""

from __future__ import annotations

from ...formats.words import begins_with
from ..motion_table import SeveralTable

BEFORE_LIST = (
    "Before the list begins the line must be in the very state that it begins with, and every "
    "hoist must stand where its first motion begins. After any stop in which a hoist was moved by "
    "hand, or power was off, the list is not to be gone on with: plan again from the state then."
)
LIST = (
    "The motions of its list each hoist makes once, in order of their numbers, from the line as it "
    "stands when the list begins, whether or not there is a load to carry: without one it goes the "
    "way of the move, at the speed of a loaded move, and neither lifts nor lowers. None is left "
    "out. A new load is waited for until the latest start of its step."
)
LIST_PRESET = (
    "To begin with loads in the line, call the first block with Reset and Preset, with NextStep "
    "1, and for each load that stands in a tank the step that lifts it next and for how long it "
    "has stood. Bring every hoist to its StartPlace; while OutOfPlace is TRUE of any, nothing "
    "begins. PresetOk: it has begun; the clock lets no load be lifted before its minimum dwell. "
    "PresetFault and PresetEntry say what cannot be, and nothing moves until the next Reset. "
    "ListDone: all motions of this hoist are over, and it asks for none until the next Reset. "
    "ListMissed counts new loads that did not come in time: they are left out, and stay out."
)
"""How the function block begins a list, and ends it."""
JOINING = (
    "After the last motion of its list each hoist makes those of the cycle, over and over; their "
    "times count from when the cycle begins. The list ends in motions of the cycle: a release of "
    "one of the first cycles that names a cycle before them means the motion of the list that is "
    "as many motions before. A load that the list has set down is lifted by the step of the cycle, "
    "and in the cycle of the hoist that makes it, that its last step in the list names."
)
LIFTED_IN = (
    "of a list run once: cycle, from 0, of the hoist that lifts it, in which a step of the cycle "
    "lifts what this one sets down"
)
OF_CYCLES = ("order", "due", "clock", "first load", "run out")
"""Rules that mean a cycle."""


def rules_once(table: SeveralTable, rules: dict[str, str]) -> dict[str, str]:
    """The rules that tables with a list are to be run by: of it alone, or with those of a cycle."""
    if table.steps:
        return {"list": f"{LIST} {JOINING}", **rules}
    return {"list": LIST, **{key: text for key, text in rules.items() if key not in OF_CYCLES}}


def begins_once(table: SeveralTable) -> list[str]:
    """What stands where when the list begins, in sentences."""
    return [] if table.state is None else begins_with(table.state, table.time_unit, table.lost)
