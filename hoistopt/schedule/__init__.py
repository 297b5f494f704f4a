"""Schedules: moves in time, and the files they are kept in."""

from .schedule import Schedule, Step, readable

__all__ = ["Schedule", "Step", "readable"]
