"""What may be asked of a schedule: a short cycle, and more besides, a file each.

`OBJECTIVES` are to be made small, `MARGINS` large.
"""

from __future__ import annotations

from collections.abc import Callable

from ....instance import Instance
from ....instance.margins import Margins, no_margins, tightened, with_float, with_slack
from ..variables import Linear, Variables
from .loads import loads_in_process
from .nominal import off_nominal
from .travel import empty_travel


def cycle_time(variables: Variables) -> Linear:
    """Ticks of one cycle."""
    return variables.cycle


OBJECTIVES: dict[str, Callable[[Variables], Linear]] = {
    "cycle": cycle_time,
    "travel": empty_travel,
    "nominal": off_nominal,
    "loads": loads_in_process,
}

MARGINS: dict[str, Callable[[Instance, int, Margins], Margins]] = {
    "slack": with_slack,
    "float": with_float,
}

__all__ = ["MARGINS", "OBJECTIVES", "Margins", "no_margins", "tightened"]
