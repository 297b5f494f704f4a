"""The cycle time."""

from __future__ import annotations

from ..variables import Linear, Variables


def cycle_time(variables: Variables) -> Linear:
    """Ticks of one cycle."""
    return variables.cycle
