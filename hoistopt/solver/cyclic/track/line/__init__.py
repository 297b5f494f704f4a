"""The line as a search along the track sees it: stations in a row, and their rules.

- `stations.py`: stations, moves between them, separations. `build.py`: from an instance, where this
  search can be used. `metric.py`: places such that no empty travel is overstated. `mirror.py`: the
  line mirrored, for backward passes.
"""

from .build import can_search_track, track_line
from .mirror import mirrored
from .stations import FAR, Line, Station, Window

__all__ = ["FAR", "Line", "Station", "Window", "can_search_track", "mirrored", "track_line"]
