"""Sequencer tables of several hoists that a user hands over: their moves, to be replayed on a line.

The numbers of stations and recipes mean what the file itself says they mean.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from ...base.errors import InputError
from ...problem import Problem
from ...schedule import LineState, Programme, Schedule
from ...schedule.raw_move import unknown_name
from ..several.motion_table import SeveralTable, cycles_through
from .given import MOST_CYCLES, NAMES, unreadable
from .several_once import programme_of_lists
from .several_proof import READERS, numbers_of, schedule_of_several, summed_up

NOT_JUDGED = (
    "Of the sequencer's tables their moves were replayed, on the windows of the problem file, and "
    "their release signals judged; their limits for lateness, waits for loads and feeding steps "
    "are not judged."
)
LISTS_NOT_JUDGED = (
    "Of the sequencer's tables their moves and travels were replayed, on the windows of the "
    "problem file; their release signals, limits for lateness, waits for loads and feeding steps "
    "are not judged: run them only as `hoistopt sequencer` wrote them."
)


def is_several(text: str) -> bool:
    """Whether a file holds the tables of several hoists."""
    return bool(re.search(r'"hoist sequencer tables"|^"?hoist \[number\]', text, re.MULTILINE))


def several_given(
    text: str, form: str, problem: Problem
) -> tuple[Schedule, list[str], SeveralTable]:
    """The cycle of several hoists that their tables state, what has to be said of it, and they.

    Raises
    ------
    InputError
        When the file is none that ``hoistopt sequencer`` writes of a cycle of several hoists, or
        names what the line does not have.
    """
    table, said = _several_read(text, form, problem)
    if table.once:
        raise InputError("a cycle; these tables have lists that are run once", field="list_motions")
    with _readable(form):
        schedule = schedule_of_several(problem, table)
    _motions_follow(table)
    return schedule, said, table


def lists_given(
    text: str, form: str, problem: Problem, state: LineState | None = None
) -> tuple[Programme, list[str]]:
    """The programme of several hoists that tables with lists state, and what has to be said of it.

    Parameters
    ----------
    state : LineState, optional
        What stands in the line when the lists begin.

    Raises
    ------
    InputError
        As :func:`several_given`, of tables without lists.
    """
    table, said = _several_read(text, form, problem)
    if not table.once:
        raise InputError(
            "lists that are run once; these tables are a cycle",
            field="list_motions",
            way_out="Leave out the state.",
        )
    with _readable(form):
        if cycles_through(table.steps) > MOST_CYCLES:
            raise ValueError(f"a load passes more than {MOST_CYCLES} cycles")
        programme = programme_of_lists(replace(table, state=state), problem)
    _motions_follow(table)
    if any(step.start < 0 for step in programme):
        raise InputError("starts of at least 0", field="planned_start")
    return programme, said


def has_lists(text: str) -> bool:
    """Whether tables of several hoists have lists that are run once."""
    return bool(re.search(r'"list_motions"|^"?list_motions \[number\]', text, re.MULTILINE))


def _several_read(text: str, form: str, problem: Problem) -> tuple[SeveralTable, list[str]]:
    read = READERS.get(form)
    if read is None:
        raise InputError(f"CSV or JSON, as the line has several hoists, not {NAMES[form]}")
    with _readable(form):
        table, sums = read(text)
        made = {hoist: summed_up(numbers) for hoist, numbers in numbers_of(table).items()}
        for number, name in table.stations:
            if name not in problem.station_by_name:
                raise unknown_name(
                    "station", list(problem.station_by_name), f"station {number}", name
                )
    said = [LISTS_NOT_JUDGED if table.once else NOT_JUDGED]
    if made != sums:
        said.append("Not as it was written: the check sum of a hoist is another.")
    return table, said


@contextmanager
def _readable(form: str) -> Iterator[None]:
    """Say of what goes wrong that the file is none of ours."""
    try:
        yield
    except (
        ValueError, KeyError, IndexError, TypeError, SyntaxError, ZeroDivisionError,
    ) as error:  # fmt: skip
        raise unreadable(form, error) from None


def _motions_follow(table: SeveralTable) -> None:
    """Refuse motions that are missing: each begins where the one before it leads.

    Raises
    ------
    InputError
    """
    known = {(hoist.number, motion.motion) for hoist in table.hoists for motion in hoist.rows}
    for hoist in table.hoists:
        last = hoist.motions[-1] if hoist.motions else None
        place = hoist.once[0].start if hoist.once else last.place if last else None
        for number, motion in enumerate(hoist.rows, start=1):
            field = f"hoist {hoist.name}, motion {motion.motion}"
            if motion.motion != number:
                raise InputError(
                    f"motions numbered from 1, one after the other, so {number} here", field=field
                )
            if motion.start != place:
                raise InputError(
                    f"a motion that begins where the one before it leads, at place {place}",
                    field=f"{field}, start place",
                    value=motion.start,
                )
            place = motion.place
            for release in motion.releases:
                if (release.hoist, release.motion) not in known:
                    raise InputError(
                        "a release by a motion of the tables",
                        field=f"{field}, release",
                        value=f"hoist {release.hoist}, motion {release.motion}",
                    )
        if hoist.once and hoist.motions and last and last.place != hoist.motions[0].start:
            raise InputError(
                "a cycle that ends where it begins",
                field=f"hoist {hoist.name}, motion {last.motion}, end place",
                value=last.place,
            )
