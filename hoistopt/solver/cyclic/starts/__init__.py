"""Schedules to start a search from, found with little or no search."""

from .first import find_first
from .one_by_one import one_by_one
from .smaller_line import start_from_copies, start_from_groups

__all__ = ["find_first", "one_by_one", "start_from_copies", "start_from_groups"]
