"""Programmes: moves in absolute time that take loads through the line, as early as can be."""

from .search import Programmed, least_finish
from .times import Timing, lateness

__all__ = ["Programmed", "Timing", "lateness", "least_finish"]
