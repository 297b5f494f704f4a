"""Schedules: moves in time, and the files they are kept in."""

from .files import read_moves, read_order, schedule_to_data
from .schedule import Schedule, Step, readable

__all__ = ["Schedule", "Step", "read_moves", "read_order", "readable", "schedule_to_data"]
