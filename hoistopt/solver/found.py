"""What a search for the least cycle time came to."""

from __future__ import annotations

from dataclasses import dataclass

from ..schedule import Schedule
from .cpsat import Status


@dataclass(frozen=True)
class Found:
    """The outcome of a search; `bound` in ticks, `runtime` in seconds."""

    status: Status
    bound: int
    schedule: Schedule | None
    runtime: float
