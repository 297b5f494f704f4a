"""The function block as data: its variables and its statements.

Structured text and PLCopen XML both write it from here. The statements are the same for every
line and table; only the bounds of the arrays differ. All times are whole ms.

What it does in a call, a section each: check the table (`checking`); begin afresh (`beginning`),
with loads in the tanks if a preset says so (`preset`); let carriers and clock grow older and
follow the order of the steps (`running`); look ahead for loads that cannot keep their maximum
(`ahead`); start a step, and put the clock back for what is late (`starting`). What several of
them say stands in `again`.
"""

from __future__ import annotations

from .again import written_out
from .ahead import AHEAD
from .beginning import BEGINNING
from .checking import checking
from .preset import PRESET
from .running import RUNNING
from .starting import STARTING
from .variables import LONGEST_MS, Array, Section, Sizes, Variable, variables

__all__ = ["LONGEST_MS", "Array", "Section", "Sizes", "Variable", "body", "variables"]


def body() -> str:
    """The statements of the function block, without its declarations."""
    parts = (checking(), BEGINNING, PRESET, RUNNING, AHEAD, STARTING)
    return written_out("\n\n".join(part.strip() for part in parts) + "\n")
