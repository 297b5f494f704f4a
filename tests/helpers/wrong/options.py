"""The options of the commented problem file, switched on."""

from __future__ import annotations

import re

from hoistopt.problem.files.template import TEMPLATE

_OPTION = re.compile(r"^#(?=[\w\[])", re.MULTILINE)


def options() -> list[range]:
    """Line numbers, from 0, of each option: neighbouring lines switched off together.

    Keys of a table that is itself switched off belong to it, prose between them or not.
    """
    found: list[range] = []
    inside = False
    for number, line in enumerate(TEMPLATE.splitlines()):
        if not line.strip():
            inside = False
        elif _OPTION.match(line):
            if inside:
                found[-1] = range(found[-1].start, number + 1)
            else:
                found.append(range(number, number + 1))
            inside = inside or line.startswith("#[")
    return found


def switched_on(option: range | None = None) -> str:
    """The template with one of its options switched on; all of them where None is given."""
    lines = TEMPLATE.splitlines()
    for number in range(len(lines)) if option is None else option:
        lines[number] = _OPTION.sub("", lines[number])
    return "\n".join(lines) + "\n"
