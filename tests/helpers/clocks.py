"""Clocks for searches in tests."""

from __future__ import annotations

from typing import Any

from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort, Stop


def clock(**parts: Any) -> Clock:
    """A clock of an effort with these parts."""
    return Clock(Effort(**parts))


def over() -> Clock:
    """A clock that is over already."""
    stop = Stop()
    stop.set()
    return Clock(Effort(stop=stop))
