"""Schedules: moves in time, and the files they are kept in."""

from .files import read_moves, schedule_to_data
from .schedule import Schedule, Step, readable

__all__ = ["Schedule", "Step", "read_moves", "readable", "schedule_to_data"]
