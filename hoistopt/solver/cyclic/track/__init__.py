"""Serve the stations along the track: bounds, proofs and schedules for lines in flow order."""

from .line import can_search_track

__all__ = ["can_search_track"]
