"""Serve the stations along the track: bounds, proofs and schedules for lines in flow order."""

from .close import Following
from .line import can_follow

__all__ = ["Following", "can_follow"]
