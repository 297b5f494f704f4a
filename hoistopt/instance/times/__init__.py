"""From speeds and distances, or given tables, to exact whole ticks.

- `travel.py`: travel by a trapezoidal profile, exact to the root, and the rounding to ticks.
- `moves.py`: how long each move and each empty travel takes.
"""

from .moves import Duration, HoistTimes
from .travel import TravelTime, ticks_down, ticks_up, travel_time

__all__ = [
    "Duration",
    "HoistTimes",
    "TravelTime",
    "ticks_down",
    "ticks_up",
    "travel_time",
]
