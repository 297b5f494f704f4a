"""The time-way diagram of a schedule. Importing this package does not import matplotlib."""

from .diagram import draw_timeway, save_timeway

__all__ = ["draw_timeway", "save_timeway"]
