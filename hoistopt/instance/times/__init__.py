"""From speeds and distances, or given tables, to exact whole ticks."""

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
