"""Statements that the block has in several places, written once.

A line of its text `@advance`, or `@at_most_longest VARIABLE`, stands for them.
"""

from __future__ import annotations

import re
from textwrap import indent

_ADVANCE = """\
IF Current = Table.ListSteps THEN
    Current := Current + 1;
    Clock_ms := Clock_ms - Table.ListTime_ms;
ELSIF Current < Table.LastStep THEN
    Current := Current + 1;
ELSE
    Current := Table.ListSteps + 1;
    CycleNo := CycleNo + 1;
    Clock_ms := Clock_ms - Table.CycleTime_ms;
    CurrentSlot := CurrentSlot + 1;
    IF CurrentSlot > Table.LastSlot THEN
        CurrentSlot := 0;
    END_IF;
END_IF;"""
"""To the next step; from the last one of the list to the cycle, of the cycle to the next one."""

_AT_MOST_LONGEST = """\
IF @ > LongestTime THEN
    @ := LongestTime;
END_IF;"""
"""No time is counted further."""

_LINE = re.compile(r"^( *)@(advance|at_most_longest (.+))$", re.MULTILINE)


def written_out(text: str) -> str:
    """The text with the statements in the place of their lines, indented as these are."""
    return _LINE.sub(_statements, text)


def _statements(line: re.Match[str]) -> str:
    variable = line[3]
    text = _ADVANCE if variable is None else _AT_MOST_LONGEST.replace("@", variable)
    return indent(text, line[1])
