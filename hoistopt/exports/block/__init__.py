"""The function block as data: its variables and its statements.

Structured text and PLCopen XML both write it from here. The statements are the same for every
line and table; only the bounds of the arrays differ. All times are whole ms.

What it does in a call, a section each: check the table (`checking`); begin, with an empty line
or with loads in the tanks (`beginning`); let carriers and clock grow older, follow the order of
the steps, look ahead for loads that cannot keep their maximum, start a step (`running`).
"""

from __future__ import annotations

from .beginning import BEGINNING
from .checking import checking
from .running import RUNNING
from .variables import LONGEST_MS, Array, Section, Sizes, Variable, variables

__all__ = ["LONGEST_MS", "Array", "Section", "Sizes", "Variable", "body", "variables"]


def body() -> str:
    """The statements of the function block, without its declarations."""
    text = f"{checking()}\n{BEGINNING.strip()}\n\n{RUNNING.strip()}\n"
    return text.replace(" Steps[", " Table.Steps[").replace("(Steps[", "(Table.Steps[")
