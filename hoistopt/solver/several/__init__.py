"""The search for the least cycle time where several hoists share a track."""

from .incumbent import Shorten
from .search import least_cycle_of_several

__all__ = ["Shorten", "least_cycle_of_several"]
