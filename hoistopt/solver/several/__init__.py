"""The search for the least cycle time where several hoists share a track."""

from .search import least_cycle_of_several

__all__ = ["least_cycle_of_several"]
