"""The line as a search along the track sees it: stations in a row, and their rules."""

from .build import can_search_track, track_line
from .mirror import mirrored
from .stations import FAR, Line, Station, Window

__all__ = ["FAR", "Line", "Station", "Window", "can_search_track", "mirrored", "track_line"]
