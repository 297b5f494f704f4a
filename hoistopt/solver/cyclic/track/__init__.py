"""Serve the stations along the track: bounds, proofs and schedules for lines in flow order."""

from .line import can_follow

__all__ = ["can_follow"]
