"""Drawings of a schedule. Importing this package does not import matplotlib."""

from .saving import picture_format, save_timeway
from .timeway import draw_timeway

__all__ = ["draw_timeway", "picture_format", "save_timeway"]
