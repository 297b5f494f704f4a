"""Build move sequences forward in time: quick good schedules, and bounds by exhaustion."""

from .close import can_sweep, close_gap
from .run import Swept, sweep

__all__ = ["Swept", "can_sweep", "close_gap", "sweep"]
